"""What the wall page of a block says: weeks across, exercises down; sets, loads, doses, lighter weeks and holidays."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from planner.document import PlannedExercise, WeekDocument, with_weeks_away
from planner.plain import UNSHOWN, gap_words, name_of, number
from planner.sheets import say
from planner.sheets.table import total

if TYPE_CHECKING:
    from library.read import Library

Cell = tuple[str, str]  # what a week's cell says, and how it looks (class of the style sheet)
ROOMY_WEEKS, ROOMY_ROWS = 9, 12  # of our style sheet: so much has room in large letters
Weeks = Sequence[WeekDocument | None]  # None: the athlete is away


def page_values(planned: Sequence[WeekDocument], library: Library) -> dict[str, Any]:
    """Give all that the template of the wall page prints."""
    weeks = list(with_weeks_away(planned).values())
    heads = {dose.head: say.sentence(name_of(library, dose.head)) for week in planned for dose in week.dose}
    sessions = [(say.day(day), rows) for day, rows in _sessions(weeks, planned)]
    worst = (max((week.proof[aim] for week in planned), key=lambda proof: proof.gap) for aim in (0, 1))
    return {
        "weeks": len(planned),
        "begins": say.session_date(planned[0].week_start, "Mon"),
        "ends": say.session_date(planned[-1].week_start, "Sun"),
        "heading": list(_heading(with_weeks_away(planned))),
        "sessions": sessions,
        "roomy": len(weeks) <= ROOMY_WEEKS and sum(len(rows) for _, rows in sessions) <= ROOMY_ROWS,
        "sums": [*_sums(weeks), *(_doses(weeks, head, name) for head, name in heads.items())],
        "rises": bool(planned[0].block and planned[0].block.ramp_share),
        "stopped": [week.week for week in planned if week.status == "stopped"],
        "gaps": [gap_words(proof) for proof in worst] if all(week.proof for week in planned) else [],
    }


def _look(week: WeekDocument | None) -> str:
    if week is None:
        return "away"
    return "lighter" if week.block and week.block.lighter else ""


def _heading(weeks: dict[str, WeekDocument | None]) -> Iterator[dict[str, str]]:
    """Head each week: its place among those that are planned, number, Monday, kind and reserve."""
    place = 0
    for name, week in weeks.items():
        place += week is not None
        reserves = sorted(
            {line.rir for session in week.sessions for line in session.exercises} if week else ()
        )
        yield {
            "number": str(place) if week else "",
            "week": name.partition("-")[2],
            "date": _short_date(week.week_start) if week else "",
            "look": _look(week),
            "effort": "–".join(map(str, dict.fromkeys((*reserves[:1], *reserves[-1:])))),
        }


def _short_date(week_start: str) -> str:
    """Say a Monday in two short words: 30 Nov."""
    day, month, _ = say.session_date(week_start, "Mon").split(" ")
    return f"{day} {month[:3]}"


def _sessions(weeks: Weeks, planned: Sequence[WeekDocument]) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """Write the sets of every exercise in every week, session by session; what joins later stands behind."""
    lines = [
        {(one.id, line.exercise): line for one in week.sessions for line in say.in_order(one)} if week else {}
        for week in weeks
    ]
    places = dict.fromkeys(place for of_week in lines for place in of_week)
    for session in planned[0].sessions:
        of_day = (place for place in places if place[0] == session.id)
        yield session.id, [_row(weeks, [of_week.get(place) for of_week in lines]) for place in of_day]


def _row(weeks: Weeks, lines: Sequence[PlannedExercise | None]) -> dict[str, Any]:
    """Write one exercise: its load where it is known, and its sets, framed where they differ from the last hard week."""
    known = [line for line in lines if line is not None]
    cells: list[Cell] = []
    hard: int | None = None
    for week, line in zip(weeks, lines, strict=True):
        sets, look = (line.sets if line else 0), _look(week)
        framed = not look and hard not in (None, sets)
        cells.append(("" if week is None else str(sets or "–"), "differs" if framed else look))
        hard = hard if look else sets
    reps = dict.fromkeys(say.reps(line.reps) for line in known)
    without = known[0].load_is in ("body", "band")
    return {
        "exercise": known[0].name,
        "reps": " or ".join(reps),
        "load": "–" if without and known[0].load is None else say.load(known[0]),
        "cells": cells,
    }


def _sums(weeks: Weeks) -> Iterator[tuple[str, list[Cell]]]:
    for name, of in (
        ("Sets", lambda one: sum(line.sets for line in one.exercises)),
        ("Minutes", lambda one: one.minutes.used),
    ):
        sums = [f"{sum(map(of, week.sessions)):.0f}" if week else "" for week in weeks]
        yield name, [(text, _look(week)) for text, week in zip(sums, weeks, strict=True)]


def _doses(weeks: Weeks, head: str, name: str) -> tuple[str, list[Cell]]:
    """Write a head's counted sets week by week: bold where short of the target, with + where above the ceiling."""
    targets, cells = [], []
    for week in weeks:
        dose = next((one for one in week.dose if one.head == head), None) if week else None
        if dose is None:
            cells.append(("", _look(week)))
            continue
        targets += [] if week and _look(week) else [dose.target]
        over, short = total(dose) - dose.ceiling >= UNSHOWN, dose.target - total(dose) >= UNSHOWN
        cells.append((f"{total(dose):.1f}{'+' * over}", f"{_look(week)}{' short' * short}"))
    said = " to ".join(dict.fromkeys(map(number, (*targets[:1], *targets[-1:]))))
    return f"{name}, target {said}" if said else name, cells
