"""The demo athlete's three invented weeks: sound, made with loads that the gyms have, and with something to decide."""

import datetime

import pytest
from folders import DEMO
from log_files import take_file_in

from planner.athlete.reading import read_athlete
from planner.log.file import read_log
from planner.log.intake import Manner
from planner.log.lines import LogContext
from planner.train.carried import carried_over
from planner.train.loads import available_loads

AFTER = datetime.date(2026, 11, 23)


@pytest.fixture(scope="module")
def athlete(library):
    return read_athlete(DEMO, library)


@pytest.fixture(scope="module")
def log():
    return read_log(DEMO)


@pytest.fixture(scope="module")
def carried(library, athlete, log):
    return carried_over(log, library, athlete[1], AFTER, None, 2)


def test_three_weeks(log):
    assert sorted({row.week for row in log}) == ["2026-W45", "2026-W46", "2026-W47"]


def test_it_can_be_taken_in(library, athlete, tmp_path):
    brief, gyms = athlete
    context = LogContext(brief, gyms, library, AFTER)
    taken = take_file_in(tmp_path, DEMO / "log.csv", context, Manner(confirm=lambda text: "cleared" in text))
    assert not taken.left_out
    assert (tmp_path / "log.csv").read_bytes() == (DEMO / "log.csv").read_bytes()


def test_every_load_can_be_made(library, athlete, log):
    for row in log:
        if row.load is not None:
            loads = available_loads(athlete[1][row.gym], library.exercises[row.exercise])
            assert loads is None or row.load in loads, row


def test_it_drives_the_fourth_week(carried):
    reasons = [load.reason for load in carried.loads.values()]
    assert any("Every set reached" in reason for reason in reasons)
    assert any("last time: same load" in reason for reason in reasons)
    assert any(reason.startswith("Pain last time") for reason in reasons)
    assert len(carried.pain.eased) == 1


def test_what_was_cleared_is_not_out(carried, log):
    assert any(row.kind == "sharp" for row in log)
    assert carried.pain.out == ()
