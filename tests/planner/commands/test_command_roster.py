"""`planner roster` from end to end: every athlete below a folder, whoever fails, however many at once."""

from __future__ import annotations

import json
import multiprocessing
import os
import subprocess
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from as_process import planner
from small_athlete import BRIEF, TODAY, WEEK, make_folder

from planner.roster import work as roster_work
from planner.roster.rows import HeadTotal, Row, exit_code, row_line, totals_line
from planner.roster.work import Task, athletes_below, plan_all, plan_one

BROKEN = BRIEF.replace("side = 8", 'side = "many"')
OPERATED = BRIEF.replace("[history]", "[history]\nsurgery = { date = 2026-10-01, cleared = false }")
SHORT = BRIEF.replace("side = 8", "side = 40")


def named(brief: str, name: str) -> str:
    return brief.replace('"Kim"', f'"{name}"')


@pytest.fixture(scope="module")
def club(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Four athletes: two whose week can be, one of them short of a target, one with a wrong brief, one not cleared."""
    folder = tmp_path_factory.mktemp("club")
    for place, brief in (
        ("morning/ada", named(BRIEF, "Ada")),
        ("bea", BROKEN),
        ("cid", OPERATED),
        ("dan", named(SHORT, "Dan")),
    ):
        make_folder(folder / place, brief)
    return folder


@pytest.fixture(scope="module")
def planned(club: Path) -> dict[int, subprocess.CompletedProcess[str]]:
    """The same roster planned one by one and two at once; nothing is written."""
    return {jobs: planner("roster", club, "--week", WEEK, "--json", "--jobs", jobs) for jobs in (1, 2)}


def test_the_result_is_the_same_however_many_at_once(planned: dict[int, Any], club: Path) -> None:
    assert planned[1].stdout == planned[2].stdout
    assert planned[1].stderr == planned[2].stderr
    assert not list(club.rglob("weeks"))


def test_one_record_an_athlete_by_folder(planned: dict[int, Any], club: Path) -> None:
    document = json.loads(planned[2].stdout)
    rows = document["athletes"]
    assert document["week"] == WEEK
    assert [row["folder"] for row in rows] == [
        str(club / place) for place in ("bea", "cid", "dan", "morning/ada")
    ]
    assert [row["exit"] for row in rows] == [2, 3, 0, 0]
    assert [row["status"] for row in rows] == ["", "", "proven", "proven"]
    assert [row["name"] for row in rows] == ["bea", "cid", "Dan", "Ada"]
    assert rows[3]["short"] == {}
    heads = {head["head"]: head for head in rows[2]["heads"]}
    assert rows[2]["short"]["side"] == pytest.approx(heads["side"]["target"] - heads["side"]["total"])


def test_who_fails_is_named_with_the_error_and_the_worst_ends_it(planned: dict[int, Any], club: Path) -> None:
    told = planned[2]
    assert told.returncode == 2
    assert f"{club / 'bea'}:\n{club / 'bea' / 'brief.toml'}: target.side" in told.stderr
    assert f"{club / 'cid'}:\n" in told.stderr
    assert "4 athletes: 2 planned, 1 short of a target, 2 without a week" in told.stderr


def test_lines_and_papers(tmp_path: Path) -> None:
    make_folder(tmp_path / "ada", named(BRIEF, "Ada"))
    make_folder(tmp_path / "cid", OPERATED)
    told = planner("roster", tmp_path, "--week", WEEK)
    assert told.returncode == 3
    first, second = told.stdout.splitlines()
    sheets = tmp_path / "ada" / "weeks" / WEEK / "sheets.pdf"
    assert first.startswith(f"Ada, {WEEK}: proven; front ") and first.endswith(f"nothing short; {sheets}")
    assert second.startswith(f"cid, {WEEK}: NO WEEK, {tmp_path / 'cid'}, exit 3: ")
    assert sheets.read_bytes().startswith(b"%PDF")
    assert not (tmp_path / "cid" / "weeks").exists()


def test_json_writes_only_with_save(tmp_path: Path) -> None:
    make_folder(tmp_path / "ada", named(BRIEF, "Ada"))
    # the folder of one athlete will do
    told = planner("roster", tmp_path / "ada", "--week", WEEK, "--json", "--save")
    (row,) = json.loads(told.stdout)["athletes"]
    assert told.returncode == 0
    assert Path(row["sheets"]).exists()


def test_hidden_folders_and_weeks_hold_no_athlete(tmp_path: Path) -> None:
    for place in ("b/kim", "a", ".old/kim", "a/weeks/2026-W49"):
        make_folder(tmp_path / place)
    (tmp_path / "empty").mkdir()
    assert athletes_below(tmp_path) == [tmp_path / "a", tmp_path / "b/kim"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("nowhere",), "there is no such folder"),
        ((".",), "no folder in it holds a brief.toml"),
        ((".",), "Give each athlete a folder"),
        ((".", "--week", "2026-W60"), "2026-W60"),
        ((".", "--jobs", "0"), "--jobs"),
    ],
)
def test_wrong_options(words: tuple[str, ...], says: str, tmp_path: Path) -> None:
    told = planner("roster", tmp_path / words[0], *words[1:])
    assert (told.returncode, told.stdout) == (2, "")
    assert says in told.stderr


def test_paper_that_cannot_be_made_is_told_and_the_week_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> bytes:
        raise OSError("no renderer")

    monkeypatch.setattr("planner.sheets.render._laid", fails)
    row = plan_one(Task(make_folder(tmp_path / "kim"), WEEK, TODAY, write=True))
    assert (row.exit, row.status) == (4, "proven")
    assert "no renderer" in row.error
    assert row.sheets.endswith("sheets.html")
    assert row_line(row).endswith("sheets.html; exit 4: no PDF")


def test_a_fault_of_ours_stops_no_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folders = [make_folder(tmp_path / name) for name in ("a", "b")]

    def breaks(folder: Path, *_: object) -> None:
        raise ZeroDivisionError(folder.name)

    monkeypatch.setattr("planner.week.plan.gather", breaks)
    rows = list(plan_all(folders, WEEK, TODAY, write=False, jobs=1))
    assert [(row.exit, row.error) for row in rows] == [
        (1, "A fault of ours: ZeroDivisionError: a"),
        (1, "A fault of ours: ZeroDivisionError: b"),
    ]


def die_for_bea(task: Task) -> Row:
    """Stand in for the work: one athlete's process is killed, the others come back."""
    if task.folder.name == "bea":
        os.kill(os.getpid(), 9)
    return Row(str(task.folder), task.folder.name, task.week, status="proven")


def forked(workers: int) -> ProcessPoolExecutor:
    """Give a pool whose processes know this test's stand-in."""
    return ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("fork"))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork: the stand-in would be unknown")
