"""A log of 100,000 sets read and summarised, against the bare read of the same file with pandas."""

import datetime
import random
import statistics
import tempfile
import time
from pathlib import Path

from processes import Row

SETS = 100_000
TURNS = 9
NOTES = ("", "", "", "", "felt heavy", "slow, then fast")


def rows() -> list[Row]:
    import pandas

    from library.method import CreditSettings
    from library.read import read_library
    from planner.log.file import append_to_log, read_frame
    from planner.train.delivered import library_credits, look_back

    library = read_library()
    credits = library_credits(library, CreditSettings())
    heads = [head.key for head in library.heads.values() if head.role == "trained"]
    multi_joint = [key for key, exercise in library.exercises.items() if exercise.multi_joint]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        append_to_log(folder, _sets(sorted(library.exercises)[:40]))
        rounds = []
        for _ in range(TURNS):
            start = time.perf_counter()
            pandas.read_csv(folder / "log.csv")
            read = time.perf_counter()
            look_back(read_frame(folder), credits, heads, multi_joint)
            rounds.append((read - start, time.perf_counter() - read))
    ratio = statistics.median(ours / bare for bare, ours in rounds)
    alone = statistics.median(bare for bare, _ in rounds)
    return [Row("100,000 logged sets / pandas read", ratio, 3, note=f"read alone {alone * 1000:.0f} ms")]


def _sets(exercises):
    from planner.log.record import LoggedSet

    dice = random.Random(3)
    made = []
    for step in range(SETS):
        day, number = divmod(step, 28)
        date = datetime.date(2017, 1, 2) + datetime.timedelta(days=day)
        exercise = exercises[(day + number // 4) % len(exercises)]
        load, pain = dice.choice((10.0, 12.5, 20.0)), dice.choice((None, 0.0, 1.0, 3.0))
        reps, rir, note = dice.randrange(6, 13), float(dice.randrange(5)), dice.choice(NOTES)
        where = (date, date.strftime("%a"), exercise, 1 + number % 4)
        made.append(LoggedSet(*where, load, "kg", reps, rir, pain, note=note))
    return made
