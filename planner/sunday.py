"""What the coach reads on Sunday: a row for each athlete, and one page over all of them."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from planner.document import WeekDocument, exercise_names, plan_of, week_name, week_start
from planner.method import TRAIN
from planner.plain import DAY_NAMES, for_paper, joined, number, week_of

if TYPE_CHECKING:
    from planner.train.progress import Progress
    from planner.week.gather import Asked

ONE_DAY = datetime.timedelta(days=1)
NO_HOUR = "25:00"  # sorts behind every hour
STRIP = 54.0  # width of a year's strip, in millimetres
MAXIMA_MOST, NOTES_MOST = 2, 3  # of one athlete, the best known and the newest: the page has no room for more


@dataclass(frozen=True)
class PastWeek:
    """A week that lies behind: sets done, sets planned (None: no plan), whether pain was above the coach's "go on"."""

    week: str
    sets: int
    planned: int | None
    hurts: bool
    away: bool


@dataclass(frozen=True)
class Look:
    """What is read of one athlete on Sunday beside the week's doses. `hours`: day -> when it begins, "" if not said."""

    hours: tuple[tuple[str, str], ...] = ()
    urgent: bool = False  # pain that asks for a doctor before the week goes on
    changed: tuple[str, ...] = ()
    due: tuple[str, ...] = ()
    left: str = ""  # sets done of those planned last week, where some are missing
    notes: tuple[str, ...] = ()
    maxima: tuple[str, ...] = ()
    year: tuple[PastWeek, ...] = ()
    paper: str = "A4"


NOTHING_SEEN = Look()


@dataclass(frozen=True)
class HeadTotal:
    """One head's week in direct sets: `total` is these sessions and what is done elsewhere, `short` what nobody meant
    to be missing to the target."""

    head: str
    total: float
    target: float
    short: float = 0.0


@dataclass(frozen=True)
class Row:
    """How one athlete's week came out. `exit`: as `planner week` would end; `sheets`: where they lie, empty if
    nowhere. `name` is the folder's where the brief could not be read; `error`: what went wrong; `pain` is read first."""

    folder: str
    name: str
    week: str
    status: str = ""  # proven or stopped; empty: no week
    pain: tuple[str, ...] = ()
    heads: tuple[HeadTotal, ...] = ()
    warnings: tuple[str, ...] = ()
    sheets: str = ""
    exit: int = 0
    error: str = ""
    look: Look = NOTHING_SEEN
    made: str = ""  # digest of week.json and sheets as they were written; empty: nowhere
    less: str = ""  # why the week gives less than its targets on purpose

    @property
    def short(self) -> tuple[HeadTotal, ...]:
        """Heads that miss their target."""
        return tuple(head for head in self.heads if head.short)

    def document(self) -> dict[str, Any]:
        """Give the record of --json; doses in direct sets a week."""
        return {**asdict(self), "short": {head.head: head.short for head in self.short}}


def look_at(asked: Asked, document: WeekDocument) -> Look:
    """Look at an athlete's week and the year before it. Raises FaultyInput."""
    from planner.train.progress import read_progress

    filed, brief = asked.filed, asked.inputs.brief
    progress = read_progress(filed.folder, asked.start - ONE_DAY, filed.inputs.library)
    hours = {str(one.day): one.at or "" for one in brief.session}
    behind = asked.before.week if asked.before else ""
    first = asked.start - TRAIN.progress_weeks * 7 * ONE_DAY
    go = progress.settings.pain_go_most
    newest = (row for row in reversed(progress.notes) if row.week == week_name(asked.start - ONE_DAY))
    carried = [line for line in asked.carried.lines if line not in document.pain]
    carried = [line for line in carried if not line.startswith(f"Week {behind}, ")]
    return Look(
        hours=tuple((one.id, hours.get(one.day, "")) for one in document.sessions if one.exercises),
        urgent=any(line.first_sheet for line in asked.carried.pain.lines),
        changed=tuple(changed_lines(asked.before, document)),
        due=tuple(dict.fromkeys([*document.warnings, *carried])),
        left=_left(progress, behind),
        notes=tuple(dict.fromkeys(f"{progress.name(row.exercise)}: {row.note}" for row in newest))[
            :NOTES_MOST
        ],
        maxima=tuple(_maxima(progress)),
        year=tuple(
            PastWeek(of.week, of.sets, of.planned_sets, (of.pain or 0) > go, of.away)
            for of in progress.weeks
            if first <= week_start(of.week) < asked.start
        ),
        paper=brief.preferences.paper,
    )


