"""`planner measure --plan`: the proposal against a brute force on its own, and the files it leaves."""

import datetime
import json
import math
import re
import shutil

import numpy as np
import pytest
from folders import DEMO, copy_of
from in_process import pages_of, planner

from library.method import CreditSettings
from library.pool import for_athlete, pool_library
from library.schema import OwnRow
from planner.emg.measuring import measure_session
from planner.emg.next_recordings import plan_recordings, uncertain
from planner.emg.report import placement_html, rankings, report_html
from planner.emg.session import read_session, tables
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


# --- `planner measure`: what goes where, exit codes, one JSON document, the report and the placement sheet
def run(*words):
    return planner("measure", *words)


def test_the_demo_gives_table_ranking_and_report(demo, demo_folder, tmp_path, monkeypatch):
    monkeypatch.setattr("planner.emg.measuring.measure_session", lambda _: demo)  # which was measured once
    result = run(demo_folder, "--out", tmp_path)
    assert result.returncode == 0
    assert "front delt right by mean" in result.stdout
    assert "Report:" in result.stderr and "Report:" not in result.stdout
    assert "pull" not in result.stdout and "loose sensor or cable" in result.stderr
    assert "Ranked by mean activation, because weeks are planned with it" in result.stdout
    report = tmp_path / "measurement.pdf"
    pages = pages_of(report)
    said = "\n".join(pages)
    parts = "Ranking|Envelopes and phases|Quality|Reference contraction|Method|band_low_hz"
    assert [words for words in parts.split("|") if words not in said] == []
    assert re.search(r"front right\s+[\d.]+\s+mV\s", said) and len(pages) <= 6
    assert report.stat().st_size < 1_000_000


def test_json_is_one_document_and_writes_nothing(demo_folder, tmp_path):
    folder = tmp_path / "recordings"
    shutil.copytree(demo_folder, folder, ignore=shutil.ignore_patterns("measurement.*"))
    before = sorted(folder.iterdir())
    document = json.loads(run(folder, "--json").stdout)
    assert sorted(folder.iterdir()) == before
    assert document["version"] == 1 and len(document["trials"]) == 8
    channel, ranking = document["trials"][0]["channels"][0], document["rankings"][0]
    assert {"mean", "peak", "total", "eccentric_share"} <= channel.keys()
    assert len(channel["repetitions"]) == 8 and document["settings"]["band_low_hz"] == 20
    assert {"sem", "mdc95", "by_repetitions", "entries"} <= ranking.keys()
    assert (ranking["degrees"], ranking["freedom"]) == (2, 6)


def test_wrong_trials_are_named_the_code_is_2_and_names_cannot_break_the_page(lab):
    lab.set("a.csv")
    (lab.folder / "empty.csv").write_text("")
    lab.read(lab.card, lab.sensor, lab.motion, lab.trial("a.csv"), lab.trial("empty.csv"))
    result = run(lab.folder)
    assert result.returncode == 2
    assert "empty.csv" in result.stderr and "is empty" in result.stderr
    assert "Standing dumbbell lateral raise" in result.stdout
    assert "Not measured or stated wrongly" in "\n".join(pages_of(lab.folder / "measurement.pdf"))
    card = lab.card.replace("Test Person", "<script>alert(1)</script> & Co")
    session = measure_session(lab.read(card, lab.sensor, lab.motion, lab.trial(lab.set("a.csv"))))
    page = report_html(session, rankings(session))
    assert "<script>" not in page and "&lt;script&gt;" in page


def test_into_says_what_moved(demo, demo_folder, tmp_path, quick_paper, monkeypatch):
    monkeypatch.setattr("planner.emg.measuring.measure_session", lambda _: demo)
    copy_of(DEMO, tmp_path)
    result = run(demo_folder, "--into", tmp_path, "--out", tmp_path)
    assert "24 rows in" in result.stdout and "measurement error" in result.stdout
    sets, doses = result.stdout.split("before and after")[1].split("Direct sets a head")
    assert re.search(r"  \S.*  \d+ +\d+\n", sets) and all(head in doses for head in ("front", "side", "rear"))
    assert not (tmp_path / "weeks").exists()
    brief = tmp_path / "brief.toml"
    brief.write_text(brief.read_text(encoding="utf-8").replace("Robin Vale", "Somebody Else"), "utf-8")
    again = json.loads(run(demo_folder, "--into", tmp_path, "--same-person", "--json").stdout)
    assert again["moved"] == [] and len(again["rows"]) == 24
    assert len((tmp_path / "evidence.csv").read_text().splitlines()) == 25
    refused = run(demo_folder, "--into", tmp_path)
    assert refused.returncode == 2 and "Somebody Else" in refused.stderr


def test_the_placement_sheet_has_sites_tests_and_cautions(tmp_path):
    result = run("--placement", "--out", tmp_path)
    assert result.stdout.strip() == str(tmp_path / "placement.pdf")
    said = "\n".join(pages_of(tmp_path / "placement.pdf"))
    parts = "Front delt|Side delt|Rear delt|Upper trapezius|ramp up|physiotherapist|C7"
    assert [words for words in parts.split("|") if words not in said] == []
    numbered = [words for number in range(1, 6) for words in re.findall(rf"\n{number} ([A-Z]\w+)", said)]
    wanted = [tables()["test"][key]["name"] for key in tables()["wanted"]]
    assert numbered == [name.split()[0].capitalize() for name in wanted]
    assert not re.search(r"\w/\w+[./]|\.csv|\.toml", said)  # nothing of the inside on a client's page
    assert placement_html().count("<svg") == 4
