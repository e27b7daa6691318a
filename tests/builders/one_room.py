"""Athletes who train in one room at one hour, each planned once; invented, as all data of tests."""

import datetime
from pathlib import Path

from small_athlete import make_folder, planned

TODAY = datetime.date(2026, 11, 25)
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


def gym(stations: dict[str, int]) -> str:
    """A club with free weights for all and these stations, counted."""
    counted = ", ".join(f"{key} = {count}" for key, count in stations.items())
    equipment = ", ".join(f'"{key}"' for key in (*stations, "dumbbells", "barbell", "plates"))
    return f"[club]\nequipment = [{equipment}]\nstations = {{ {counted} }}\n"


def brief(at: int, hour: str = HOUR) -> str:
    """One of the athletes: status, days, minutes and wishes go round."""
    day, time = hour.split()
    lines = [f'[athlete]\nname = "{NAMES[at % len(NAMES)]}"\ntraining_status = "{KINDS[at % 3]}"']
    lines += ['[history]\nquestionnaire = { date = 2026-09-14, outcome = "no item answered yes" }']
    lines += [f'[[session]]\nday = "{day}"\nat = "{time}"\nminutes = {(35, 40, 45, 50)[at % 4]}\ngym = "club"']
    lines += [f'[[session]]\nday = "{other}"\nminutes = 40\ngym = "club"' for other in DAYS[at % 4].split()]
    return "\n".join([*lines, WISHES[at % len(WISHES)], ""])


def room_of(folder: Path, people: int, stations: dict[str, int] = STATIONS, *, plan: bool = True) -> Path:
    """Write the folders of so many athletes and plan their weeks."""
    for at in range(people):
        athlete = make_folder(folder / f"athlete_{at + 1:02d}", brief(at), gym(stations))
        if plan:
            planned(athlete, WEEK)
    return folder
