"""What a roster keeps: who is planned again, what a killed run leaves, and that all is as if planned one by one."""

import datetime
import json
import os
import random
import shutil
import sys
import time
from functools import partial

import pytest
from folders import contents
from in_process import planner
from killed import ended, kill_after, needs_fork, nobody_left, started
from log_files import RAISE
from pypdf import PdfReader
from small_athlete import BRIEF, GYM, TODAY, WEEK, make_folder

from planner.athlete.folder import EVIDENCE_COLUMNS as EVIDENCE
from planner.athlete.folder import read_week, weeks
from planner.cli import main
from planner.kept import KEPT, Kept, fingerprint, program
from planner.log.file import append_to_log
from planner.log.record import LoggedSet
from planner.roster import Task, plan_all

ONE_BY_ONE = partial(plan_all, jobs=1)

KILLS = int(os.environ.get("SOAK_KILLS", "50"))
NAMES = ("ada", "ben", "cem")
SHORT = BRIEF.replace("minutes = 30", "minutes = 20")
ONE_DAY = SHORT.partition('[[session]]\nday = "Wed"')[0]


@pytest.fixture(scope="module")
def first_club(tmp_path_factory):
    return tmp_path_factory.mktemp("first") / "club"


@pytest.fixture
def club(first_club, tmp_path, quick_paper):
    """Three athletes, planned once somewhere else, papers of one empty page."""
    if not first_club.exists():
        for name in NAMES:
            make_folder(first_club / name, SHORT.replace("Kim", name.capitalize()))
        assert told(first_club).returncode == 0
    return shutil.copytree(first_club, tmp_path / "club")


def told(folder, *words):
    return planner("roster", folder, "--week", WEEK, "--jobs", 1, *words)


@pytest.fixture
def planned(monkeypatch):
    """The names of those who are planned from now on."""
    from planner.week import plan

    names, really = [], plan.plan_week
    monkeypatch.setattr(plan, "plan_week", lambda of: names.append(of.filed.folder.name) or really(of))
    return names


DONE = LoggedSet(TODAY, "Wed", RAISE, 1, 6.0, "kg", 10, 2.0, gym="home")
CHANGES = {
    "brief": lambda folder: (folder / "brief.toml").write_text(SHORT.replace("side = 8", "side = 7")),
    "gym": lambda folder: (folder / "gym.toml").write_text(GYM.replace('"bands"', '"kettlebells"')),
    "log": lambda folder: append_to_log(folder, [DONE]),
    "evidence": lambda folder: (folder / "evidence.csv").write_text(",".join(EVIDENCE) + "\n"),
    "the week before": lambda folder: planner("week", folder, "--week", "2026-W48"),
    "an earlier week": lambda folder: planner("week", folder, "--week", "2026-W40"),
    "sheets are gone": lambda folder: (folder / "weeks" / WEEK / "sheets.pdf").unlink(),
    "the week is gone": lambda folder: shutil.rmtree(folder / "weeks" / WEEK),
}


@pytest.mark.parametrize("what", CHANGES)
def test_whoever_changed_is_planned_again_and_nobody_else(what, club, planned):
    CHANGES[what](club / "ben")
    planned.clear()
    again = told(club, "--changed-only")
    assert planned == ["ben"] and "2 unchanged" in again.stderr
    told(club, "--changed-only")
    assert planned == ["ben"]


def test_another_program_or_week_plans_all(club, planned, monkeypatch):
    same = told(club, "--changed-only")
    assert "3 unchanged" in same.stderr and str(club / "ada" / "weeks" / WEEK / "sheets.pdf") in same.stdout
    monkeypatch.setattr("planner.kept.program", lambda: "another one")
    told(club, "--changed-only")
    assert planned == list(NAMES)
    planner("roster", club, "--week", "2026-W50", "--jobs", 1, "--changed-only")
    assert planned == [*NAMES, *NAMES]


def test_a_week_that_was_changed_by_hand_stays(club, planned):
    assert planner("swap", club / "ben", "--week", WEEK, "--minutes", "Wed=20").returncode == 0
    planned.clear()
    rows = json.loads(told(club, "--changed-only", "--json", "--save").stdout)["athletes"]
    week = read_week(club / "ben", WEEK)
    assert planned == [] and len(week.changes) == 1
    totals = {of.head: of.planned + of.elsewhere for of in week.dose}
    assert {of["head"]: of["total"] for of in rows[1]["heads"]} == pytest.approx(totals, abs=0.01)
    assert "3 unchanged" in told(club, "--changed-only").stderr


def test_a_run_that_was_stopped_goes_on(club, planned):
    tasks = [Task(club / name, WEEK, TODAY, write=True) for name in NAMES]
    stopped = Kept(club, changed_only=False).plan(tasks, ONE_BY_ONE)
    assert next(stopped)[0].name == "Ada"
    stopped.close()
    planned.clear()
    assert "1 unchanged" in told(club).stderr  # though not asked to
    assert planned == ["ben", "cem"]
    assert told(club).returncode == 0 and planned == ["ben", "cem", *NAMES]


