"""What the coach reads and prints on Sunday: one page over all athletes, and the sheets of all in one file."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from library.errors import Fault
from planner.document import WeekDocument, exercise_names, plan_of, week_start
from planner.method import TOLD, TRAIN, SheetSettings
from planner.plain import DAY_NAMES, joined, number, week_of
from planner.sheets import drawing

if TYPE_CHECKING:
    from planner.roster import Row
    from planner.train.progress import Progress
    from planner.week.gather import Asked

SUNDAY, PRINT = "sunday.pdf", "print.pdf"
PLACE_OF_SHEETS = "session-"  # how sheets.pdf names the place where the sheet of a day begins
ONE_DAY = datetime.timedelta(days=1)
NO_HOUR = "25:00"  # sorts behind every hour
STRIP, TEXT = (54.0, 7.0), 2.6  # a year's strip and its letters, in millimetres
MAXIMA_MOST, NOTES_MOST = 2, 3  # of one athlete, the best known and the newest: the page has no room for more


@dataclass(frozen=True)
class PastWeek:
    """A week that lies behind: sets done, sets planned (None: no plan), highest pain (None: none written)."""

    week: str
    sets: int
    planned: int | None
    pain: float | None
    away: bool


@dataclass(frozen=True)
class Look:
    """What is read of one athlete on Sunday beside the week's doses. `hours`: day -> when it begins, "" if not said."""

    hours: tuple[tuple[str, str], ...] = ()
    urgent: bool = False  # pain that asks for a doctor before the week goes on
    changed: tuple[str, ...] = ()
    due: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    maxima: tuple[str, ...] = ()
    year: tuple[PastWeek, ...] = ()
    paper: str = "A4"


def look_at(asked: Asked, document: WeekDocument) -> Look:
    """Look at an athlete's week and the year before it. Raises FaultyInput."""
    from planner.train.progress import read_progress

    filed, brief = asked.filed, asked.inputs.brief
    progress = read_progress(filed.folder, asked.start - ONE_DAY, filed.inputs.library)
    hours = {str(one.day): one.at or "" for one in brief.session}
    behind = asked.before.week if asked.before else ""
    carried = [line for line in asked.carried.lines if line not in document.pain]
    carried = [line for line in carried if not line.startswith(f"Week {behind}, ")] + _left(progress, behind)
    return Look(
        hours=tuple((one.id, hours.get(one.day, "")) for one in document.sessions if one.exercises),
        urgent=any(line.first_sheet for line in asked.carried.pain.lines),
        changed=tuple(changed_lines(asked.before, document)),
        due=tuple(dict.fromkeys([*document.warnings, *carried])),
        notes=tuple(_notes(progress)),
        maxima=tuple(_maxima(progress)),
        year=tuple(
            PastWeek(of.week, of.sets, of.planned_sets, of.pain, of.away)
            for of in progress.weeks
            if of.week < document.week
        )[-TRAIN.progress_weeks :],
        paper=brief.preferences.paper,
    )


def changed_lines(before: WeekDocument | None, document: WeekDocument) -> Iterator[str]:
    """Say what is other than in the week `before`: exercises, sets and days, loads."""
    if before is None:
        yield "first week"
        return
    from planner.week.notes import moves

    names, then, now = (
        exercise_names(before) | exercise_names(document),
        plan_of(before),
        plan_of(document),
    )
    was, are = (dict.fromkeys(key for key, _ in plan) for plan in (then, now))
    for word, keys in (
        ("new", [key for key in are if key not in was]),
        ("out", [key for key in was if key not in are]),
    ):
        if keys:
            yield f"{word}: {joined([names[key] for key in keys])}"
    yield from (f"{names[key]}: {places}" for key, places in moves(then, now))
    old, new = _loads(before), _loads(document)
    for place, (load, unit) in new.items():
        if place in old and old[place] != (load, unit):
            yield f"{names[place[0]]}: {old[place][0]:g} → {load:g} {unit}"


def _loads(document: WeekDocument) -> dict[tuple[str, str], tuple[float, str]]:
    """Give the load of each exercise in each gym, where it has one."""
    lines = ((line, session.gym) for session in document.sessions for line in session.exercises)
    return {
        (line.exercise, gym): (line.load, line.load_unit or "")
        for line, gym in lines
        if line.load is not None
    }


def _left(progress: Progress, week: str) -> list[str]:
    """Say how many sets of a planned week were done, where some of them were not."""
    plans = [of.against_plan for of in progress.weeks if of.week == week and of.sets and of.against_plan]
    left = [plan for plan in plans if plan.done_as_planned < plan.planned_sets]
    return [f"{plan.done_as_planned} of {plan.planned_sets} sets of {week} done" for plan in left]


def _notes(progress: Progress) -> Iterator[str]:
    """Give the newest words of the athlete, those of the last trained week."""
    last = progress.weeks[-1].week if progress.weeks else ""
    for row in [row for row in progress.notes if row.week == last][: -NOTES_MOST - 1 : -1]:
        yield f"{progress.name(row.exercise)}: {row.note}"


def _maxima(progress: Progress) -> Iterator[str]:
    """Give the estimated maxima of the exercises that were trained in most weeks, first and latest."""
    tracks = sorted(progress.tracks, key=lambda track: (-len(track.weeks), track.exercise))
    known = ((track, [value for value in track.maxima if value is not None]) for track in tracks)
    for track, values in [one for one in known if one[1]][:MAXIMA_MOST]:
        ends = " → ".join(dict.fromkeys(f"{value:.3g}" for value in (values[0], values[-1])))
        yield f"{progress.name(track.exercise)} {ends} {track.unit}"


