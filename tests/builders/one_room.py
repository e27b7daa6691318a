"""Athletes who train in one room at one hour, each planned once; invented, as all data of tests."""

import datetime
import random

from small_athlete import make_folder, planned

from planner.room.floor import Block, Person, Room, Way

TODAY = datetime.date(2026, 11, 25)
WARM_UP, WAIT_MOST = 5, 10
WEEK, HOUR = "2026-W49", "Mon 18:00"
NAMES = (
    "Ada Brook", "Ben Cole", "Cleo Dunn", "Dan Egerton", "Eve Fry", "Finn Gray", "Gwen Hart", "Hal Irwin", "Ida Jones",
    "Jon Kerr", "Kay Lowe", "Leo Marsh",
)  # fmt: skip
STATIONS = {
    "rack": 1, "adjustable_bench": 3, "dual_cable_station": 2, "pulldown_station": 1, "seated_row_station": 1,
    "shoulder_press_machine": 1, "lateral_raise_machine": 1, "rear_fly_machine": 1, "chest_press_machine": 1,
    "flat_bench": 2,
}  # fmt: skip
WISHES = (
    "", "[target]\nside = { target = 14, priority = 2 }", '[joints]\nsubacromial = "careful"', "[target]\nrear = 12",
    '[preferences]\nonly = ["machine", "cable", "dumbbell"]', "[target]\nfront = 12",
)  # fmt: skip
DAYS = ("Thu", "Fri", "Wed Sat", "Wed Fri")
KINDS = ("novice", "intermediate", "advanced")


def gym(stations):
    """A club with free weights for all and these stations, counted."""
    counted = ", ".join(f"{key} = {count}" for key, count in stations.items())
    equipment = ", ".join(f'"{key}"' for key in (*stations, "dumbbells", "barbell", "plates"))
    return f"[club]\nequipment = [{equipment}]\nstations = {{ {counted} }}\n"


def brief(at, hour=HOUR):
    """One of the athletes: status, days, minutes and wishes go round."""
    day, time = hour.split()
    lines = [f'[athlete]\nname = "{NAMES[at % len(NAMES)]}"\ntraining_status = "{KINDS[at % 3]}"']
    lines += ['[history]\nquestionnaire = { date = 2026-09-14, outcome = "no item answered yes" }']
    days = [(f'{day}"\nat = "{time}', 35 + 5 * (at % 4)), *((other, 40) for other in DAYS[at % 4].split())]
    lines += [f'[[session]]\nday = "{day}"\nminutes = {minutes}\ngym = "club"' for day, minutes in days]
    return "\n".join([*lines, WISHES[at % len(WISHES)], ""])


def room_of(folder, people, stations=STATIONS, *, plan=True):
    for at in range(people):
        athlete = make_folder(folder / f"athlete_{at + 1:02d}", brief(at), gym(stations))
        if plan:
            planned(athlete, WEEK)
    return folder


def person(name, *blocks, over=60, heavy=False, begins=0):
    """One who does these blocks (stations, minutes), lettered in order, none of them replaceable."""
    ways = [Way((of,), minutes, places) for of, (places, minutes) in zip("ABCDEFGH", blocks, strict=False)]
    made = (Block(way.lines[0], (way,), heavy and way is ways[0]) for way in ways)
    return Person(name, tuple(made), over, begins)


def busy_room(seed, people=12, scale=1):
    """So many people at ten stations, three or four blocks each, a third of them replaceable."""
    dice, keys = random.Random(seed), list(STATIONS)
    weights = [2 if STATIONS[key] == 1 else 3 for key in keys]
    made = []
    for at in range(people):
        blocks = []
        for letter in "ABCD"[: dice.choice((3, 4))]:
            station, minutes = dice.choices(keys, weights)[0], dice.randint(5, 12)
            ways = [Way((letter,), minutes, (station,))]
            if dice.random() < 1 / 3:
                other = dice.choice([key for key in keys if key != station])
                price = dice.randint(600, 900)
                ways.append(Way((f"{letter} instead",), minutes, (other,), price, instead=True))
            blocks.append(Block(letter, tuple(ways), heavy=letter == "A"))
        work = sum(block.ways[0].minutes for block in blocks)
        made.append(Person(f"P{at + 1}", tuple(blocks), WARM_UP + work + WAIT_MOST, warmup=WARM_UP))
    return Room(tuple(made), {key: scale * count for key, count in STATIONS.items()})
