"""The athlete's weeks on disk: their names, the one in force, a week that cannot be read, the lock."""

import datetime
import subprocess
import sys

import pytest

from library.method import FOLDER
from planner.athlete import folder
from planner.athlete.folder import block_marks, in_force, last_hard_week, last_week, week_folder, weeks
from planner.athlete.writing import athlete_lock, write_week
from planner.document import VERSION, next_week, week_name, week_named, week_start


@pytest.mark.parametrize(
    ("day", "name", "monday", "after"),
    [  # ISO 8601: the week belongs to the year of its Thursday
        ("2026-11-25", "2026-W48", "2026-11-23", "2026-W49"),
        ("2026-12-31", "2026-W53", "2026-12-28", "2027-W01"),
        ("2027-01-03", "2026-W53", "2026-12-28", "2027-W01"),
        ("2024-12-30", "2025-W01", "2024-12-30", "2025-W02"),
    ],
)
def test_names_of_weeks(day, name, monday, after):
    date = datetime.date.fromisoformat(day)
    assert (week_name(date), str(week_start(name)), next_week(date)) == (name, monday, after)


@pytest.mark.parametrize("name", ["2026-W54", "2025-W53", "2026-W00", "../x", "2026-W4９", "", "0000-W01"])
def test_a_name_of_no_week_is_refused(name, faults_of):
    (fault,) = faults_of(lambda: week_start(name))
    assert (fault.file, fault.read) == ("--week", f'"{name}" is no week')
    assert "such as 2026-W49" in fault.remedy


def test_newest_is_in_force_and_last_is_the_newest_before(tmp_path, files, standing):
    assert weeks(tmp_path) == [] and in_force(tmp_path) is None and standing(tmp_path) == []
    for week in ("2026-W49", "2025-W52", "2026-W47"):
        write_week(tmp_path, week, files(week))
    (tmp_path / "weeks" / "2026-W50").mkdir()  # without week.json: no week
    (tmp_path / "weeks" / "notes").mkdir()
    (tmp_path / "weeks" / "notes" / "week.json").write_text("{}")
    assert weeks(tmp_path) == ["2025-W52", "2026-W47", "2026-W49"]
    newest, last = in_force(tmp_path), last_week(tmp_path, "2026-W49")
    assert (newest.week, last.week) == ("2026-W49", "2026-W47")
    assert last_week(tmp_path, "2025-W52") is None


@pytest.mark.parametrize(("text", "where", "read", "remedy"), [
    ({"version": VERSION + 1}, "version", "this planner reads version 1", "A newer planner"),
    ({"version": "1"}, "version", "damaged", "--week 2026-W49"),
    ({"units": "stone"}, "units", "damaged", "v1, v2"),
    ({"dose": [{}], "proof": [{}]}, "dose[1].head", "damaged: Field required and 16 more", "v1"),
    ({"week": "2026-W48"}, "week", '"2026-W48"', "weeks/2026-W48"),
    ('{"version": 1', "line 1", "no JSON", "--week"),
    ("[1, 2]", "", "a list of 2", "--week"),
    ("[" * 100_000, "", "no JSON", "--week"),
    ("x" * 1_500_000, "", "1500000 bytes", "a week written by this planner"),
    (None, "", "missing", "a week written by this planner"),
])  # fmt: skip
def test_a_week_that_cannot_be_read(text, where, read, remedy, tmp_path, faults_of, document):
    file = week_folder(tmp_path, "2026-W49") / "week.json"
    file.parent.mkdir(parents=True)
    if text is not None:
        file.write_text(document("2026-W49", **text) if isinstance(text, dict) else text)
    (fault,) = faults_of(lambda: folder.read_week(tmp_path, "2026-W49"))
    assert (fault.file, fault.where) == (file, where)
    assert read in fault.read and remedy in fault.remedy


HOLD = """
import sys, pathlib
from planner.athlete.writing import athlete_lock
with athlete_lock(pathlib.Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.read()
"""


