"""The plan in force, read from the athlete's folder and checked against library and brief of today."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path

from library.errors import Fault, FaultyInput
from library.read import Library
from planner.athlete.brief import Brief
from planner.athlete.folder import in_force, read_week, week_folder, weeks
from planner.athlete.reading import require_folder
from planner.athlete.toml_text import refuse
from planner.athlete.words import listed
from planner.athlete.writing import WEEK_FILE, WEEKS
from planner.document import WeekDocument, plan_of, states_of, week_start


def plan_in_force(folder: Path, week: str | None = None, today: datetime.date | None = None) -> WeekDocument:
    """Read the week in force on a day, or the named one. Raises FaultyInput: it was not planned, or it is damaged."""
    require_folder(folder)
    planned = weeks(folder)
    if week is not None and planned and week not in planned:
        week_start(week)  # a name that is no week is told as that
        remedy = f"Name one of {listed(planned)}, or make it first: planner week {folder} --week {week}"
        raise refuse(folder / WEEKS, "", f"week {week} was not planned", remedy)
    document = in_force(folder, today) if week is None or not planned else read_week(folder, week)
    if document is None:
        remedy = f"Make one first: planner week {folder}"
        raise refuse(folder / WEEKS, "", "no plan is in force, no week was planned yet", remedy)
    return document


def require_in_step(folder: Path, document: WeekDocument, library: Library, brief: Brief) -> None:
    """Raise FaultyInput if the plan names what library or brief no longer have."""
    faults = list(_out_of_step(folder, document, library, brief))
    if faults:
        raise FaultyInput(faults)


def _out_of_step(folder: Path, document: WeekDocument, library: Library, brief: Brief) -> Iterator[Fault]:
    file = week_folder(folder, document.week) / WEEK_FILE
    anew = f"plan the week anew: planner week {folder} --week {document.week}"
    gone = sorted({key for key, _ in plan_of(document)} - set(library.exercises))
    if gone:
        read = f"the library no longer has {listed(gone)}"
        yield Fault(file, "sessions", read, f"Put it back into the library, or {anew}")
    days = {session.day for session in brief.session}
    for day in sorted(day for day in states_of(document) if day not in days):
        yield Fault(
            file, "sessions", f"{day} is over", f"brief.toml has no session on {day}: put it back, or {anew}"
        )
