"""What the coach's pages say of a week: pain, dose, sessions, limits, proof, evidence; and a block's wall page, weeks across."""

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from library.credit import Profile
from library.read import Library
from planner import plain
from planner.document import PlannedExercise, WeekDocument, with_weeks_away
from planner.sheets import say, table
from planner.sheets.page import Desk

References = dict[tuple[str, str], int]


def page_values(desk: Desk) -> dict[str, Any]:
    """Give what the template of the coach's pages prints besides what it reads from the desk's document."""
    document = desk.document
    rows, references = evidence(desk)
    recorded = desk.words.coach["recorded"].format(days=plain.joined(desk.recorded)) if desk.recorded else ""
    loose = ((limit, limit.limit.partition(":")[2]) for limit in document.limits if not limit.binds)
    return {
        "say": say, "table": table, "name": desk.name, "evidence": rows, "references": references,
        "warnings": say.further(document.warnings, document.pain),
        "shortfalls": plain.short_of(document, desk.name),
        "changes": [say.change(desk.library, change) for change in document.changes],
        "notes": [
            *filter(None, [recorded]), *plain.less_on_purpose(document, desk.name),
            *say.further(document.notes, document.warnings, document.pain),
        ],
        "missed": plain.goals_said(desk.library, document),
        "binding": [plain.limit_said(desk.library, limit) for limit in document.limits if limit.binds],
        # budgets of joints to go easy on that do not bind
        "roomy": [
            f"{plain.name_of(desk.library, of)} {plain.number(limit.used)} of {plain.number(limit.allowed)}"
            for limit, of in loose if desk.allowed.get(of, "clear") != "clear"
        ],
        "own": [(key.replace("_", " "), _value(value)) for key, value in sorted(desk.brief.method.items())],
    }  # fmt: skip


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_value(inner)}" for key, inner in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(map(_value, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def evidence(desk: Desk) -> tuple[list[tuple[str, int, list[tuple[str, str, str]]]], References]:
    """Give each exercise's name, sets and, a head, its ratio ± standard error, references (numbered as met) and credit."""
    known = {row.id: row for row in desk.library.evidence}
    references: References = {}
    week: dict[str, tuple[PlannedExercise, int]] = {}
    for planned in (planned for session in desk.document.sessions for planned in session.exercises):
        week[planned.exercise] = planned, week.get(planned.exercise, (planned, 0))[1] + planned.sets
    rows = []
    for planned, sets in week.values():
        cells = []
        for dose in desk.document.dose:
            profile = desk.library.profiles.get(dose.head, {}).get(planned.exercise)
            cited = [known[row] for row in (profile.rows if profile else ()) if row in known]
            # authors and year
            short = ((row.citation.split(",")[0].split(" doi ")[0].strip(), row.status) for row in cited)
            numbers = sorted(references.setdefault(of, len(references) + 1) for of in dict.fromkeys(short))
            credit = f"{planned.credits.get(dose.head, 0.0):.2f}"
            cells.append((_ratio(profile), ", ".join(_runs(numbers)), credit))
        rows.append((planned.name, sets, cells))
    return rows, references


def _ratio(profile: Profile | None) -> str:
    if profile is None:
        return "no row"
    if not profile.standard_error:
        return "1, anchor"
    # the library keeps the error of the logarithm; times the ratio it is the ratio's own
    return f"{profile.ratio:.2f} ± {profile.ratio * profile.standard_error:.2f}"


def _runs(places: list[int]) -> list[str]:
    """Say rising numbers with runs of three or more as a range: 1–4, 7."""
    alike = groupby(enumerate(places), lambda pair: pair[1] - pair[0])  # the same along a run
    runs = [[place for _, place in pairs] for _, pairs in alike]
    return [part for run in runs for part in ([f"{run[0]}–{run[-1]}"] if len(run) > 2 else map(str, run))]


Cell = tuple[str, str]  # what a week's cell says, and how it looks (class of the style sheet)
ROOMY_WEEKS, ROOMY_ROWS = 9, 12  # of our style sheet: so much has room in large letters
Weeks = Sequence[WeekDocument | None]  # None: the athlete is away


