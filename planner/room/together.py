"""One hour, room by room: found, rechecked and written; or told why it cannot be."""

import datetime
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

from library.errors import Fault, FaultyInput
from planner.athlete.names import plain_word
from planner.errors import NoWeekPossible, PaperNotMade
from planner.files.safe import athlete_lock, write_safely
from planner.plain import counted, joined
from planner.room.floor import Room, timetable, too_many
from planner.room.people import OPTION, Hour, read_hour, rooms_at
from planner.room.table import Shown, page_html, recheck
from planner.week.gather import shipped


def hour_together(
    folder: Path, text: str, week: str, today: datetime.date
) -> tuple[list[Shown], list[str], int]:
    """Make the timetable of each room of an hour; with what to tell of rooms and people without one, and the exit code.

    Raises FaultyInput: the hour, the folder or what gym files count is wrong.
    """
    hour = read_hour(text)
    if not find_spec("ortools"):
        remedy = 'Install it: pip install "deltoid-planner[room]"'
        raise FaultyInput([Fault(OPTION, "", "ortools is not installed", remedy)])
    rooms, absent = rooms_at(folder, hour, week, today)
    names = {key: one.name.partition(",")[0] for key, one in shipped()[0].equipment.items()}
    shown, told, codes = [], [f"{one.name}: {one.reason}" for one in absent], [one.exit for one in absent]
    for gym, room in rooms.items():
        try:
            if room.people and (table := timetable(room)):
                recheck(room, table)
                shown.append(Shown(gym, hour, week, room, table, names, absent))
            elif room.people:
                raise NoWeekPossible("\n".join(_too_many(hour, room, names)))
        except NoWeekPossible as error:
            told.append(f"{gym}, {hour}: {error}")
            codes.append(error.exit_code)
    return shown, told, next((code for code in (1, 2, 3, 4) if code in codes), 0)


def _too_many(hour: Hour, room: Room, names: dict[str, str]) -> Iterator[str]:
    """Say which stations are too few for whom, and what would do."""
    stations, people = too_many(room)
    most = room.settings.wait_most_minutes
    yield f"No timetable keeps everybody's waiting to {most} min."
    who = f"{counted(len(people), 'athlete')}: {joined([one.name for one in people])}"
    if not stations:
        yield f"Too many for any room: {who}"
        return
    first, last = min(one.begins + one.warmup for one in people), max(one.over for one in people)
    for key in stations:
        need = sum(
            min(way.minutes * (key in way.stations) for way in block.ways)
            for one in people
            for block in one.blocks
        )
        there = room.stations[key] * (last - first)
        span = f"{need} min needed at the least, {there} there from {hour.clock(first)} to {hour.clock(last)}"
        yield f"{names[key]}, {room.stations[key]} there: {span}"
    yield f"{'Together too' if len(stations) > 1 else 'Too'} few for {who}"
    yield "Give one of them another hour or another exercise (planner swap), or correct `stations` in gym.toml"


def write_hour(shown: list[Shown], folder: Path) -> list[Path]:
    """Write a PDF a room into the folder. Raises FaultyInput; PaperNotMade if there is no renderer, with HTML written."""
    from planner.sheets.render import html_to_pdf

    written, fault = [], None
    with athlete_lock(folder):
        for one in shown:
            clock = one.hour.clock().replace(":", "")
            file = folder / f"together-{one.week}-{one.hour.day}-{clock}-{plain_word(one.gym)}.pdf"
            html = page_html(one, "A4")
            try:
                write_safely(file, html_to_pdf(html))
            except PaperNotMade as reason:
                file, fault = file.with_suffix(".html"), reason
                write_safely(file, html)
            written.append(file)
    if fault:
        raise fault
    return written
