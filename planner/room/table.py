"""A room's timetable rechecked by sums of its own, then on screen, as data and on paper."""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from planner.document import week_start
from planner.errors import BrokenPlan
from planner.method import SheetSettings
from planner.plain import UNSHOWN, WORTH, counted, day_name, number, width
from planner.room.floor import Person, Room, Timetable, Visit
from planner.room.people import Absent, Hour
from planner.sheets import say
from planner.sheets.page import fill

WARMING_UP, WAITING, TICK = "=", ".", 10  # signs on screen; minutes between two times of day
KEY = "= warm-up, . waiting, letters as on the sheets; each block is rounded up to whole minutes."


def recheck(room: Room, table: Timetable) -> None:
    """Raise BrokenPlan where a timetable asks too much of a station or a person, or states another sum than it has."""
    faults = [
        f"minute {minute}: {people} at {station}, of {room.stations[station]}"
        for (station, minute), people in crowd(table.visits).items()
        if people > room.stations.get(station, people)
    ]
    for person, visits in zip(room.people, table.visits, strict=True):
        clock = [minute for visit in visits for minute in range(visit.start, visit.end)]
        once = sorted(visit.block.letter for visit in visits) == sorted(
            block.letter for block in person.blocks
        )
        planned = all(visit.way in visit.block.ways and visit.block in person.blocks for visit in visits)
        inside = all(person.begins + person.warmup <= minute < person.over for minute in clock)
        alone = len(clock) == len({*clock}) and sum(visit.way.instead for visit in visits) <= 1
        faults += [] if once and planned and inside and alone else [f"{person.name} cannot keep this order"]
    replaced = sum(visit.way.instead for visits in table.visits for visit in visits)
    minutes = sum(waits(room, table)) + replaced * room.settings.replacement_minutes
    if abs(minutes - table.waiting.value) > UNSHOWN:
        faults.append(f"{number(minutes)} min of waiting, said to be {number(table.waiting.value)}")
    if faults:
        raise BrokenPlan("The timetable breaks what it promises: " + "; ".join(faults))


def crowd(visits: Sequence[Sequence[Visit]]) -> Counter[tuple[str, int]]:
    """Count the people at each station in each minute."""
    every = (visit for of_one in visits for visit in of_one)
    return Counter(
        (key, minute)
        for visit in every
        for key in visit.way.stations
        for minute in range(visit.start, visit.end)
    )


def waits(room: Room, table: Timetable) -> list[int]:
    """Give each person's minutes in the room that are neither warm-up nor a block."""
    return [
        max((visit.end for visit in visits), default=one.begins + one.warmup)
        - one.begins - one.warmup - sum(visit.way.minutes for visit in visits)
        for one, visits in zip(room.people, table.visits, strict=True)
    ]  # fmt: skip