def test_a_process_that_is_killed_stops_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(roster_work, "plan_one", die_for_bea)
    monkeypatch.setattr(roster_work, "_pool", forked)
    rows = list(plan_all([Path("ada"), Path("bea"), Path("cid")], WEEK, TODAY, write=False, jobs=2))
    assert [(row.name, row.exit) for row in rows] == [("ada", 0), ("bea", 1), ("cid", 0)]
    assert "its process ended" in rows[1].error


def test_the_worst_code_counts() -> None:
    rows = {code: Row("f", "n", WEEK, exit=code) for code in range(5)}
    assert exit_code([rows[0], rows[4]]) == 4
    assert exit_code([rows[4], rows[3], rows[0]]) == 3
    assert exit_code([rows[3], rows[2], rows[4]]) == 2
    assert exit_code([rows[2], rows[1]]) == 1
    assert exit_code([rows[0]]) == 0


def test_what_is_short_and_what_to_read_first_stand_in_the_line() -> None:
    heads = (HeadTotal("front", 6.0, 6), HeadTotal("side", 11.8, 14), HeadTotal("rear", 7.96, 8))
    row = Row("f", "Zoë", WEEK, "stopped", heads, ("Pain.", "No questionnaire."), "f/sheets.pdf")
    line = f"Zoë, {WEEK}: stopped; front 6.0 of 6, side 11.8 of 14, rear 8.0 of 8; SHORT: side by 2.2; 2 warnings"
    assert row_line(row) == f"{line}; f/sheets.pdf"
    assert totals_line([row]) == "1 athlete: 1 planned, 1 short of a target, 0 without a week"
    assert (
        row_line(Row("f", "Zoë", WEEK, "proven"))
        == f"Zoë, {WEEK}: proven; nothing to train; nothing short; not written"
    )
