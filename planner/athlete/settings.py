"""Defaults of an athlete's weekly targets and screening; a brief's [method] may set them.

Doses are direct sets a head and week. The three published numbers (training facts §1): at least 4 sets a week
(Iversen et al. 2021; ACSM 2026), 10 or more are worth aiming at (ACSM 2026), 12 to 20 for trained people
(Baz-Valle et al. 2022). Which status gets which of them is our choice.
"""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting

UNIT = "direct sets a week"
LEAST = f"4 sets a week are the least that works (ACSM 2026); by status: {OUR_CHOICE}"
AIM = f"10 sets a week or more (ACSM 2026); by status: {OUR_CHOICE}"
MOST = f"12 to 20 sets a week in trained people (Baz-Valle et al. 2022); by status: {OUR_CHOICE}"
STEP = "Scarpelli et al. 2022 (20 % above the client's own sets)"


@dataclass(frozen=True)
class AthleteSettings:
    """Defaults of targets by training status, of the step up from today's sets, and of screening."""

    novice_floor: float = setting(4, unit=UNIT, source=LEAST, text="novice: least dose of a head")
    novice_target: float = setting(8, unit=UNIT, source=OUR_CHOICE, text="novice: dose aimed at")
    novice_ceiling: float = setting(12, unit=UNIT, source=OUR_CHOICE, text="novice: most that is planned for")
    intermediate_floor: float = setting(4, unit=UNIT, source=LEAST, text="intermediate: least dose of a head")
    intermediate_target: float = setting(10, unit=UNIT, source=AIM, text="intermediate: dose aimed at")
    intermediate_ceiling: float = setting(
        20, unit=UNIT, source=MOST, text="intermediate: most that is planned for"
    )
    advanced_floor: float = setting(6, unit=UNIT, source=OUR_CHOICE, text="advanced: least dose of a head")
    advanced_target: float = setting(12, unit=UNIT, source=MOST, text="advanced: dose aimed at")
    advanced_ceiling: float = setting(20, unit=UNIT, source=MOST, text="advanced: most that is planned for")
    now_step_factor: float = setting(
        1.2, unit="of today's sets", source=STEP, text="a step up goes to today's sets times this"
    )
    now_step_sets: float = setting(
        1, unit=UNIT, source=OUR_CHOICE, text="or to today's sets plus this, if that is more"
    )
    questionnaire_months: int = setting(
        12,
        unit="months",
        source="validity of the PAR-Q+, from memory",
        text="an older questionnaire is warned about",
    )

    def doses(self, status: str) -> tuple[float, float, float]:
        """Floor, target and ceiling of a training status, in direct sets a week."""
        floor, target, ceiling = (
            float(getattr(self, f"{status}_{name}")) for name in ("floor", "target", "ceiling")
        )
        return floor, target, ceiling
