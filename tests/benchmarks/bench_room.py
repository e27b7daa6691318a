"""`--together`: rooms of 12 people and 10 stations, made up and planned, proven within 5 % in 10 s."""

import datetime
import time
from collections.abc import Iterator
from pathlib import Path

from one_room import HOUR, TODAY, WEEK, busy_room, room_of
from processes import fresh_folder
from row import Row

from planner.room.floor import Room, timetable
from planner.room.people import read_hour, rooms_at
from planner.room.table import waits

SEEDS = (0, 1, 2, 5)  # of made-up rooms that can be: they wait 14 to 52 minutes in all
MOST_GAP, MOST_SECONDS = 5, 10


def rows() -> list[Row]:
    """Measure how good the timetables are proven to be, and in what time."""
    with fresh_folder() as folder:
        start = time.perf_counter()
        room = planned_room(room_of(folder, 12), TODAY)
        planning = time.perf_counter() - start
        made = [
            ("12 planned athletes", [room]),
            ("made-up rooms, the worst", [busy_room(seed) for seed in SEEDS]),
        ]
        return [
            *(row for name, rooms in made for row in measured(name, rooms)),
            Row("planning the 12", planning, unit="s"),
        ]


def planned_room(folder: Path, today: datetime.date) -> Room:
    """Read the room of planned athletes."""
    (room,) = rooms_at(folder, read_hour(HOUR), WEEK, today)[0].values()
    return room


def measured(name: str, rooms: list[Room]) -> Iterator[Row]:
    """Solve rooms: the largest gaps of both aims in per cent, and the longest time."""
    gaps, seconds, waiting = [], [], []
    for room in rooms:
        start = time.perf_counter()
        table = timetable(room)
        seconds.append(time.perf_counter() - start)
        assert table is not None, "the bench's rooms can be"
        gaps.append(
            max(100 * aim.gap / aim.value if aim.value else 0 for aim in (table.waiting, table.change))
        )
        waiting.append(sum(waits(room, table)))
    note = f"waiting {', '.join(map(str, waiting))} min in all"
    yield Row(f"{name}: gap of waiting and of change", max(gaps), MOST_GAP, unit="%", note=note)
    yield Row(f"{name}: seconds", max(seconds), MOST_SECONDS, unit="s")
