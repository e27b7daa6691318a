"""`planner measure --plan`: the proposal against a brute force on its own, and the files it leaves."""

import datetime
import json
import math

import numpy as np
import pytest
from folders import DEMO, copy_of
from in_process import planner
from pdf_pages import pages_of

from library.method import CreditSettings
from library.pool import for_athlete, pool_library
from library.schema import OwnRow
from planner.emg.next_recordings import plan_recordings, uncertain
from planner.emg.session import read_session
from planner.method import RECORDING_PLAN
from planner.model.problem import sets_a_week
from planner.week.gather import gather
from planner.week.plan import solve_asked

SETTINGS = RECORDING_PLAN


@pytest.fixture(scope="module")
def athlete(tmp_path_factory):
    return copy_of(DEMO, tmp_path_factory.mktemp("plan"))


@pytest.fixture(scope="module")
def asked(athlete):
    return gather(athlete, "2026-W49", datetime.date(2026, 11, 25))


@pytest.fixture(scope="module")
def proposal(asked):
    return plan_recordings(asked)


def row(head, key, ratio, sets):
    return OwnRow(
        session="s", exercise=key, head=head, metric="mean activation", unit="percent_MVIC",
        mean=SETTINGS.anchor_level * ratio, repetitions=8, sets=sets,
    )  # fmt: skip


def test_what_is_expected_is_what_pooling_such_rows_gives(asked, proposal, library):
    """The ranges once the rows are there, from the code that pools them."""
    problem, solved = solve_asked(asked.inputs)
    pooled = pool_library(library)
    counts = {e.key: proposal.sets.count(e) for e in proposal.sets}
    for goal in problem.heads:
        known = uncertain(asked.inputs, goal, solved.plan, SETTINGS)
        before = asked.inputs.profiles[goal.head]
        theta = {key: before.theta[known.places[key]] for key in counts if key in known.places}
        rows = [row(goal.head, key, math.exp(log), counts[key]) for key, log in theta.items()]
        after = for_athlete({goal.head: pooled[goal.head]}, library, rows)[goal.head].covariance
        expected = 1.6449 * math.sqrt(known.slopes @ after @ known.slopes)
        assert proposal.ranges[goal.head][1] == pytest.approx(expected, rel=1e-3)
        assert proposal.ranges[goal.head][1] < proposal.ranges[goal.head][0]


def test_slopes_are_the_covariance_of_a_credit_with_its_log_ratio(asked):
    """Stein's identity by draws: cov(theta, credit) = s²·slope; least_credit has no part in it."""
    problem, solved = solve_asked(asked.inputs)
    goal = next(goal for goal in problem.heads if goal.head == "rear")
    known = uncertain(asked.inputs, goal, solved.plan, SETTINGS)
    rear = [k for k in sets_a_week(solved.plan) if asked.library.exercises[k].trains == "rear"]
    key = max(rear, key=lambda k: known.slopes[known.places[k]])
    theta, error = asked.inputs.log_ratios["rear"][key]
    draws = np.random.default_rng(5).standard_normal(400_000) * error
    ratio = np.exp(theta + draws)
    credit = np.where(ratio < CreditSettings().credit_floor, 0, np.minimum(ratio, 1))
    slope = np.mean(draws * credit) / error**2 * sets_a_week(solved.plan)[key]
    assert known.slopes[known.places[key]] == pytest.approx(slope, rel=0.05)


def test_only_what_the_athlete_may_do_in_one_gym_is_proposed(asked, proposal):
    problem, _ = solve_asked(asked.inputs)
    allowed = set().union(*(day.allowed for day in problem.sessions if day.gym == proposal.gym))
    keys = [exercise.key for exercise in proposal.sets]
    assert set(keys) <= allowed and len(set(keys)) == SETTINGS.exercises
    assert keys[: SETTINGS.repeated] == keys[-SETTINGS.repeated :]


def test_sheet_and_session_file_are_written_once(athlete, library):
    words = ("measure", "--plan", athlete)
    assert planner(*words).returncode == 0
    folder = athlete / "recordings_to_make"
    (page,) = pages_of(folder / "recordings_to_make.pdf")
    read = read_session(folder, library).session
    assert "physiotherapist" in page
    assert [trial.order for trial in read.trial] == list(range(1, 9)) and len(read.reference) == 12
    assert "is there already" in planner(*words).stderr
    shown = json.loads(planner(*words, "--json").stdout)
    assert shown["sets"] == [trial.exercise for trial in read.trial]
