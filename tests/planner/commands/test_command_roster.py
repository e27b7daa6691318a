"""`planner roster` from end to end: every athlete below a folder, whoever fails, however many at once."""

import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from in_process import planner
from small_athlete import BRIEF, TODAY, WEEK, make_folder

from planner import roster
from planner.commands.roster import with_bar
from planner.roster import HeadTotal, Row, Task, Worker, plan_all, row_line

BROKEN = BRIEF.replace("side = 8", 'side = "many"')
OPERATED = BRIEF.replace("[history]", "[history]\nsurgery = { date = 2026-10-01, cleared = false }")
SHORT = BRIEF.replace("side = 8", "side = 20").replace("minutes = 30", "minutes = 20").replace("= 25", "= 15")


def named(brief, name):
    return brief.replace('"Kim"', f'"{name}"')


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    """Four athletes: two whose week can be, one of them short of a target, one with a wrong brief, one not cleared."""
    folder = tmp_path_factory.mktemp("club")
    briefs = {"morning/ada": named(BRIEF, "Ada"), "bea": BROKEN, "cid": OPERATED, "dan": named(SHORT, "Dan")}
    for place, brief in briefs.items():
        make_folder(folder / place, brief)
    return folder


@pytest.fixture(scope="module")
def planned(club):
    """The same roster planned one by one and two at once; nothing is written."""
    return {jobs: planner("roster", club, "--week", WEEK, "--json", "--jobs", jobs) for jobs in (1, 2)}


def test_the_result_is_the_same_however_many_at_once(planned, club):
    assert planned[1].stdout == planned[2].stdout
    assert planned[1].stderr == planned[2].stderr
    assert not list(club.rglob("weeks"))


def test_one_record_an_athlete_by_folder(planned, club):
    document = json.loads(planned[2].stdout)
    rows = document["athletes"]
    assert document["week"] == WEEK
    assert [row["folder"] for row in rows] == [
        str(club / place) for place in ("bea", "cid", "dan", "morning/ada")
    ]
    assert [row["exit"] for row in rows] == [2, 3, 0, 0]
    assert [bool(row["status"]) for row in rows] == [False, False, True, True]
    assert [row["name"] for row in rows] == ["bea", "cid", "Dan", "Ada"]
    assert rows[3]["short"] == {}
    heads = {head["head"]: head for head in rows[2]["heads"]}
    assert rows[2]["short"]["side"] == pytest.approx(heads["side"]["target"] - heads["side"]["total"])


def test_who_fails_is_named_with_the_error_and_the_worst_ends_it(planned, club):
    told = planned[2]
    assert told.returncode == 2
    assert f"{club / 'bea'}:\n{club / 'bea' / 'brief.toml'}: target.side" in told.stderr
    assert f"{club / 'cid'}:\n" in told.stderr
    assert "4 athletes: 2 planned, 0 with pain, 1 short of a target, 2 without a week" in told.stderr


def test_lines_and_papers(tmp_path):
    make_folder(tmp_path / "ada", named(BRIEF, "Ada"))
    make_folder(tmp_path / "cid", OPERATED)
    told = planner("roster", tmp_path, "--week", WEEK)
    assert told.returncode == 3
    first, second = told.stdout.splitlines()
    sheets = tmp_path / "ada" / "weeks" / WEEK / "sheets.pdf"
    assert first.startswith(f"Ada, {WEEK}: nothing short; proven; front ") and first.endswith(f"; {sheets}")
    assert second.startswith(f"cid, {WEEK}: NO WEEK, {tmp_path / 'cid'}, exit 3: ")
    assert sheets.read_bytes().startswith(b"%PDF")
    assert not (tmp_path / "cid" / "weeks").exists()


def test_json_writes_only_with_save(tmp_path, quick_paper):
    make_folder(tmp_path / "ada", named(BRIEF, "Ada"))
    # the folder of one athlete will do
    told = planner("roster", tmp_path / "ada", "--week", WEEK, "--json", "--save")
    (row,) = json.loads(told.stdout)["athletes"]
    assert told.returncode == 0
    assert Path(row["sheets"]).exists()


def test_hidden_folders_and_weeks_hold_no_athlete(tmp_path):
    for place in ("b/kim", "a", ".old/kim", "a/weeks/2026-W49"):
        make_folder(tmp_path / place)
    (tmp_path / "empty").mkdir()
    assert roster.athletes_below(tmp_path) == [tmp_path / "a", tmp_path / "b/kim"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("nowhere",), "there is no such folder"), ((".",), "no folder in it holds a brief.toml"),
        ((".",), "Give each athlete a folder"), ((".", "--week", "2026-W60"), "2026-W60"),
        ((".", "--jobs", "0"), "--jobs"),
    ],
)  # fmt: skip
def test_wrong_options(words, says, tmp_path):
    told = planner("roster", tmp_path / words[0], *words[1:])
    assert (told.returncode, told.stdout) == (2, "")
    assert says in told.stderr


def test_paper_that_cannot_be_made_is_told_and_the_week_stands(tmp_path, monkeypatch):
    def fails(*_):
        raise OSError("no renderer")

    monkeypatch.setattr("planner.sheets.render._laid", fails)
    row = roster.plan_one(Task(make_folder(tmp_path / "kim"), WEEK, TODAY, write=True))
    assert (row.exit, row.status) == (4, "proven")
    assert "no renderer" in row.error
    assert row.sheets.endswith("sheets.html")
    assert row_line(row).endswith("sheets.html; exit 4: no PDF")


