"""One hour, room by room: each timetable rechecked by sums of its own, then as data; screen and paper print that data."""

import datetime
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from library.errors import BrokenPlan, Fault, FaultyInput, NoWeekPossible, PaperNotMade
from planner.athlete.names import plain_word
from planner.athlete.writing import athlete_lock
from planner.document import week_start
from planner.plain import UNSHOWN, counted, day_name, joined, number, width
from planner.room.floor import Room, Timetable, Visit, timetable, too_many
from planner.room.people import OPTION, Hour, read_hour, rooms_at
from planner.roster import WORST_FIRST
from planner.sheets import say
from planner.sheets.page import fill, page_style
from planner.week.gather import shipped

TICK = 10  # minutes between two times of day
SHEETS = "The sheets stay as they are."
Shown = dict[str, Any]  # a room at an hour as --json prints it
Together = tuple[list[Shown], list[str], int]


def hour_together(folder: Path, text: str, week: str, today: datetime.date) -> Together:
    """Give each room of an hour as data; with what to tell of rooms and people that are not in it, and the exit code.
    Raises FaultyInput: the hour, the folder or what gym files count is wrong, or OR-Tools is not installed."""
    hour = read_hour(text)
    if not find_spec("ortools"):
        remedy = 'Install it: pip install "deltoid-planner[room]"'
        raise FaultyInput([Fault(OPTION, "", "ortools is not installed", remedy)])
    rooms, missing = rooms_at(folder, hour, week, today)
    told, codes = [reason for reason, _ in missing], {code for _, code in missing}
    shown = []
    for gym, room in rooms.items():
        try:
            table = timetable(room)
            if table is None:
                raise NoWeekPossible(clash_words(hour, room))
            recheck(room, table)
            shown.append(document(gym, hour, week, room, table) | {"missing": told[: len(missing)]})
        except NoWeekPossible as error:
            told.append(f"{gym}, {hour}: {error}")
            codes.add(error.exit_code)
    return shown, told, next((code for code in WORST_FIRST if code in codes), 0)


def recheck(room: Room, table: Timetable) -> None:
    """Raise BrokenPlan where a timetable asks too much of a station or a person, or states another sum than it has."""
    crowds, faults = crowd(table), []
    for (key, minute), people in crowds.items():
        if people > room.stations.get(key, people):
            faults.append(f"minute {minute}: {people} at {key}, of {room.stations[key]}")
    for one, visits in zip(room.people, table.visits, strict=True):
        clock = [minute for visit in visits for minute in range(visit.start, visit.end)]
        once = sorted(visit.block.letter for visit in visits) == sorted(block.letter for block in one.blocks)
        planned = all(visit.way in visit.block.ways and visit.block in one.blocks for visit in visits)
        inside = all(one.begins + one.warmup <= minute < one.over for minute in clock)
        alone = len(clock) == len({*clock}) and sum(visit.way.instead for visit in visits) <= 1
        faults += [] if once and planned and inside and alone else [f"{one.name} cannot keep this order"]
    minutes = sum(waits(room, table)) + replaced(table) * room.settings.replacement_minutes
    if abs(minutes - table.waiting.value) > UNSHOWN:
        faults.append(f"{number(minutes)} min of waiting, said to be {number(table.waiting.value)}")
    if faults:
        raise BrokenPlan("The timetable breaks what it promises: " + "; ".join(faults))


def crowd(table: Timetable) -> Counter[tuple[str, int]]:
    """Count the people at each station in each minute."""
    every = [visit for visits in table.visits for visit in visits]
    return Counter((key, at) for one in every for key in one.way.stations for at in range(one.start, one.end))


def waits(room: Room, table: Timetable) -> list[int]:
    """Give each person's minutes in the room that are neither warm-up nor a block."""
    minutes = []
    for one, visits in zip(room.people, table.visits, strict=True):
        first = one.begins + one.warmup
        stay = max((visit.end for visit in visits), default=first) - first
        minutes.append(stay - sum(visit.way.minutes for visit in visits))
    return minutes


def replaced(table: Timetable) -> int:
    """Count the replacements."""
    return sum(visit.way.instead for visits in table.visits for visit in visits)


