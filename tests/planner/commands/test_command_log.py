"""`planner log` as a whole: a planned demo week, its blank sheet filled, taken in and reported."""

import csv
import json
import shutil

import pytest
from in_process import planner

WEEK = "2026-W30"  # lies in the past of any day on which this runs


@pytest.fixture
def athlete(demo_planned, tmp_path):
    return shutil.copytree(demo_planned, tmp_path / "athlete")


@pytest.fixture
def filled(athlete, tmp_path):
    """The blank sheet of the week, every set filled with 10 kg × 10."""
    blank = tmp_path / "blank.csv"
    assert planner("log", str(athlete), "--blank", str(blank)).returncode == 0
    rows = list(csv.DictReader(blank.read_text(encoding="utf-8-sig").splitlines()))
    for row in rows:
        row |= {"load": "10" if row["load_unit"] else "", "reps": "10", "rir": "2", "pain": "0"}
    write(tmp_path / "filled.csv", rows)
    return tmp_path / "filled.csv"


def write(file, rows):
    with file.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, rows[0])
        writer.writeheader()
        writer.writerows(rows)


def test_a_filled_week_gives_next_loads_and_json_is_a_rehearsal_unless_saved(athlete, filled):
    report = json.loads(planner("log", str(athlete), str(filled), "--json").stdout)
    assert report["added"] > 0 and report["next_loads"]
    assert not (athlete / "log.csv").exists()
    done = planner("log", str(athlete), str(filled))
    assert done.returncode == 0, done.stderr
    assert "added, 0 known already." in done.stdout and "Next loads" in done.stdout
    assert (athlete / "log.csv").read_text().startswith("date,session,exercise,set,")
    again = json.loads(planner("log", str(athlete), str(filled), "--json", "--save").stdout)
    assert (again["added"], again["known"]) == (0, report["added"])


def test_lines_come_in_though_the_week_is_damaged_and_without_one_it_says_how_to_plan(
    athlete, filled, tmp_path
):
    (athlete / "weeks" / WEEK / "week.json").write_text("{")
    done = planner("log", str(athlete), str(filled))
    assert done.returncode == 0 and "damaged" in done.stderr, done.stderr
    assert len((athlete / "log.csv").read_text().splitlines()) == len(filled.read_text().splitlines())
    shutil.rmtree(athlete / "weeks")
    done = planner("log", str(athlete), "--blank", str(tmp_path / "b.csv"))
    assert done.returncode == 2 and "planner week" in done.stderr


def test_a_wrong_line_and_a_jump_are_asked_about_or_end_with_2(athlete, filled):
    filled.write_text(filled.read_text().replace(",10,2,0,", ",400,2,0,", 1))
    done = planner("log", str(athlete), str(filled))
    assert (done.returncode, done.stdout) == (2, "")
    assert "line 2, column reps" in done.stderr and not (athlete / "log.csv").exists()
    kept = planner("log", str(athlete), str(filled), "--keep-good")
    assert kept.returncode == 0 and "left out:" in kept.stderr
    rows = list(csv.DictReader(filled.read_text().splitlines()))
    next(row for row in rows if row["load"] and row["set"] == "2")["load"] = "22"  # of 10
    write(filled, rows)
    assert planner("log", str(athlete), str(filled)).returncode == 2
    assert planner("log", str(athlete), str(filled), "--yes").returncode == 0
    filled.write_text(filled.read_text().replace(",10,2,0,", ",11,2,0,", 1))  # which contradicts it
    refused = planner("log", str(athlete), str(filled), "--yes")
    assert refused.returncode == 2 and "--correct" in refused.stderr
    assert planner("log", str(athlete), str(filled), "--yes", "--correct").returncode == 0


def test_sharp_pain_until_cleared(athlete, filled):
    rows = list(csv.DictReader(filled.read_text().splitlines()))
    rows[0]["kind"] = "sharp"
    write(filled, rows)
    done = planner("log", str(athlete), str(filled))
    assert ": sharp pain" in done.stdout and "See a doctor or physiotherapist" in done.stdout
    name, before = rows[0]["exercise"], (athlete / "log.csv").read_bytes()
    other = next(row["exercise"] for row in rows if row["exercise"] != name)
    wrong = planner("log", str(athlete), "--cleared", other)
    assert wrong.returncode == 2 and f"(since {rows[0]['date']})" in wrong.stderr
    assert (athlete / "log.csv").read_bytes() == before
    assert "is cleared as of" in planner("log", str(athlete), "--cleared", name).stdout
    again = planner("log", str(athlete), "--cleared", name)
    assert (again.returncode, again.stdout) == (2, "") and f"{name} was not out on" in again.stderr
    assert "Nothing was recorded. Out on that day: nothing is" in again.stderr
    report = json.loads(planner("log", str(athlete), str(filled), "--json").stdout)
    assert report["pain"]["out"] == []


@pytest.mark.parametrize(("words", "says"), [
    ((), "no file, and nothing else to do"), ((), "--blank monday.csv` writes a sheet to fill in"),
    (("x.csv", "--blank", "y.csv"), "2 things to do at once"), (("--cleared", "face_pul"), "did you mean"),
    (("--cleared", "face_pull", "--date", "30.11.2026"), "--date"),
    (("--cleared", "face_pull", "--date", "2999-11-30"), "future"), (("gone.csv",), "missing"),
])  # fmt: skip
def test_wrong_options(athlete, words, says):
    done = planner("log", str(athlete), *words)
    assert done.returncode == 2 and says in done.stderr