def block_values(planned: Sequence[WeekDocument], library: Library) -> dict[str, Any]:
    """Give all that the template of the wall page prints."""
    by_name = with_weeks_away(planned)
    weeks = list(by_name.values())
    heads = dict.fromkeys(dose.head for week in planned for dose in week.dose)
    sessions = [(say.day(day), rows) for day, rows in _block_sessions(weeks, planned[0])]
    worst = (max((week.proof[aim] for week in planned), key=lambda proof: proof.gap) for aim in (0, 1))
    return {
        "weeks": len(planned), "heading": list(_heading(by_name)), "sessions": sessions,
        "begins": say.session_date(planned[0].week_start, "Mon"),
        "ends": say.session_date(planned[-1].week_start, "Sun"),
        "roomy": len(weeks) <= ROOMY_WEEKS and sum(len(rows) for _, rows in sessions) <= ROOMY_ROWS,
        "sums": [*_sums(weeks), *(_doses(weeks, head, library) for head in heads)],
        "rises": bool(planned[0].block and planned[0].block.ramp_share),
        "stopped": [week.week for week in planned if week.status == "stopped"],
        "gaps": [plain.gap_words(proof) for proof in worst] if all(week.proof for week in planned) else [],
    }  # fmt: skip


def _look(week: WeekDocument | None) -> str:
    if week is None:
        return "away"
    return "lighter" if week.block and week.block.lighter else ""


def _heading(weeks: dict[str, WeekDocument | None]) -> Iterator[dict[str, str]]:
    """Head each week: its place among those that are planned, number, Monday, kind and reserve."""
    place = 0
    for name, week in weeks.items():
        place += week is not None
        lines = [line for session in week.sessions for line in session.exercises] if week else []
        reserves = sorted({line.rir for line in lines})
        effort = "–".join(map(str, dict.fromkeys((*reserves[:1], *reserves[-1:]))))
        monday = re.sub(r"^(\d+ \w{3}).*", r"\1", say.session_date(week.week_start, "Mon")) if week else ""
        of_week = {"number": str(place) if week else "", "week": name.partition("-")[2], "date": monday}
        yield of_week | {"look": _look(week), "effort": effort}


def _block_sessions(weeks: Weeks, first: WeekDocument) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """Write the sets of every exercise in every week, session by session; what joins later stands behind."""
    days = [[(one.id, say.in_order(one)) for one in week.sessions] if week else [] for week in weeks]
    lines = [{(day, line.exercise): line for day, of in week for line in of} for week in days]
    places = dict.fromkeys(place for of_week in lines for place in of_week)
    for session in first.sessions:
        of_day = (place for place in places if place[0] == session.id)
        yield session.id, [_block_row(weeks, [of_week.get(place) for of_week in lines]) for place in of_day]


def _block_row(weeks: Weeks, lines: Sequence[PlannedExercise | None]) -> dict[str, Any]:
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
    load = "–" if without and known[0].load is None else say.load(known[0])
    return {"exercise": known[0].name, "reps": " or ".join(reps), "load": load, "cells": cells}


def _sums(weeks: Weeks) -> Iterator[tuple[str, list[Cell]]]:
    sets, minutes = (lambda one: sum(line.sets for line in one.exercises)), (lambda one: one.minutes.used)
    for name, of in (("Sets", sets), ("Minutes", minutes)):
        sums = [f"{sum(map(of, week.sessions)):.0f}" if week else "" for week in weeks]
        yield name, [(text, _look(week)) for text, week in zip(sums, weeks, strict=True)]


def _doses(weeks: Weeks, head: str, library: Library) -> tuple[str, list[Cell]]:
    """Write a head's counted sets week by week: bold where short of the target, with + where above the ceiling."""
    targets, cells = [], []
    for week in weeks:
        dose = next((one for one in week.dose if one.head == head), None) if week else None
        if dose is None:
            cells.append(("", _look(week)))
            continue
        targets += [] if week and _look(week) else [dose.target]
        total = dose.total
        over, short = total - dose.ceiling >= plain.UNSHOWN, dose.target - total >= plain.UNSHOWN
        cells.append((f"{total:.1f}{'+' * over}", f"{_look(week)}{' short' * short}"))
    name = say.sentence(plain.name_of(library, head))
    said = " to ".join(dict.fromkeys(map(plain.number, (*targets[:1], *targets[-1:]))))
    return f"{name}, target {said}" if said else name, cells
