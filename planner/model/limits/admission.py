"""Admission: exercises that may not be planned at all, each with the reason in words.

These limits need no row: what is not admitted to a session has no column (y = 0).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from library.schema import HIGHEST_GRADE, Exercise
from planner.method import WeekSettings

Allowances = Mapping[str, str]


def lacks(exercise: Exercise, equipment: Collection[str]) -> tuple[str, ...]:
    """Room: y[e,d] = 0 where the session's gym lacks something that e needs. Returns what is lacking."""
    return tuple(item for item in exercise.needs if item not in equipment)


def highest_grade(region: str, allowances: Allowances, settings: WeekSettings, *, has_change: bool) -> int:
    """Give the highest grade a region allows: clear 2, careful 1 (2 where its change is printed), avoid 1."""
    allowance = allowances.get(region, "clear")
    if allowance == "avoid":
        return settings.avoid_grade
    if allowance == "careful":
        return settings.careful_grade + (1 if has_change else 0)
    return settings.clear_grade


def joint_reason(
    exercise: Exercise, allowances: Allowances, settings: WeekSettings, preferred: Collection[str]
) -> str:
    """Joints: y = 0 where a grade exceeds what its region allows; the highest only if clear and named in `prefer`."""
    for region, stress in exercise.stress.items():
        allowance = allowances.get(region, "clear")
        highest = highest_grade(region, allowances, settings, has_change=bool(stress.change.strip(" -")))
        if allowance == "clear" and exercise.key in preferred:
            highest = HIGHEST_GRADE
        if stress.grade > highest:
            return f"joint stress {stress.grade} in {region} ({allowance}: at most {highest})"
    return ""


def out_reason(
    exercise: Exercise,
    allowances: Allowances,
    settings: WeekSettings,
    *,
    preferred: Collection[str] = (),
    excluded: Collection[str] = (),
) -> str:
    """Say why an exercise may not be planned in any room, or give an empty text if it may."""
    if exercise.compare_only:
        return "kept for comparison only, never planned"
    if exercise.key in excluded:
        return "excluded by the brief"
    return joint_reason(exercise, allowances, settings, preferred)
