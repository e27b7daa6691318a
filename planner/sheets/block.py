"""What the overview of a block says: its weeks, the sets of each exercise in each, what changes, its proof."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from library.read import Library
from planner.document import PlannedExercise, WeekDocument
from planner.plain import UNSHOWN
from planner.sheets import names, say

Place = tuple[str, str]  # session id, exercise


@dataclass(frozen=True)
class WeekRow:
    """One week of the overview; `doses`: a head's total and target as printed, and whether it is short."""

    number: int
    week: str
    date: str
    lighter: bool
    effort: str
    sets: int
    minutes: str
    doses: tuple[tuple[str, bool], ...]
    proof: str


@dataclass(frozen=True)
class SetsRow:
    """One exercise of one session: its sets in every week, each with whether they differ from the last hard week."""

    exercise: str
    reps: str
    sets: tuple[tuple[str, bool, bool], ...]  # number, differs, lighter week


@dataclass(frozen=True)
class SessionSets:
    """One session of the overview."""

    day: str
    gym: str
    rows: tuple[SetsRow, ...]


def heads_of(weeks: Sequence[WeekDocument], library: Library) -> list[tuple[str, str]]:
    """Give the heads of all weeks, key and printed name, in the order in which they are printed."""
    keys = dict.fromkeys(dose.head for week in weeks for dose in week.dose)
    return [(key, names.sentence(names.name_of(library, key))) for key in keys]


def week_rows(weeks: Sequence[WeekDocument], library: Library) -> list[WeekRow]:
    """Write the table of weeks."""
    heads = [key for key, _ in heads_of(weeks, library)]
    return [_week_row(number, week, heads) for number, week in enumerate(weeks, start=1)]


def _week_row(number: int, week: WeekDocument, heads: Sequence[str]) -> WeekRow:
    lines = [line for session in week.sessions for line in session.exercises]
    reserves = sorted({line.rir for line in lines})
    doses = {dose.head: dose for dose in week.dose}
    told = []
    for head in heads:
        dose = doses.get(head)
        total = dose.planned + dose.elsewhere if dose else 0.0
        short = dose is not None and dose.target - total >= UNSHOWN
        told.append((f"{say.number(total)} / {say.number(dose.target)}" if dose else "–", short))
    return WeekRow(
        number=number,
        week=week.week,
        date=say.session_date(week.week_start, "Mon"),
        lighter=is_lighter(week),
        effort="–".join(map(str, reserves[:1] + reserves[-1:] if len(reserves) > 1 else reserves)) or "–",
        sets=sum(line.sets for line in lines),
        minutes=f"{sum(one.minutes.used for one in week.sessions):.0f}",
        doses=tuple(told),
        proof=_proof(week),
    )


def _proof(week: WeekDocument) -> str:
    """Say what another plan could still gain, of dose and of the rest."""
    gaps = {proof.aim: max(0.0, proof.gap) for proof in week.proof}
    told = " / ".join(f"{gaps[aim]:.2f}" for aim in ("dose", "rest") if aim in gaps)
    return told if week.status == "proven" else f"{told}, stopped"


def session_sets(weeks: Sequence[WeekDocument]) -> list[SessionSets]:
    """Write the sets of every exercise in every week, session by session."""
    return [
        SessionSets(
            say.day(session.id),
            say.plain(session.gym.replace("_", " ")),
            tuple(_sets_row(weeks, place) for place in _places(weeks) if place[0] == session.id),
        )
        for session in weeks[0].sessions
    ]


def _places(weeks: Sequence[WeekDocument]) -> list[Place]:
    """Every exercise of every session, in the order of the sheets; what joins later stands behind."""
    return list(
        dict.fromkeys(
            (session.id, line.exercise)
            for week in weeks
            for session in week.sessions
            for line in sorted(session.exercises, key=lambda line: line.order)
        )
    )


def _sets_row(weeks: Sequence[WeekDocument], place: Place) -> SetsRow:
    lines = [_line(week, place) for week in weeks]
    known = [line for line in lines if line is not None]
    cells: list[tuple[str, bool, bool]] = []
    hard: int | None = None
    for week, line in zip(weeks, lines, strict=True):
        sets, lighter = (line.sets if line else 0), is_lighter(week)
        cells.append((str(sets) if sets else "–", hard not in (None, sets) and not lighter, lighter))
        hard = hard if lighter else sets
    reps = dict.fromkeys(say.reps(line.reps) for line in known)
    return SetsRow(known[0].name, " or ".join(reps), tuple(cells))


def _line(week: WeekDocument, place: Place) -> PlannedExercise | None:
    lines = (line for one in week.sessions if one.id == place[0] for line in one.exercises)
    return next((line for line in lines if line.exercise == place[1]), None)


def is_lighter(week: WeekDocument) -> bool:
    """Whether a week is a lighter one of its block."""
    return week.block is not None and week.block.lighter


def changes(weeks: Sequence[WeekDocument], library: Library) -> list[tuple[int, str]]:
    """Say of each hard week what differs from the hard week before: targets and sets; nothing where it is the same."""
    told: list[tuple[int, str]] = []
    before: WeekDocument | None = None
    for number, week in enumerate(weeks, start=1):
        if is_lighter(week):
            continue
        if before is not None and (parts := list(_differences(before, week, library))):
            told.append((number, "; ".join(parts)))
        before = week
    return told


def _differences(before: WeekDocument, week: WeekDocument, library: Library) -> Iterator[str]:
    was = {dose.head: dose.target for dose in before.dose}
    moved = [dose for dose in week.dose if abs(dose.target - was.get(dose.head, 0.0)) >= UNSHOWN]
    if moved:
        told = (
            f"{names.name_of(library, dose.head)} {say.number(was.get(dose.head, 0.0))} → {say.number(dose.target)}"
            for dose in moved
        )
        yield f"targets {', '.join(told)}"
    old, new = _sets(before), _sets(week)
    for place in dict.fromkeys((*old, *new)):
        now, then = new.get(place, 0), old.get(place, 0)
        if now != then:
            sets = (
                f"{then} → {now} sets"
                if now and then
                else f"new, {now} sets"
                if now
                else f"left out ({then} sets)"
            )
            yield f"{say.day(place[0])}, {names.name_of(library, place[1])}: {sets}"


def _sets(week: WeekDocument) -> dict[Place, int]:
    return {(session.id, line.exercise): line.sets for session in week.sessions for line in session.exercises}


def above_ceiling(weeks: Sequence[WeekDocument], library: Library) -> list[str]:
    """Name each head that gets more than its ceiling, how much at most, and in which weeks."""
    told = []
    for head, name in heads_of(weeks, library):
        over = {
            number: dose.planned + dose.elsewhere - dose.ceiling
            for number, week in enumerate(weeks, start=1)
            for dose in week.dose
            if dose.head == head and dose.planned + dose.elsewhere - dose.ceiling >= UNSHOWN
        }
        if over:
            numbers = say.joined([str(number) for number in over])
            which = f"week{'s' if len(over) > 1 else ''} {numbers}"
            told.append(f"{name}: up to {say.number(max(over.values()))} sets above the ceiling in {which}")
    return told
