"""Sizes that nobody should have: 1,000,000 logged sets, 5,000 athletes, 2,000 exercises. Whole processes, once each."""

import csv
import datetime
import random
import re
import shutil
import sys

from folders import DEMO, ROOT, copy_of
from processes import Row, fresh_folder, planner, run
from small_athlete import make_folder

from library.tables import csv_text

SETS, ATHLETES, EXERCISES, YEARS = 1_000_000, 5_000, 2_000, 10
MOST_SECONDS, MOST_MB = 60, 600
DAY = datetime.date.today() - datetime.timedelta(days=1)
RAISE = "standing_dumbbell_lateral_raise"
LISTING = """
import pathlib, sys
from planner.desk.room import Room
room = Room(pathlib.Path(sys.argv[1]))
while any(row.state == "unread" for row in room.standings()): pass
"""


def rows() -> list[Row]:
    found = []
    with fresh_folder() as folder:
        athlete, done = _long_log(folder / "athlete"), folder / "done.csv"
        done.write_text(f"date,exercise,set,load,reps,gym\n{DAY},{RAISE},1,10,8,club\n")
        for name, more in {"log": [str(done)], "week": ["--json"], "progress": [], "check": []}.items():
            found += _both(f"{SETS:,} sets: {name}", run([planner(), name, str(athlete), *more]))
    with fresh_folder() as folder:
        first = make_folder(folder / "0")
        run([planner(), "week", str(first)])
        for number in range(1, ATHLETES):
            shutil.copytree(first, folder / str(number), copy_function=shutil.copyfile)
        read = run([sys.executable, "-c", LISTING, str(folder)])
        found += _both(f"{ATHLETES:,} athletes: all read for the list", read)
    with fresh_folder() as folder:
        library = _large_library(folder / "library")
        for name in ("library", "pool"):
            measured = run([planner(), name, "--library", str(library)])
            found += _both(f"{EXERCISES:,} exercises: {name}", measured)
    return found


def _both(name, measured):
    memory = Row(f"{name}, memory", measured.megabytes, MOST_MB, "MB")
    return [Row(name, measured.seconds, MOST_SECONDS, "s"), memory]


def _long_log(folder):
    from library.read import read_library
    from planner.log.file import HEADER

    copy_of(DEMO, folder)
    keys, dice = sorted(read_library().exercises)[:40], random.Random(3)
    a_day = SETS // (365 * YEARS)
    with (folder / "log.csv").open("w", encoding="utf-8") as stream:
        stream.write(f"{HEADER}\n")
        for step in range(SETS):
            back, number = divmod(SETS - step, a_day)
            date = DAY - datetime.timedelta(days=1 + back)
            key, load = keys[(back + number // 48) % 40], dice.choice((10, 12.5, 20))
            reps = dice.randrange(6, 13)
            done = f"{load},kg,{reps},2,{dice.choice(('', 0, 1, 3))},,,,club,"
            stream.write(f"{date},{date:%a},{key},{1 + number % 48},{done}\n")
    return folder


def _large_library(folder):
    """Copy the library and, under new names, every exercise in it with the practice that ties it to another."""
    from library.read import read_library

    shutil.copytree(ROOT / "library", folder, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    keys = read_library().exercises
    names = re.compile(rf"^\[({'|'.join(keys)})([\].])", re.MULTILINE)
    families = {file: file.read_text(encoding="utf-8") for file in (folder / "exercises").glob("*.toml")}
    practice = folder / "evidence" / "practice.csv"
    head, *lines = csv.reader(practice.open(encoding="utf-8", newline=""))
    copies = range(EXERCISES // len(keys))
    for file, text in families.items():
        copied = (names.sub(rf"[\1_{copy}\2", text) for copy in copies)
        file.write_text("\n".join([text, *copied]), encoding="utf-8")
    tied = [[f"{row[0]}_{copy}", *row[1:5], f"{row[5]}_{copy}", *row[6:]] for copy in copies for row in lines]
    practice.write_text(csv_text([head, *lines, *tied]), encoding="utf-8")
    return folder
