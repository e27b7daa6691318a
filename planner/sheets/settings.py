"""Every size and count of the printed sheets, each with its unit and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting

ARM = f"{OUR_CHOICE}: readable on the floor beside the bench"
STEPS = f"{OUR_CHOICE}: from roomy to tight; the roomiest that keeps a session on one page is taken"


@dataclass(frozen=True)
class SheetSettings:
    """Defaults of the paper."""

    margin_millimetres: float = setting(9, unit="mm", source=OUR_CHOICE, text="margin of every page")
    name_points: float = setting(14, unit="pt", source=ARM, text="exercise names")
    number_points: tuple[float, ...] = setting(
        (20, 19, 18, 17, 16, 16), unit="pt", source=ARM, text="sets, repetitions and load"
    )
    day_points: float = setting(24, unit="pt", source=ARM, text="day of the session")
    fine_points: float = setting(8, unit="pt", source=OUR_CHOICE, text="smallest print of any page")
    coach_points: float = setting(9, unit="pt", source=OUR_CHOICE, text="text of the coach's pages")
    text_points: tuple[float, ...] = setting(
        (11, 10.5, 9.8, 8.9, 8.5, 8.2), unit="pt", source=STEPS, text="cues and notes"
    )
    box_millimetres: tuple[float, ...] = setting(
        (10.5, 9, 7.8, 6.8, 6.4, 5.8), unit="mm", source=STEPS, text="height of a box to write in"
    )
    tell_per_cent: tuple[int, ...] = setting(
        (48, 49, 51, 53, 54, 55),
        unit="% of the width",
        source=STEPS,
        text="words of an exercise, beside its boxes",
    )
    rules_most: tuple[int, ...] = setting(
        (5, 4, 3, 3, 2, 1), unit="rules", source=STEPS, text="rules of the room a page"
    )
    cues_most: int = setting(
        2, unit="cues", source="two cues at most: common practice, no source", text="an exercise"
    )
    cautions_most: int = setting(
        2,
        unit="cautions",
        source=OUR_CHOICE,
        text="an exercise; a change for a careful joint is never left out",
    )
    change_from_careful: int = setting(
        2,
        unit="grade 0-3",
        source=f"{OUR_CHOICE} (DESIGN §3.3)",
        text="joint stress from which a careful region has its change printed",
    )
    change_from_avoid: int = setting(
        1,
        unit="grade 0-3",
        source=f"{OUR_CHOICE} (DESIGN §3.3)",
        text="joint stress from which a region to be avoided has its change printed",
    )
    boxes_most: int = setting(
        5, unit="sets", source=OUR_CHOICE, text="boxes side by side before a second row"
    )
    stop_millimetres: tuple[float, ...] = setting(
        (43, 43, 43, 37, 37, 37),
        unit="mm",
        source=STEPS,
        text="place kept at the foot of a page for the stop box",
    )
    tight_from: int = setting(
        3,
        unit="step",
        source=OUR_CHOICE,
        text="from this step on signs and cues are run together, notes have no room",
    )
    run_in_from: int = setting(
        4, unit="step", source=OUR_CHOICE, text="from this step on all words of an exercise are run together"
    )