def sunday_html(rows: Sequence[Row], week: str, counts: str) -> str:
    """Write the page as one HTML text: pain first, then what changed, is short and due, then everybody."""
    from markupsafe import Markup

    from planner.sheets.page import fill

    folder, paper = files("planner.sheets") / "styles", next((row.look.paper for row in rows), "A4")
    styles = [(folder / name).read_text(encoding="utf-8") for name in ("fonts.css", "sunday.css")]
    page = f"@page {{ size: {paper}; margin: {SheetSettings().margin_millimetres:g}mm }}"
    made = sorted((row for row in rows if row.status), key=lambda row: row.name.casefold())
    short = [
        (row.name, [f"{of.head} by {number(of.short)}" for of in row.short if of.short >= TOLD.short_from])
        for row in made
    ]
    return fill(
        "sunday.html",
        title=f"Sunday page: {week}",
        style=Markup("\n".join([page, *styles])),
        week=week_of(week, week_start(week).isoformat()),
        created=week_start(week).isoformat(),
        counts=counts,
        first=[(row.name, row.pain) for row in sorted(made, key=lambda row: not row.look.urgent) if row.pain],
        nobody=[(row.name, row.error.splitlines()) for row in rows if not row.status],
        parts=[
            ("Changed against last week", [(row.name, row.look.changed) for row in made]),
            ("Short of target, sets a week", short),
            ("Due, and left open", [(row.name, row.look.due) for row in made]),
            ("What was written last week", [(row.name, row.look.notes) for row in made]),
        ],
        days=_days(made),
        heads=(heads := list(dict.fromkeys(of.head for row in made for of in row.heads))),
        everybody=[
            (
                row,
                [{of.head: of for of in row.heads}.get(head) for head in heads],
                Markup(strip(row.look.year, week)),
            )
            for row in made
        ],
    )


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
    width, high = STRIP
    step, foot = width / TRAIN.progress_weeks, high - 0.4
    most = max([1, *(of.sets for of in year), *(of.planned or 0 for of in year)])
    parts, said = [drawing.line(0, foot, width, foot)], []
    for of in year:
        back = (week_start(week) - week_start(of.week)).days // 7
        left, top = width - back * step, foot - (foot - 1.6) * of.sets / most
        if of.away:
            parts.insert(0, drawing.box(left, 0, step, foot, fill=drawing.LIGHT))
        parts.append(drawing.box(left + step * 0.15, top, step * 0.7, foot - top, fill=drawing.DARK))
        if of.planned is not None:
            mark = foot - (foot - 1.6) * of.planned / most
            parts.append(drawing.line(left, mark, left + step, mark, width=0.25))
        if of.pain is not None and of.pain > TRAIN.pain_go_most:
            parts.append(drawing.circle(left + step / 2, 0.6, 0.4, fill=drawing.BLACK))
        said.append(f"{of.week} {of.sets}")
    return drawing.picture(width, high, parts, f"Sets a week: {', '.join(said) or 'none'}")


def joined_sheets(rows: Sequence[Row]) -> tuple[bytes, list[Fault]]:
    """Join the sheets of all athletes into one PDF, by day, hour and name; who has no hour comes last in a day.

    The same sheets give the same bytes. Gives the files too that are no PDF and are left out.
    """
    import hashlib
    import io
    import re

    from pypdfium2 import PdfDocument, PdfiumError

    joined_pdf, places, digest, faults = PdfDocument.new(), [], hashlib.sha256(), list[Fault]()
    for row in rows:
        file, hours = Path(row.sheets), dict(row.look.hours)
        digest.update(content := file.read_bytes())
        try:
            sheets = PdfDocument(content)
        except PdfiumError:
            faults.append(Fault(file, "", "this is no PDF", f"Plan it again: planner week {row.folder}"))
            continue
        starts, day = _starts(sheets), ""
        for page in range(len(sheets)):
            day = starts.get(page, day)
            order = (
                [*DAY_NAMES, ""].index(day[:3]),
                hours.get(day) or NO_HOUR,
                row.name.casefold(),
                row.folder,
            )
            places.append((*order, page, sheets))
    for *_, page, sheets in sorted(places, key=lambda place: place[:5]):
        joined_pdf.import_pages(sheets, [page])
    stream = io.BytesIO()
    joined_pdf.save(stream)
    name = b"/ID[<%s><%s>]" % ((digest.hexdigest()[:32].upper().encode(),) * 2)
    return re.sub(rb"/ID\s*\[\s*<\w*>\s*<\w*>\s*\]", name, stream.getvalue()), faults


def _starts(sheets: Any) -> dict[int, str]:
    """Give the day of each page on which a session's sheet begins, by the names that the sheets have for them."""
    from ctypes import byref, c_long, create_string_buffer

    import pypdfium2.raw as raw

    starts = {}
    for place in range(raw.FPDF_CountNamedDests(sheets)):
        buffer, size = create_string_buffer(200), c_long(200)
        target = raw.FPDF_GetNamedDest(sheets, place, buffer, byref(size))
        name = buffer.raw[: max(0, size.value)].decode("utf-16-le").rstrip("\0")
        if name.startswith(PLACE_OF_SHEETS):
            day = name.removeprefix(PLACE_OF_SHEETS).split(".")[0]
            starts[raw.FPDFDest_GetDestPageIndex(sheets, target)] = day if day[:3] in DAY_NAMES else ""
    return starts
