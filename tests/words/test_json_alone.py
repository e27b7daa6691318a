"""With --json every command prints one document and nothing else, and writes nothing unless --save stands beside it."""

import csv
import json
import shutil
from pathlib import Path

import pytest
from folders import BRIEFS, DEMO, copy_of
from in_process import planner
from readme import OPTIONS
from small_athlete import planned as week_of

WEEK = "2026-W30"  # lies in the past of any day on which this runs
RECORDINGS = DEMO / "recordings"

LINES = {
    "week": ("week", "ATHLETE", "--week", WEEK, "--json"),
    "roster": ("roster", ".", "--week", WEEK, "--json", "--jobs", "1"),
    "block": ("block", "ATHLETE", "--weeks", "2", "--week", WEEK, "--json"),
    "swap": ("swap", "ATHLETE", "--week", WEEK, "--missed", "DAY", "--json"),
    "why": ("why", "ATHLETE", "--week", WEEK, "--json"),
    "instead": ("instead", "ATHLETE", "EXERCISE", "--week", WEEK, "--json"),
    "log": ("log", "ATHLETE", "FILLED", "--json"), "progress": ("progress", "ATHLETE", "--json"),
    "check": ("check", "ATHLETE", "--json"), "measure": ("measure", str(RECORDINGS), "--json"),
    "library": ("library", "--json"), "doctor": ("doctor", "--json"),
}  # fmt: skip
SAVES = [name for name, options in OPTIONS.items() if "--save" in options]


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """A folder with ATHLETE, whose week is planned, and FILLED, the week's log sheet filled in."""
    room = tmp_path_factory.mktemp("room")
    week_of(copy_of(BRIEFS / "machines_only", room / "ATHLETE"), WEEK)
    assert planner("log", "ATHLETE", "--blank", "FILLED.csv", home=room).returncode == 0
    sheet = room / "FILLED.csv"
    rows = list(csv.DictReader(sheet.read_text(encoding="utf-8-sig").splitlines()))
    with sheet.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, rows[0])
        writer.writeheader()
        writer.writerows({**row, "load": "10", "reps": "10", "rir": "2"} for row in rows)
    return room


@pytest.fixture
def room(planned, tmp_path):
    return Path(shutil.copytree(planned, tmp_path / "room"))


def line_of(name, room):
    """The line of a command with the planned week's own day and exercise put in."""
    week = json.loads((room / "ATHLETE" / "weeks" / WEEK / "week.json").read_text(encoding="utf-8"))
    session = week["sessions"][0]
    real = {"DAY": session["day"], "EXERCISE": session["exercises"][0]["exercise"], "FILLED": "FILLED.csv"}
    return tuple(real.get(word, word) for word in LINES[name])


def contents(room):
    """Every file of a folder but locks, which are empty."""
    files = (path for path in sorted(room.rglob("*")) if path.is_file() and path.name != ".lock")
    return {path.relative_to(room).as_posix(): path.read_bytes() for path in files}


def test_every_command_with_json_has_its_line():
    assert set(LINES) == {name for name, options in OPTIONS.items() if "--json" in options}


@pytest.mark.slow
@pytest.mark.parametrize("name", LINES)
def test_one_document_and_nothing_written(name, room):
    before, measured = contents(room), {path.name for path in RECORDINGS.iterdir()}
    done = planner(*line_of(name, room), home=room)
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)  # fails on a second document or any word beside it
    assert isinstance(document, dict) and document
    assert contents(room) == before
    assert {path.name for path in RECORDINGS.iterdir()} == measured


@pytest.mark.slow
@pytest.mark.parametrize("name", SAVES)
def test_saved_it_prints_the_same_document_and_writes(name, room, quick_paper):
    before, athlete = contents(room), contents(room / "ATHLETE")
    elsewhere = ("--out", "elsewhere") if name == "swap" else ()
    done = planner(*line_of(name, room), "--save", *elsewhere, home=room)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)
    assert contents(room) != before
    assert not elsewhere or contents(room / "ATHLETE") == athlete
