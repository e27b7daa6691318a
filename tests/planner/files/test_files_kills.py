"""Commands that are killed, and commands that run at once: every file is read, nothing is lost, nothing stays behind."""

import datetime
import os
import random
import shutil
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from in_process import planner
from killed import KILLED, dying, ended, kill_after, needs_fork, nobody_left, started
from log_files import HEADER, PRESS, RAISE
from mutant import csv_file, recorded_table, toml_file
from small_athlete import make_folder

from library.read import read_library
from planner.athlete.folder import read_all_rows, read_week, replaced, weeks
from planner.cli import main
from planner.document import week_name
from planner.log.file import read_log

TODAY = datetime.date.today()
NEXT = week_name(TODAY + datetime.timedelta(weeks=1))
KILLS, ROUNDS = int(os.environ.get("SOAK_KILLS", "500")), int(os.environ.get("SOAK_ROUNDS", "200"))
SAID = "said.txt"
LAST_VERSIONS = 15  # then a round begins with a folder of few plans again


def done(folder, number):
    """Write a file of two sets that no other number has."""
    day, first = TODAY - datetime.timedelta(days=1 + number // 20), 1 + 2 * (number % 20)
    file = folder.parent / f"done-{number}.csv"
    lines = [f"{day},{day:%a},{PRESS},{first + place},20,8,2,0,,,,,club" for place in (0, 1)]
    file.write_text("\n".join([f"{HEADER},gym", *lines]) + "\n")
    return file


def recorded(folder, number):
    """Write a session of one recorded set."""
    session = folder.parent / f"session-{number}"
    session.mkdir(exist_ok=True)
    (session / "raise.csv").write_bytes(csv_file(recorded_table(3)))
    tables = {
        "session": {"id": f"s{number}", "athlete": "Kim", "date": TODAY, "rate_hz": 1000},
        "sensor": [{"channel": "side_mV", "muscle": "side", "side": "right"}],
        "trial": [{"file": "raise.csv", "exercise": RAISE}],
        "motion": {"kind": "angle", "channels": ["arm_deg"]},
    }
    (session / "session.toml").write_bytes(toml_file(tables))
    return session


COMMANDS: dict[str, Callable[[Path, int], list[object]]] = {
    "log": lambda folder, number: ["log", folder, done(folder, number)],
    "week": lambda folder, _: ["week", folder],
    "swap": lambda folder, number: ["swap", folder, "--minutes", f"Mon={24 + number % 6}"],
    "block": lambda folder, _: ["block", folder, "--weeks", 2],
    "measure": lambda folder, number: ["measure", recorded(folder, number), "--into", folder, "--out", folder.parent],
    "roster": lambda folder, _: ["roster", folder.parent, "--jobs", 2],
}  # fmt: skip


def running(words):
    """Return the work of a command; what it prints goes to a file beside the athlete's folder."""

    def work():
        said = os.open(Path(str(words[1])).parent / SAID, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        for stream in (1, 2):
            os.dup2(said, stream)
        sys.argv = ["planner", *map(str, words)]
        main()

    return work


def whole(folder):
    """Read every file of an athlete; return what must not get lost."""
    names = weeks(folder)
    plans = {name: (read_week(folder, name), replaced(folder, name)) for name in names}
    kept = {name: len(list((folder / "weeks" / name).glob("v*"))) for name in names}
    assert kept == {name: len(old) for name, (_, old) in plans.items()}
    evidence = {row.session for row in read_all_rows(folder, read_library())}
    return {"log": set(read_log(folder)), "evidence": evidence, "weeks": set(names)}


def hidden(folder):
    return sorted(path.name for path in folder.rglob(".*") if path.name != ".lock")


def killed_often(folder, times, names=tuple(COMMANDS)):
    """Kill the commands in turn, at a touch of the disk or at any moment; return the figures."""
    chance, kills = random.Random(7), dict.fromkeys(names, 0)
    touches, seconds = dict.fromkeys(names, 400), dict.fromkeys(names, 3.0)
    kept = whole(folder)
    for number in range(times):
        name = names[number % len(names)]
        for old in (folder / "weeks").glob(f"*/v{LAST_VERSIONS}"):
            shutil.rmtree(old.parent.parent)
            kept["weeks"].discard(old.parent.name)
        work, start = running(COMMANDS[name](folder, number)), time.monotonic()
        if chance.random() < 0.5:
            moment = chance.randrange(1, touches[name])
            child = started(lambda moment=moment, work=work: dying(moment, work))
            code = ended(child)
        else:
            child = started(work)
            moment, code = touches[name], kill_after(chance.uniform(0, seconds[name]), child)
        if code in (KILLED, -9):
            kills[name] += 1
        else:  # it came to its end: the next moments are earlier
            touches[name], seconds[name] = max(2, moment), time.monotonic() - start
        assert nobody_left(child), f"{name} {number} left a process"
        now = whole(folder)
        for what, before in kept.items():
            assert before <= now[what], f"{name} {number} lost {what}: {before - now[what]}"
        kept = now
    for name in names:
        assert ended(started(running(COMMANDS[name](folder, times)))) == 0
    assert hidden(folder) == []
    return f"{times} runs, {sum(kills.values())} kills {kills}, no file broken, no line lost, nothing left in the folder"


def athlete(folder):
    """Lay out an athlete with a week in force."""
    make_folder(folder / "kim")
    assert planner("week", folder / "kim").returncode == 0  # here: what it loads no child has to load again
    return folder / "kim"


def at_once(folder, number):
    """Two commands at once: what each says is done is there afterwards."""
    before, minutes = whole(folder), 22 + number % 7
    log, week, measure = (COMMANDS[name](folder, number) for name in ("log", "week", "measure"))
    swaps = [["swap", folder, "--minutes", f"{day}={minutes}"] for day in ("Mon", "Fri")]
    later = COMMANDS["log"](folder, number + 1000)
    pairs = {"swap, swap": swaps, "swap, log": [swaps[0], log], "week, log": [week, log]}
    pairs |= {"measure, week": [measure, week], "log, log": [log, later]}
    name = list(pairs)[number % len(pairs)]
    codes = [ended(child) for child in [started(running(words)) for words in pairs[name]]]
    now = whole(folder)
    assert codes == [0, 0], f"{name}: {codes}"
    assert len(now["log"] - before["log"]) == 2 * name.count("log")
    assert len(now["evidence"] - before["evidence"]) == name.count("measure")
    if name == "swap, swap":
        made = {(change.name, change.minutes) for change in read_week(folder, NEXT).changes}
        assert made >= {("Mon", minutes), ("Fri", minutes)}


@needs_fork
def test_a_few_kills_lose_nothing(tmp_path, quick_paper):
    print(killed_often(athlete(tmp_path), 3, ("log", "swap", "measure")))


@needs_fork
@pytest.mark.soak
def test_500_kills_of_every_writing_command_lose_nothing(tmp_path):
    print(killed_often(athlete(tmp_path), KILLS), flush=True)


@needs_fork
def test_two_commands_at_once_lose_no_change(tmp_path, quick_paper):
    folder = athlete(tmp_path)
    for number in (0, 2):
        at_once(folder, number)


@needs_fork
@pytest.mark.soak
def test_200_rounds_of_two_commands_at_once(tmp_path):
    for number in range(ROUNDS):
        if number % 25 == 0:
            folder = athlete(tmp_path / str(number))
        at_once(folder, number)
    print(f"{ROUNDS} rounds of two commands at once, no change lost", flush=True)
