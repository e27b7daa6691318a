"""What the overview of a block says: its weeks, the sets of each exercise in each, what changes, its proof."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from planner.document import PlannedExercise, WeekDocument, plan_of, with_weeks_away
from planner.plain import UNSHOWN, gap_words, joined, name_of, number
from planner.sheets import drawing, say
from planner.sheets.coach import total

if TYPE_CHECKING:
    from library.read import Library

# The chart of one head, in units of its own view box: three of them stand side by side.
WIDTH, HEIGHT = 236.0, 96.0
LEFT, RIGHT, TOP, BOTTOM = 4.0, 232.0, 30.0, 82.0
GAP = 0.22  # of a week's place, left white
MARK, TEXT = 2.2, 12.5  # width of the target's mark; size of the letters
EVERY = 13  # from so many weeks on only every second number is written


def page_values(weeks: Sequence[WeekDocument], library: Library) -> dict[str, Any]:
    """Give all that the template of the overview prints."""
    heads = {dose.head: say.sentence(name_of(library, dose.head)) for week in weeks for dose in week.dose}
    return {
        "begins": say.session_date(weeks[0].week_start, "Mon"),
        "ends": say.session_date(weeks[-1].week_start, "Sun"),
        "last": weeks[-1].week,
        "heads": list(heads.values()),
        "rows": [_week_row(number, week, list(heads)) for number, week in enumerate(weeks, start=1)],
        "away": {before.week: names for before, names in away_after(weeks)},
        "charts": [_chart(weeks, head, name) for head, name in heads.items()],
        "sessions": _session_sets(weeks),
        "changes": list(changes(weeks, library)),
        "above": list(above_ceiling(weeks, heads)),
        "rises": bool(weeks[0].block and weeks[0].block.ramp_share),
        "proven": all(week.status == "proven" for week in weeks),
    }


def away_after(weeks: Sequence[WeekDocument]) -> Iterator[tuple[WeekDocument, list[str]]]:
    """Give the weeks after which the athlete is away, with the names of those weeks."""
    for before, after in pairwise(weeks):
        if names := [name for name, week in with_weeks_away((before, after)).items() if week is None]:
            yield before, names


def is_lighter(week: WeekDocument) -> bool:
    """Whether a week is a lighter one of its block."""
    return week.block is not None and week.block.lighter


def _week_row(place: int, week: WeekDocument, heads: Sequence[str]) -> dict[str, Any]:
    """Write one week; `doses`: a head's total and target as printed, and whether it is short."""
    lines = [line for session in week.sessions for line in session.exercises]
    reserves = sorted({line.rir for line in lines})
    doses = {dose.head: (total(dose), dose.target) for dose in week.dose}
    gaps = " / ".join(gap_words(proof) for proof in week.proof)
    return {
        "number": place,
        "week": week.week,
        "date": say.session_date(week.week_start, "Mon"),
        "lighter": is_lighter(week),
        "effort": "–".join(map(str, reserves[:1] + reserves[-1:] if len(reserves) > 1 else reserves)) or "–",
        "sets": sum(line.sets for line in lines),
        "minutes": f"{sum(one.minutes.used for one in week.sessions):.0f}",
        "doses": [_dose_cell(doses.get(head)) for head in heads],
        "proof": gaps if week.status == "proven" else f"{gaps}, stopped",
    }


def _dose_cell(dose: tuple[float, float] | None) -> tuple[str, bool]:
    if dose is None:
        return "–", False
    return f"{number(dose[0])} / {number(dose[1])}", dose[1] - dose[0] >= UNSHOWN


def _session_sets(weeks: Sequence[WeekDocument]) -> list[dict[str, Any]]:
    """Write the sets of every exercise in every week, session by session; what joins later stands behind."""
    lines = [
        {(one.id, line.exercise): line for one in week.sessions for line in say.in_order(one)}
        for week in weeks
    ]
    places = dict.fromkeys(place for of_week in lines for place in of_week)
    rows = {place: _sets_row(weeks, [of_week.get(place) for of_week in lines]) for place in places}
    return [
        {
            "day": say.day(session.id),
            "gym": say.gym(session),
            "rows": [row for place, row in rows.items() if place[0] == session.id],
        }
        for session in weeks[0].sessions
    ]