@dataclass(frozen=True)
class Shown:
    """One room at one hour, with all that its paper and its screen say."""

    gym: str
    hour: Hour
    week: str
    room: Room
    table: Timetable
    names: Mapping[str, str]  # station -> printed name
    absent: Sequence[Absent] = ()

    @property
    def rows(self) -> list[tuple[Person, tuple[Visit, ...], int]]:
        """Each person with visits and minutes of waiting."""
        return list(zip(self.room.people, self.table.visits, waits(self.room, self.table), strict=True))

    @property
    def span(self) -> tuple[int, int]:
        """First and last minute of the table, as whole ticks."""
        first = min(one.begins for one in self.room.people)
        last = max(visit.end for _, visits, _ in self.rows for visit in visits)
        return TICK * (first // TICK), TICK * math.ceil(last / TICK)

    @property
    def title(self) -> str:
        """Day, time, room, week."""
        date = say.session_date(week_start(self.week).isoformat(), self.hour.day)
        return f"{day_name(self.hour.day)} {date}, {self.hour.clock()}, {self.gym.replace('_', ' ')}"

    def place(self, visit: Visit) -> str:
        """Say the counted stations of a visit."""
        return ", ".join(self.names[key] for key in visit.way.stations)

    def instead(self, visit: Visit) -> str:
        """Say what a replacement stands for; empty for what was planned."""
        return f"instead of {' and '.join(visit.block.ways[0].lines)}" if visit.way.instead else ""

    def stations(self) -> list[tuple[str, int, int, int]]:
        """Give each counted station that is used: name, how many there are, most people at once, minutes in use."""
        people = crowd(self.table.visits)
        most = {
            key: [count for (station, _), count in people.items() if station == key]
            for key in self.room.stations
        }
        return [
            (self.names[key], self.room.stations[key], max(used), sum(used))
            for key, used in most.items()
            if used
        ]

    def sums(self) -> list[str]:
        """Say how long is waited, what changed, and how good both are proven to be."""
        waiting, table = sum(wait for *_, wait in self.rows), self.table
        replaced = sum(visit.way.instead for visits in table.visits for visit in visits)
        inside = waiting + sum(
            one.warmup + sum(visit.way.minutes for visit in visits) for one, visits, _ in self.rows
        )
        least = f"within {number(table.waiting.gap)} min of the least"
        each = self.room.settings.replacement_minutes
        return [
            f"{counted(waiting, 'minute')} of waiting in all, {counted(replaced, 'replacement')}",
            f"proof: waiting {least} ({100 * table.waiting.gap / max(1, inside):.1f} % of {inside} min in the room), "
            f"a replacement counted as {each} min",
            f"proof: change worth {number(table.change.value)}, within {number(table.change.gap)} {WORTH} of the least, "
            "among timetables in which nobody waits longer",
            *(["The search was stopped: a better timetable may exist."] if table.stopped else []),
        ]

    def missing(self) -> list[str]:
        """Say who may belong to the hour and is not in the table."""
        return [f"Not in this table: {one.name}: {one.reason}" for one in self.absent]

    def document(self) -> dict[str, Any]:
        """Give the room as data: times of day, minutes, stations by key."""
        proof = {"waiting": self.table.waiting, "change": self.table.change}
        people = [
            {
                "name": one.name, "begins": self.hour.clock(one.begins), "waiting_minutes": wait,
                "visits": [
                    {
                        "block": visit.block.letter, "from": self.hour.clock(visit.start), "to": self.hour.clock(visit.end),
                        "exercises": list(visit.way.lines), "stations": list(visit.way.stations), "instead": visit.way.instead,
                    } for visit in visits
                ],
            } for one, visits, wait in self.rows
        ]  # fmt: skip
        return {
            "gym": self.gym, "stations": dict(self.room.stations), "people": people,
            "proof": {name: {"value": aim.value, "bound": aim.bound, "gap": aim.gap} for name, aim in proof.items()},
            "status": "stopped" if self.table.stopped else "proven",
        }  # fmt: skip


def text(shown: Shown) -> str:
    """Write the timetable for the terminal: people down, minutes across, then what each does."""
    first, last = shown.span
    wide = max(width(one.name) for one in shown.room.people) + 2
    ticks = "".join(f"{shown.hour.clock(minute):<{TICK}}" for minute in range(first, last, TICK))
    lines = [
        f"{shown.title}: {counted(len(shown.room.people), 'athlete')}",
        "",
        f"{'':<{wide}}{ticks}".rstrip(),
    ]
    for one, visits, _ in shown.rows:
        lines.append(one.name + " " * (wide - width(one.name)) + _bar(one, visits, first))
    lines += [KEY, ""]
    for one, visits, wait in shown.rows:
        lines.append(f"{one.name}{f', waits {wait} min' if wait else ''}")
        for visit in visits:
            where = ", ".join(filter(None, [shown.place(visit), shown.instead(visit)]))
            said = f"  {shown.hour.clock(visit.start)} {visit.block.letter} {' and '.join(visit.way.lines)}"
            lines.append(f"{said}{f' ({where})' if where else ''}")
    used = (f"{name} {most} of {there}" for name, there, most, _ in shown.stations())
    return "\n".join([*lines, "", f"Most at once: {'; '.join(used)}", *shown.sums(), *shown.missing()])


def _bar(person: Person, visits: Sequence[Visit], first: int) -> str:
    signs = {person.begins + minute: WARMING_UP for minute in range(person.warmup)}
    for visit in visits:
        signs |= dict.fromkeys(range(visit.start, visit.end), visit.block.letter[:1])
    return "".join(
        signs.get(minute, WAITING if minute >= person.begins else " ")
        for minute in range(first, max(signs) + 1)
    )


def page_html(shown: Shown, paper: str) -> str:
    """Write the floor timetable and a slip for each athlete's sheet as one HTML text."""
    from markupsafe import Markup

    styles = [
        (files("planner.sheets") / "styles" / name).read_text(encoding="utf-8")
        for name in ("fonts.css", "room.css")
    ]
    rule = f"@page {{ size: {paper} landscape; margin: {SheetSettings().margin_millimetres:g}mm }}"
    first, last = shown.span
    return fill(
        "room.html",
        title=f"{shown.title}, {shown.week}",
        style=Markup("\n".join([rule, *styles])),
        shown=shown,
        first=first,
        last=last,
        tick=TICK,
        rows=[(one, list(_pieces(one, visits, last)), visits, wait) for one, visits, wait in shown.rows],
    )


def _pieces(person: Person, visits: Sequence[Visit], last: int) -> Iterator[tuple[int, Visit | None, str]]:
    """Give a row of the table piece by piece: minutes, the visit, and how it looks."""
    at = person.begins
    yield person.warmup, None, "warmup"
    at += person.warmup
    for visit in visits:
        if visit.start > at:
            yield visit.start - at, None, "waiting"
        yield visit.way.minutes, visit, "instead" if visit.way.instead else "block"
        at = visit.end
    if last > at:
        yield last - at, None, ""