def test_a_fault_of_ours_stops_no_other(tmp_path, monkeypatch):
    folders = [make_folder(tmp_path / name) for name in ("a", "b")]

    def breaks(folder, *_):
        raise ZeroDivisionError(folder.name)

    monkeypatch.setattr("planner.week.gather.gather", breaks)
    rows = list(plan_all([Task(folder, WEEK, TODAY, write=False) for folder in folders], jobs=1))
    assert [(row.exit, row.error) for row in rows] == [
        (1, "A fault of ours: ZeroDivisionError: a"),
        (1, "A fault of ours: ZeroDivisionError: b"),
    ]


# stands in for the work: bea's process is killed each time, eve's the first time, ken's works without end
STAND_IN = """
import os, sys, time
from pathlib import Path
from planner import roster
from planner.commands.roster import with_bar
def plan_one(task):
    mark = Path({folder!r}, str(os.getpid()))
    mark.touch()
    if task.folder.name == "bea" or (task.folder.name == "eve" and len(list(mark.parent.iterdir())) == 1):
        os.kill(os.getpid(), 9)
    if task.folder.name == "ken":
        time.sleep(600)
    return roster.Row(str(task.folder), task.folder.name, task.week, status="proven")
roster.plan_one = plan_one
roster.work()
"""


def stand_in(folder):
    return (sys.executable, "-c", STAND_IN.format(folder=str(folder)))


def test_a_process_that_is_killed_stops_no_other(monkeypatch, tmp_path):
    monkeypatch.setattr(Worker, "command", stand_in(tmp_path))
    tasks = [Task(Path(name), WEEK, TODAY, write=False) for name in ("eve", "ada", "bea", "cid", "dan")]
    rows = list(plan_all(tasks, jobs=2))
    assert {row.name: row.exit for row in rows} == {"eve": 0, "ada": 0, "bea": 1, "cid": 0, "dan": 0}
    assert "its process ended" in rows[2].error


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere processes end when their input does")
@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGKILL])
def test_stopped_or_killed_a_roster_leaves_nobody_at_work(sign, tmp_path):
    program = (
        "import datetime; from pathlib import Path; from planner import roster\n"
        f"roster.Worker.command = {stand_in(tmp_path)!r}\n"
        f"tasks = [roster.Task(Path('ken'), '{WEEK}', datetime.date.today(), False)] * 9\n"
        "print(list(roster.plan_all(tasks, jobs=2)))"
    )
    running = subprocess.Popen([sys.executable, "-c", program], stderr=subprocess.DEVNULL)
    while len(workers := [int(mark.name) for mark in tmp_path.iterdir()]) < 2:
        time.sleep(0.05)
    running.send_signal(sign)
    running.wait(120)
    deadline = time.monotonic() + 120
    while (
        alive := [one for one in workers if Path(f"/proc/{one}").exists()]
    ) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not alive and len(list(tmp_path.iterdir())) == 2  # and nobody new was put to work


FOREIGN = """socket json csv random queue signal pickle typing decimal select numpy pulp scipy highspy pandas typer pydantic
    weasyprint jinja2 rich tomllib subprocess multiprocessing tempfile hashlib logging datetime planner library ctypes"""


@pytest.mark.parametrize(
    "words",
    [("roster", ".", "--week", WEEK, "--jobs", 2, "--json"), ("doctor",), ("week", "ada", "--week", WEEK)],
)
def test_no_file_of_a_folder_is_ever_run(words, tmp_path):
    for name in ("ada", "bea"):
        make_folder(tmp_path / name)
    for folder in (tmp_path, tmp_path / "ada", tmp_path / "bea"):
        for name in FOREIGN.split():
            (folder / f"{name}.py").write_text(f"open({str(tmp_path / 'was-run')!r}, 'w')", encoding="utf-8")
    line = [sys.executable, "-P", "-m", "planner", *map(str, words)]
    told = subprocess.run(line, cwd=tmp_path, capture_output=True, text=True)
    assert told.returncode == 0, told.stderr
    assert not (tmp_path / "was-run").exists()


def test_a_bar_is_drawn_for_a_terminal_alone(monkeypatch, capsys):
    assert list(with_bar(iter("abc"), 3)) == ["a", "b", "c"]
    assert capsys.readouterr().err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    assert list(with_bar(iter("abc"), 3)) == ["a", "b", "c"]
    told = capsys.readouterr()
    assert told.out == "" and "3/3" in told.err


def test_the_worst_code_counts():
    rows = [Row("f", "n", WEEK, exit=code) for code in (0, 4, 3, 2, 1)]  # each worse than those before it
    assert [roster.exit_code(rows[: place + 1]) for place in range(5)] == [0, 4, 3, 2, 1]


def test_pain_stands_first_then_what_is_short():
    heads = (HeadTotal("front", 6.0, 6), HeadTotal("side", 11.8, 14), HeadTotal("rear", 7.96, 8))
    row = Row(
        "f", "Zoë", WEEK, "stopped", ("Rear raise: pain 7.",), heads, ("No questionnaire.",), "f/sheets.pdf"
    )
    line = row_line(row)
    said = ("PAIN: Rear raise: pain 7.", "SHORT of target: side by 2.2", "stopped", "side 11.8 of 14")
    places = [line.index(words) for words in (*said, "1 warning", "f/sheets.pdf")]
    assert places == sorted(places)
    assert (
        roster.totals_line([row])
        == "1 athlete: 1 planned, 1 with pain, 1 short of a target, 0 without a week"
    )
    empty = row_line(Row("f", "Zoë", WEEK, "proven"))
    assert "nothing short" in empty and "nothing to train" in empty and empty.endswith("not written")