DAMAGED = (lambda text: text[: len(text) // 2], lambda text: "\0" + text, lambda _: "{]\n")


@pytest.mark.parametrize("damage", DAMAGED)
def test_what_is_damaged_is_planned_again(damage, club, planned):
    file = club / KEPT
    file.write_text(damage(file.read_text()))
    assert told(club, "--changed-only").returncode == 0
    assert set(planned) < {*NAMES} or planned == list(NAMES)
    assert "3 unchanged" in told(club, "--changed-only").stderr


def test_a_link_in_its_place_is_refused(club):
    (club / "aside").write_text((club / KEPT).read_text())
    (club / KEPT).unlink()
    (club / KEPT).symlink_to(club / "aside")
    again = told(club)
    assert again.returncode == 2 and "this is a link" in again.stderr


def test_papers_stand_while_nothing_changes(club):
    papers = [club / name for name in ("sunday.pdf", "print.pdf")]
    before = [paper.stat().st_mtime_ns for paper in papers]
    told(club, "--changed-only")
    assert [paper.stat().st_mtime_ns for paper in papers] == before
    shutil.rmtree(club / "cem")
    told(club, "--changed-only")
    assert all(paper.stat().st_mtime_ns not in before for paper in papers)
    assert len(PdfReader(club / "print.pdf").pages) == 2


@pytest.mark.slow
def test_a_roster_writes_what_single_runs_write_byte_for_byte(tmp_path):
    for name in NAMES[:2]:
        for place in ("roster", "single"):
            make_folder(tmp_path / place / name, ONE_DAY.replace("Kim", name))
    assert planner("roster", tmp_path / "roster", "--week", WEEK, "--jobs", 2).returncode == 0
    assert planner("week", tmp_path / "single" / NAMES[0], "--week", WEEK).returncode == 0
    assert contents(tmp_path / "roster" / NAMES[0]) == contents(tmp_path / "single" / NAMES[0])


def running(folder, jobs):
    def work():
        for stream in (1, 2):
            os.dup2(os.open(folder.parent / "said.txt", os.O_WRONLY | os.O_CREAT | os.O_APPEND), stream)
        sys.argv = ["planner", "roster", str(folder), "--week", WEEK, "--jobs", str(jobs)]
        main()

    return work


def pages(file):
    return len(PdfReader(file).pages)


def left_whole(folder, done):
    """Every week reads, all papers open, nothing is left beside, and all is as after an undisturbed run."""
    for name in NAMES:
        assert weeks(folder / name) == [WEEK]
        assert read_week(folder / name, WEEK).sessions == read_week(done / name, WEEK).sessions
        one, other = (pages(where / name / "weeks" / WEEK / "sheets.pdf") for where in (folder, done))
        assert one == other
    assert pages(folder / "print.pdf") == pages(done / "print.pdf") and pages(folder / "sunday.pdf")
    assert {path.name for path in folder.rglob(".*")} <= {KEPT, ".lock"}


def undisturbed(folder, jobs):
    """Make the same athletes twice and let a roster plan one of the two; give both and its seconds."""
    for name in NAMES:
        make_folder(folder / "new" / name, SHORT.replace("Kim", name))
    done, start = shutil.copytree(folder / "new", folder / "done"), time.monotonic()
    assert ended(started(running(done, jobs))) == 0
    return folder / "new", done, time.monotonic() - start


@needs_fork
@pytest.mark.parametrize(("times", "jobs"), [(4, 1), pytest.param(KILLS, 2, marks=pytest.mark.soak)])
def test_after_a_kill_at_any_moment_the_next_run_completes(times, jobs, tmp_path, request):
    if jobs == 1:
        request.getfixturevalue("quick_paper")
    new, done, seconds = undisturbed(tmp_path, jobs)
    chance, kills, kept = random.Random(3), 0, 0
    for number in range(times):
        folder = shutil.copytree(new, tmp_path / str(number))
        child = started(running(folder, jobs))
        kills += kill_after(chance.uniform(0.2, 1.3) * seconds, child) < 0
        assert nobody_left(child)
        kept += (folder / KEPT).read_text().count('"proven"') if (folder / KEPT).exists() else 0
        assert ended(started(running(folder, jobs))) == 0
        left_whole(folder, done)
        shutil.rmtree(folder)
    print(f"{times} rosters, {kills} killed; {kept} of {3 * times} weeks not planned twice", flush=True)


@needs_fork
def test_two_rosters_at_once_both_complete(tmp_path, quick_paper):
    new, done, _ = undisturbed(tmp_path, 1)
    both = [started(running(new, 1)) for _ in range(2)]
    assert [ended(child) for child in both] == [0, 0], (tmp_path / "said.txt").read_text()
    left_whole(new, done)


def test_a_broken_folder_is_told_and_the_rest_goes_on(tmp_path, quick_paper):
    make_folder(tmp_path / "ada", SHORT)
    for name, file in {"log": "log.csv", "gym": "gym.toml", "evidence": "evidence.csv"}.items():
        make_folder(tmp_path / name, SHORT)
        (tmp_path / name / file).unlink(missing_ok=True)
        (tmp_path / name / file).mkdir()
    (make_folder(tmp_path / "listing", SHORT) / "weeks").mkdir()
    (tmp_path / "listing" / "weeks" / ".weeks").write_text("none")
    make_folder(tmp_path / "bytes", SHORT)
    (tmp_path / "bytes" / "brief.toml").write_bytes(b"\xff\xfe")
    again = told(tmp_path)
    assert again.returncode == 2
    assert "6 athletes: 1 planned" in again.stderr and "5 without a week" in again.stderr
    assert f"bytes, {WEEK}: NO WEEK" in again.stdout  # no name can be read: that of the folder
    assert (tmp_path / "sunday.pdf").exists() and (tmp_path / "print.pdf").exists()


def test_another_day_and_files_that_make_no_plan_do_not_count(club):
    later = Task(club / "ada", WEEK, TODAY + datetime.timedelta(days=3), write=True)
    ((row, stood),) = Kept(club, changed_only=True).plan([later], ONE_BY_ONE)
    assert stood and row.name == "Ada"
    before = fingerprint(club / "ada", WEEK)
    (club / "ada" / "notes.txt").write_text("x")
    planner("week", club / "ada", "--week", WEEK)
    assert fingerprint(club / "ada", WEEK) == before != fingerprint(club / "ada")
    assert len(program()) == 64
