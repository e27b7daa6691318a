"""`planner progress` as a whole: a planned demo week, sets done and skipped, the table, the data and the page."""

import datetime
import json
import re
import shutil

import pytest
from folders import DEMO, copy_of
from in_process import planner
from pypdf import PdfReader

from planner.athlete.folder import read_week
from planner.log.blank import session_date
from planner.log.file import append_to_log
from planner.log.record import LoggedSet

WEEK = "2026-W30"  # lies in the past of any day on which this runs


@pytest.fixture(scope="module")
def athlete(demo_planned, tmp_path_factory):
    """The demo athlete with one planned week, done but for its last session, and a set two weeks earlier."""
    folder = shutil.copytree(demo_planned, tmp_path_factory.mktemp("progress") / "athlete")
    document = read_week(folder, WEEK)
    rows = []
    for session in document.sessions[:-1]:
        for item in session.exercises:
            for number in range(1, item.sets + 1):
                date = session_date(document, session)
                row = LoggedSet(
                    date, session.id, item.exercise, number, 10.0, "kg", 8, 2.0, 1.0, gym=session.gym
                )
                rows.append(row)
    early = rows[0].date - datetime.timedelta(days=14)
    press = LoggedSet(early, "Mon", "seated_dumbbell_overhead_press", 1, 20.0, "kg", 8, 2.0, 4.0, gym="club")
    append_to_log(folder, [press, *rows])
    return folder


def test_the_data(athlete):
    done = planner("progress", str(athlete), "--json")
    assert done.returncode == 0, done.stderr
    assert not (athlete / "progress.pdf").exists()
    data = json.loads(done.stdout)
    document = read_week(athlete, WEEK)
    missed = sum(item.sets for item in document.sessions[-1].exercises)
    planned = sum(item.sets for session in document.sessions for item in session.exercises)
    assert [week["week"] for week in data["weeks"]] == ["2026-W28", "2026-W29", WEEK]
    assert [week["planned_sets"] for week in data["weeks"]] == [None, None, planned]
    assert [week["pain"] for week in data["weeks"]] == [4, None, 1]
    last = data["weeks"][-1]
    assert last["done_as_planned"] == planned - missed
    assert data["block"]["adherence"] == pytest.approx((planned - missed) / planned, abs=1e-4)
    assert sum(item["planned"] - item["done"] for item in last["skipped"]) == missed
    for head, dose in zip(last["heads"], document.dose, strict=True):
        assert head["planned"] == pytest.approx(dose.planned, abs=0.01)
        left = sum(item.sets * item.credits.get(dose.head, 0) for item in document.sessions[-1].exercises)
        # what helps beyond its share fills the gap that is left of it
        assert dose.planned - left - 0.01 <= head["delivered"] <= dose.planned + 0.01
    (press,) = [track for track in data["maxima"] if track["exercise"] == "seated_dumbbell_overhead_press"]
    assert press["maxima"][0] == pytest.approx(20 * (1 + 10 / 30), abs=0.001)
    assert (press["formula"], press["error_share"]) == ("epley", 0.1)


def test_the_table_and_the_page(athlete, tmp_path):
    done = planner("progress", str(athlete), "--out", str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert "2026-W28" in done.stdout
    assert re.search(r"26\.7 (kg|→ [\d.]+ kg) ± 10 %", done.stdout)
    reader = PdfReader(tmp_path / "progress.pdf")
    assert len(reader.pages) == 1
    text = reader.pages[0].extract_text()
    for word in ("Robin Vale", "Delivered dose", "Best sets", "Coaching, not medical advice"):
        assert word in text
    assert reader.metadata is not None
    assert reader.metadata.title == "Looking back: Robin Vale"


def test_an_athlete_without_log_or_plan(tmp_path):
    copy_of(DEMO, tmp_path)
    done = planner("progress", str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Nothing is logged")
    assert len(PdfReader(tmp_path / "progress.pdf").pages) == 1


def test_a_folder_that_cannot_be_written(athlete, tmp_path):
    (tmp_path / "file").write_text("")
    done = planner("progress", str(athlete), "--out", str(tmp_path / "file"))
    assert done.returncode == 2
    assert "progress.csv" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_damaged_log_is_named(athlete, tmp_path):
    folder = shutil.copytree(athlete, tmp_path / "athlete")
    log = folder / "log.csv"
    log.write_text(log.read_text()[:-20])
    done = planner("progress", str(folder))
    assert done.returncode == 2
    assert "log.csv: line" in done.stderr