def document(gym: str, hour: Hour, week: str, room: Room, table: Timetable) -> Shown:
    """Give a room at an hour as data: times of day, minutes, printed names; `before`: minutes from the first of `times`."""
    names, crowds = station_names(), crowd(table)
    first = TICK * (min(one.begins for one in room.people) // TICK)
    last = max(visit.end for visits in table.visits for visit in visits)
    used = {key: [count for (of, _), count in crowds.items() if of == key] for key in room.stations}
    date, clock = say.session_date(week_start(week).isoformat(), hour.day), hour.clock().replace(":", "")
    return {
        "title": f"{day_name(hour.day)} {date}, {hour.clock()}, {gym.replace('_', ' ')}",
        "file": f"together-{week}-{hour.day}-{clock}-{plain_word(gym)}",
        "times": [hour.clock(at) for at in range(first, TICK * math.ceil(last / TICK), TICK)],
        "people": [
            {"name": one.name, "language": one.language, "from": hour.clock(one.begins), "waits": wait}
            | {"before": one.begins - first, "warmup": one.warmup}
            | {"visits": _visits(hour, one.begins + one.warmup, visits, names)}
            for one, visits, wait in zip(room.people, table.visits, waits(room, table), strict=True)
        ],
        "stations": [
            {"key": key, "name": names[key], "there": room.stations[key], "most": max(of), "minutes": sum(of)}
            for key, of in used.items()
            if of
        ],
        "proof": {"waiting": asdict(table.waiting), "change": asdict(table.change)},
        "status": "stopped" if table.stopped else "proven",
        "sums": _sums(room, table),
    }


def _visits(hour: Hour, free: int, visits: Sequence[Visit], names: Mapping[str, str]) -> list[Shown]:
    """Give one person's visits, each with the minutes waited before it."""
    ends = [free, *(visit.end for visit in visits)]
    return [
        {"block": visit.block.letter, "from": hour.clock(visit.start), "to": hour.clock(visit.end)}
        | {"waits": visit.start - end, "minutes": visit.way.minutes, "exercises": visit.way.lines}
        | {"stations": visit.way.stations, "places": [names[key] for key in visit.way.stations]}
        | {"instead": visit.block.ways[0].lines if visit.way.instead else ()}
        for end, visit in zip(ends, visits, strict=False)
    ]


def _sums(room: Room, table: Timetable) -> list[str]:
    waiting, work = sum(waits(room, table)), (one.way.minutes for visits in table.visits for one in visits)
    values = {"inside": waiting + sum(one.warmup for one in room.people) + sum(work), "unshown": UNSHOWN}
    values |= {"waiting": waiting, "replaced": replaced(table)}
    return fill("sums.txt", room=room, table=table, **values).splitlines()


def station_names() -> dict[str, str]:
    """Give the short printed name of each piece of equipment, in the language that is spoken here."""
    return {key: say._(one.name).partition(",")[0] for key, one in shipped()[0].equipment.items()}


def clash_words(hour: Hour, room: Room) -> str:
    """Say which stations are too few for whom, and what would do."""
    stations, people = too_many(room)
    first, last = min(one.begins + one.warmup for one in people), max(one.over for one in people)
    blocks, said = [block for one in people for block in one.blocks], []
    for key in stations:
        need = sum(min(way.minutes * (key in way.stations) for way in block.ways) for block in blocks)
        have = f"{room.stations[key] * (last - first)} there from {hour.clock(first)} to {hour.clock(last)}"
        there = f"{station_names()[key]}, {room.stations[key]} there"
        said.append(f"{there} ({need} min needed at the least, {have})")
    return (
        f"No timetable keeps everybody's waiting to {room.settings.wait_most_minutes} min. "
        f"Too few{' together' * (len(said) > 1)} for {joined([one.name for one in people])}: {joined(said)}. "
        "Give one of them another hour or another exercise (planner swap), or correct `stations` in gym.toml"
    )


def text(shown: Shown) -> str:
    """Write a room for the terminal: people down, minutes across, then what each does."""
    wide = max(width(one["name"]) for one in shown["people"]) + 2
    values = {"wide": wide, "tick": TICK, "note": SHEETS, "width": width, "counted": counted}
    return "\n".join(line.rstrip() for line in fill("room.txt", **values, **shown).splitlines())


def write_hour(shown: Sequence[Shown], folder: Path) -> list[Path]:
    """Write a PDF a room: the floor timetable, and a slip for each athlete's sheet. Raises FaultyInput; PaperNotMade
    if there is no renderer, with HTML written."""
    from markupsafe import Markup

    from planner.sheets.render import write_pdf_safely

    names, fault = [folder / f"{room['file']}.pdf" for room in shown], None
    values = {"style": page_style("room.css", "A4", landscape=True), "tick": TICK, "note": SHEETS}
    with athlete_lock(folder):
        for file, room in zip(names, shown, strict=True):
            slips = []
            for person in room["people"]:
                with say.speaking(person["language"]):
                    slips.append(Markup(fill("slip.html", one=person, names=station_names())))
            try:
                write_pdf_safely(file, fill("room.html", slips=slips, **values, **room))
            except PaperNotMade as missing:
                fault = fault or missing
    if fault:
        raise fault
    return names