def changed_lines(before: WeekDocument | None, document: WeekDocument) -> Iterator[str]:
    """Say what is other than in the week `before`: exercises, sets and days, loads."""
    if before is None:
        yield "first week"
        return
    from planner.week.notes import moves

    was, are = exercise_names(before), exercise_names(document)
    names = was | are
    if new := [names[key] for key in are if key not in was]:
        yield f"new: {joined(new)}"
    if gone := [names[key] for key in was if key not in are]:
        yield f"out: {joined(gone)}"
    yield from (f"{names[key]}: {places}" for key, places in moves(plan_of(before), plan_of(document)))
    loads = _loads(before)
    for place, (load, unit) in _loads(document).items():
        if place in loads and loads[place] != (load, unit):
            yield f"{names[place[0]]}: {loads[place][0]:g} → {load:g} {unit}"


def _loads(document: WeekDocument) -> dict[tuple[str, str], tuple[float, str]]:
    """Give the load of each exercise in each gym, where it has one."""
    lines = ((line, session.gym) for session in document.sessions for line in session.exercises)
    loads = {(line.exercise, gym): (line.load, line.load_unit or "") for line, gym in lines}
    return {place: (load, unit) for place, (load, unit) in loads.items() if load is not None}


def _left(progress: Progress, week: str) -> str:
    """Say how many sets of a planned week were done, where some of them were not: "9 of 18"."""
    plans = [of.against_plan for of in progress.weeks if of.week == week and of.sets and of.against_plan]
    return "".join(f"{plan.done} of {plan.planned_sets}" for plan in plans if plan.done < plan.planned_sets)


def _maxima(progress: Progress) -> Iterator[str]:
    """Give the estimated maxima of the exercises that were trained in most weeks, first and latest."""
    tracks = sorted(progress.tracks, key=lambda track: (-len(track.weeks), track.exercise))
    known = ((track, [value for value in track.maxima if value is not None]) for track in tracks)
    for track, values in [one for one in known if one[1]][:MAXIMA_MOST]:
        ends = " → ".join(dict.fromkeys(f"{value:.3g}" for value in (values[0], values[-1])))
        yield f"{progress.name(track.exercise)} {ends} {track.unit}"


def sunday_html(rows: Sequence[Row], week: str, counts: str) -> str:
    """Write the page as one HTML text: pain first, then what changed, is short and due, then everybody."""
    from planner.sheets.page import fill, page_style

    made = sorted((row for row in rows if row.status), key=lambda row: row.name.casefold())
    return fill(
        "sunday.html",
        title=f"Sunday page: {week}",
        style=page_style("sunday.css", next((row.look.paper for row in made), "A4")),
        week=week_of(week, week_start(week).isoformat()),
        created=week_start(week).isoformat(),
        counts=counts,
        first=[(row.name, row.pain) for row in sorted(made, key=lambda row: not row.look.urgent) if row.pain],
        nobody=[(row.name, for_paper(row.error, row.folder).splitlines()) for row in rows if not row.status],
        parts=[
            ("Changed against last week", _alike((row.name, row.look.changed) for row in made)),
            (
                "Short of target, sets a week",
                [(row.name, [f"{of.head} by {number(of.short)}" for of in row.short]) for row in made],
            ),
            ("Due", _alike((row.name, row.look.due) for row in made)),
            ("What was written last week", [(row.name, row.look.notes) for row in made]),
        ],
        left=[(row.name, row.look.left) for row in made if row.look.left],
        days=_days(made),
        heads=list(dict.fromkeys(of.head for row in made for of in row.heads)),
        everybody=[(row, {of.head: of for of in row.heads}, strip(row.look.year, week)) for row in made],
    )


def _alike(said: Iterable[tuple[str, tuple[str, ...]]]) -> list[tuple[str, tuple[str, ...]]]:
    """Put the names together of whom the same is said: forty first weeks are one line."""
    names: dict[tuple[str, ...], list[str]] = {}
    for name, words in said:
        names.setdefault(words, []).append(name)
    return [(", ".join(alike), words) for words, alike in names.items()]


def _days(rows: Sequence[Row]) -> list[tuple[str, list[tuple[str, list[str]]]]]:
    """Give for each day its hours, "" last, and who comes."""
    comes: dict[str, dict[str, list[str]]] = {day: {} for day in DAY_NAMES}
    for row in rows:
        for day, hour in row.look.hours:
            comes[day[:3]].setdefault(hour, []).append(row.name)
    ordered = {day: sorted(hours.items(), key=lambda of: of[0] or NO_HOUR) for day, hours in comes.items()}
    return [(DAY_NAMES[day], hours) for day, hours in ordered.items() if hours]


def strip(year: Sequence[PastWeek], week: str) -> str:
    """Draw the weeks before `week`: sets done as bars, sets planned as marks, pain that counts as dots, away as ground."""
    from planner.sheets.page import fill

    if not year:
        return ""
    step, first = STRIP / TRAIN.progress_weeks, week_start(week)
    placed = [(of, STRIP - (first - week_start(of.week)).days // 7 * step) for of in year]
    most = max([1, *(of.sets for of in year), *(of.planned or 0 for of in year)])
    said = f"Sets a week: {', '.join(f'{of.week} {of.sets}' for of in year)}"
    return fill("_strip.html", year=placed, step=step, most=most, said=said)
