"""`--together`: rooms of 12 people and 10 stations, made up and planned, proven within 5 % in 10 s."""

import time

from one_room import HOUR, TODAY, WEEK, busy_room, room_of
from processes import Row, fresh_folder

from planner.room.floor import timetable
from planner.room.people import read_hour, rooms_at
from planner.room.table import waits

SEEDS = (0, 1, 2, 5)  # of made-up rooms that can be: they wait 14 to 52 minutes in all
MOST_GAP, MOST_SECONDS = 5, 10


def rows() -> list[Row]:
    with fresh_folder() as folder:
        planned = rooms_at(room_of(folder, 12), read_hour(HOUR), WEEK, TODAY)[0].values()
        made = {"12 planned athletes": [*planned], "made-up rooms, the worst": [*map(busy_room, SEEDS)]}
        return [row for name, rooms in made.items() for row in measured(name, rooms)]


def measured(name, rooms):
    """Solve rooms: the largest gaps of both aims in per cent, and the longest time."""
    gaps, seconds, waiting = [0.0], [], []
    for room in rooms:
        start = time.perf_counter()
        table = timetable(room)
        seconds.append(time.perf_counter() - start)
        assert table is not None, "the bench's rooms can be"
        gaps += [100 * aim.gap / aim.value for aim in (table.waiting, table.change) if aim.value]
        waiting.append(sum(waits(room, table)))
    note = f"waiting {', '.join(map(str, waiting))} min in all"
    yield Row(f"{name}: gap of waiting and of change", max(gaps), MOST_GAP, unit="%", note=note)
    yield Row(f"{name}: seconds", max(seconds), MOST_SECONDS, unit="s")