def _sets_row(weeks: Sequence[WeekDocument], lines: Sequence[PlannedExercise | None]) -> dict[str, Any]:
    """Write the sets of one exercise, week by week: number, differs from the last hard week, lighter week."""
    known = [line for line in lines if line is not None]
    cells: list[tuple[str, bool, bool]] = []
    hard: int | None = None
    for week, line in zip(weeks, lines, strict=True):
        sets, lighter = (line.sets if line else 0), is_lighter(week)
        cells.append((str(sets) if sets else "–", hard not in (None, sets) and not lighter, lighter))
        hard = hard if lighter else sets
    reps = dict.fromkeys(say.reps(line.reps) for line in known)
    return {"exercise": known[0].name, "reps": " or ".join(reps), "sets": cells}


def changes(weeks: Sequence[WeekDocument], library: Library) -> Iterator[tuple[int, str]]:
    """Say of each hard week what differs from the hard week before: targets and sets; nothing where it is the same."""
    before: WeekDocument | None = None
    for place, week in enumerate(weeks, start=1):
        if is_lighter(week):
            continue
        if before is not None and (parts := list(_differences(before, week, library))):
            yield place, "; ".join(parts)
        before = week


def _differences(before: WeekDocument, week: WeekDocument, library: Library) -> Iterator[str]:
    was = {dose.head: dose.target for dose in before.dose}
    moved = [
        f"{name_of(library, dose.head)} {number(was.get(dose.head, 0.0))} → {number(dose.target)}"
        for dose in week.dose
        if abs(dose.target - was.get(dose.head, 0.0)) >= UNSHOWN
    ]
    if moved:
        yield f"targets {', '.join(moved)}"
    old, new = plan_of(before), plan_of(week)
    for exercise, day in dict.fromkeys((*old, *new)):
        now, then = new.get((exercise, day), 0), old.get((exercise, day), 0)
        if now != then:
            sets = f"{then} → {now} sets" if now and then else f"new, {now} sets"
            sets = sets if now else f"left out ({then} sets)"
            yield f"{say.day(day)}, {name_of(library, exercise)}: {sets}"


def above_ceiling(weeks: Sequence[WeekDocument], heads: dict[str, str]) -> Iterator[str]:
    """Name each head that gets more than its ceiling, how much at most, and in which weeks."""
    for head, name in heads.items():
        over = {
            place: total(dose) - dose.ceiling
            for place, week in enumerate(weeks, start=1)
            for dose in week.dose
            if dose.head == head and total(dose) - dose.ceiling >= UNSHOWN
        }
        if over:
            which = f"week{'s' if len(over) > 1 else ''} {joined([str(place) for place in over])}"
            yield f"{name}: up to {number(max(over.values()))} sets above the ceiling in {which}"


def _chart(weeks: Sequence[WeekDocument], head: str, name: str) -> str:
    """Draw one head's dose: a bar a week, the target as a black mark; lighter weeks are white."""
    known = [{dose.head: (total(dose), dose.target) for dose in week.dose} for week in weeks]
    values = [doses.get(head, (0.0, 0.0)) for doses in known]
    scale = (BOTTOM - TOP) / max(1.0, *(max(pair) for pair in values))
    place = (RIGHT - LEFT) / len(weeks)
    parts = [drawing.text(LEFT, 11, f"{name}, direct sets", size=TEXT, bold=True)]
    for at, (week, (dose, target)) in enumerate(zip(weeks, values, strict=True)):
        x, y = LEFT + at * place, BOTTOM - target * scale
        fill = drawing.WHITE if is_lighter(week) else "#b8b8b8"
        bar = (x + GAP / 2 * place, BOTTOM - dose * scale, (1 - GAP) * place, dose * scale)
        parts += [drawing.box(*bar, fill=fill, stroke=drawing.BLACK, line_width=0.6)]
        parts += [drawing.line(x, y, x + place, y, width=MARK)]
        if len(weeks) < EVERY or at % 2 == 0:
            middle, top = x + place / 2, BOTTOM - max(dose, target) * scale - 3
            parts += [drawing.text(middle, HEIGHT - 4, str(at + 1), size=TEXT, anchor="middle")]
            parts += [drawing.text(middle, top, f"{dose:.0f}", size=TEXT, anchor="middle")]
    told = (f"week {at} {number(dose)} of {number(target)}" for at, (dose, target) in enumerate(values, 1))
    return drawing.picture(WIDTH, HEIGHT, parts, f"{name}, direct sets: {', '.join(told)}.", wide=True)
