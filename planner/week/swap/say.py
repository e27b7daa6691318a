"""A change of one week in words."""

from __future__ import annotations

from library.read import Library
from planner.week.document import MadeChange
from planner.week.plain import day_name


def change_said(change: MadeChange, library: Library) -> str:
    """Say one change that holds for a week alone: without bands in home; 15 min on Wednesday."""
    if change.kind == "minutes":
        return f"{change.minutes} min on {day_name(change.name)}"
    known = library.equipment.get(change.name) or library.exercises.get(change.name)
    name = known.name if known else change.name
    return f"{change.kind} {name}" + (f" in {change.gym}" if change.gym else "")