def test_a_lock_that_another_run_holds(tmp_path, faults_of, monkeypatch, files):
    monkeypatch.setattr("planner.athlete.writing.FOLDER", FOLDER.but(lock_seconds=0))
    command = [sys.executable, "-c", HOLD, str(tmp_path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as other:
        assert other.stdout.readline() == b"held\n"
        (fault,) = faults_of(lambda: write_week(tmp_path, "2026-W49", files("2026-W49")))
        assert fault.file == tmp_path
        assert "another run" in fault.read and "Wait until it has ended" in fault.remedy
        other.kill()  # a killed run leaves no lock
        other.wait(60)
    with athlete_lock(tmp_path), athlete_lock(tmp_path):  # a run may take its own lock again
        assert write_week(tmp_path, "2026-W49", files("2026-W49")).is_dir()


def test_a_lock_in_a_folder_that_is_none(tmp_path, faults_of, files, standing):
    none = tmp_path / "athlete"
    none.write_text("")
    (fault,) = faults_of(lambda: write_week(none, "2026-W49", files("2026-W49"), tmp_path / "out"))
    assert fault.file == none and "cannot be written" in fault.read
    assert "Make the athlete's folder writable" in fault.remedy and standing(tmp_path) == ["athlete"]


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("2026-W49", "2026-W49"), ("next", "2026-W49"), ("this", "2026-W48"), ("49", "2026-W49"), ("w50", "2026-W50"),
        ("48", "2026-W48"), ("1", "2027-W01"), ("2027-01-02", "2026-W53"),
    ],
)  # fmt: skip
def test_a_week_goes_by_its_number_or_a_date(said, name):
    assert week_named(said, datetime.date(2026, 11, 27)) == name


@pytest.mark.parametrize("said", ["54", "0", "2026-W54", "soon", "", "2026-02-30", "2026", "49 " * 30])
def test_what_is_no_week_is_told(said, faults_of):
    (fault,) = faults_of(lambda: week_named(said, datetime.date(2026, 11, 27)))
    assert "2026-W49" in fault.remedy


MARK = {"first": "2026-W49", "of": 6}


@pytest.mark.parametrize(("alone", "day", "name"), [
    ((), "2026-11-25", "2026-W49"),  # nothing stands for this week: the first to come
    (("W47",), "2026-11-25", "2026-W49"),
    (("W48",), "2026-11-25", "2026-W48"),  # this week still runs
    (("W48",), "2026-11-30", "2026-W49"),  # its Monday has come
    (("W48",), "2026-12-13", "2026-W50"),
    (("W48",), "2027-02-01", "2026-W51"),
    (("W48", "W52"), "2026-12-03", "2026-W52"),  # a week of its own counts at once
])  # fmt: skip
def test_a_week_of_a_block_comes_into_force_on_its_monday(alone, day, name, tmp_path, document):
    marks = {week: {**MARK, "number": number} for number, week in enumerate(("W49", "W50", "W51"), 1)}
    for week, mark in {**dict.fromkeys(alone), **marks}.items():
        write_week(tmp_path, f"2026-{week}", {"week.json": document(f"2026-{week}", block=mark)})
    found = in_force(tmp_path, datetime.date.fromisoformat(day))
    assert found.week == name


def test_marks_of_a_block_are_read_past_what_is_damaged(tmp_path, document):
    marks = [{**MARK, "number": number, "lighter": number == 2} for number in (1, 2, 3)]
    for week, mark in zip(range(49, 54), [*marks, None, {**MARK, "number": 7}], strict=True):
        write_week(tmp_path, f"2026-W{week}", {"week.json": document(f"2026-W{week}", block=mark)})
    write_week(tmp_path, "2027-W01", {"week.json": "{"})
    assert list(block_marks(tmp_path)) == ["2026-W49", "2026-W50", "2026-W51"]  # week 7 of 6 is none
    found = last_hard_week(tmp_path, "2026-W51", "2026-W49")
    assert found.week == "2026-W49"
    assert last_hard_week(tmp_path, "2026-W49", "2026-W49") is None
    assert last_hard_week(tmp_path, "2026-W52", "2026-W47") is None
