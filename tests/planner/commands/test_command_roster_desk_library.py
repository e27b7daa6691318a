"""`planner roster`, `desk`, `library` and `pool` from end to end: every athlete below a folder, whoever fails."""

import json
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import httpx2 as httpx
import pytest
from desk_client import address_of
from folders import SMALL_LIBRARY, copy_of_demo
from in_process import planner, printed
from killed import waited_for
from small_athlete import BRIEF, TODAY, WEEK, make_folder

from library.errors import nearest
from planner import roster
from planner.commands import library as command
from planner.commands.roster import with_bar
from planner.roster import HeadTotal, Row, Task, Worker, plan_all, row_line

BROKEN = BRIEF.replace("side = 8", 'side = "many"')
OPERATED = BRIEF.replace("[history]", "[history]\nsurgery = { date = 2026-10-01, cleared = false }")
SHORT = BRIEF.partition('[[session]]\nday = "Wed"')[0] + "[target]\nside = 20\n"  # in one session


def named(brief, name):
    return brief.replace('"Kim"', f'"{name}"')


def breaks(*_):
    raise ZeroDivisionError("broken")


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    """Four athletes: two whose week can be, one of them short of a target, one with a wrong brief, one not cleared."""
    folder = tmp_path_factory.mktemp("club")
    for place, brief in {"morning/ada": BRIEF, "bea": BROKEN, "cid": OPERATED, "dan": SHORT}.items():
        make_folder(folder / place, named(brief, place[-3:].capitalize()))
    return folder


def test_one_record_an_athlete_the_same_however_many_at_once_and_who_fails_is_named(club):
    words = ("roster", club, "--week", WEEK, "--json", "--jobs")
    alone, told = (planner(*words, jobs) for jobs in (1, 2))
    assert (alone.stdout, alone.stderr) == (told.stdout, told.stderr)
    assert not list(club.rglob("weeks"))
    document = json.loads(told.stdout)
    rows = document["athletes"]
    assert document["week"] == WEEK
    assert [row["folder"] for row in rows] == [str(club / of) for of in ("bea", "cid", "dan", "morning/ada")]
    assert [row["exit"] for row in rows] == [2, 3, 0, 0]
    assert [bool(row["status"]) for row in rows] == [False, False, True, True]
    assert [row["name"] for row in rows] == ["Bea", "Cid", "Dan", "Ada"]
    heads = {head["head"]: head for head in rows[2]["heads"]}
    assert rows[2]["short"]["side"] == pytest.approx(heads["side"]["target"] - heads["side"]["total"])
    assert rows[3]["short"] == {}
    # the error of each who fails is told, and the worst ends it
    assert told.returncode == 2
    assert f"{club / 'bea'}:\n{club / 'bea' / 'brief.toml'}: target.side" in told.stderr
    assert f"{club / 'cid'}:\n" in told.stderr
    assert "4 athletes: 2 planned, 0 with pain, 1 short of a target, 2 without a week" in told.stderr


def test_hidden_folders_hold_no_athlete_and_lines_and_papers_are_written(tmp_path, quick_paper):
    for place in ("b/kim", "a", ".old/kim", "a/weeks/2026-W49"):
        make_folder(tmp_path / place)
    (tmp_path / "empty").mkdir()
    assert roster.athletes_below(tmp_path) == [tmp_path / "a", tmp_path / "b/kim"]
    ada = make_folder(tmp_path / "club" / "ada", named(BRIEF, "Ada"))
    cid = make_folder(tmp_path / "club" / "cid", OPERATED)
    told = planner("roster", tmp_path / "club", "--week", WEEK)
    first, second = told.stdout.splitlines()
    sheets = ada / "weeks" / WEEK / "sheets.pdf"
    assert first.startswith(f"Ada, {WEEK}: nothing short; proven; front ") and first.endswith(f"; {sheets}")
    assert second.startswith(f"Kim, {WEEK}: NO WEEK, {cid}, exit 3: ")
    assert told.returncode == 3 and sheets.read_bytes().startswith(b"%PDF")
    assert not (cid / "weeks").exists()


@pytest.mark.parametrize(("words", "says"), [
    (("nowhere",), "there is no such folder"), ((".",), "no folder in it holds a brief.toml"),
    ((".", "--week", "2026-W60"), "2026-W60"),
])  # fmt: skip
def test_wrong_options(words, says, tmp_path):
    told = planner("roster", tmp_path / words[0], *words[1:])
    assert (told.returncode, told.stdout) == (2, "") and says in told.stderr


def test_a_paper_that_cannot_be_made_and_a_fault_of_ours_stop_no_week(tmp_path, monkeypatch):
    monkeypatch.setattr("planner.sheets.render._lay_out", breaks)
    row = roster.plan_one(Task(make_folder(tmp_path / "kim"), WEEK, TODAY, write=True))
    assert (row.exit, row.status) == (4, "proven")
    assert row.sheets.endswith("sheets.html") and row_line(row).endswith("sheets.html; exit 4: no PDF")
    folders = [make_folder(tmp_path / name) for name in ("a", "b")]
    monkeypatch.setattr("planner.week.gather.gather", breaks)
    rows = list(plan_all([Task(folder, WEEK, TODAY, write=False) for folder in folders], jobs=1))
    assert [(row.exit, row.error) for row in rows] == [(1, "A fault of ours: ZeroDivisionError: broken")] * 2


# stands in for the work: bea's process is killed each time, eve's the first time, fay makes hers too large, ken's works
# without end
STAND_IN = """
import os, sys, time
from pathlib import Path
from planner import roster
def plan_one(task):
    mark = Path({folder!r}, str(os.getpid()))
    mark.touch()
    if task.folder.name == "bea" or (task.folder.name == "eve" and len(list(mark.parent.iterdir())) == 1):
        os.kill(os.getpid(), 9)
    if task.folder.name == "fay":
        roster.FOLDER = roster.FOLDER.but(worker_bytes_most=0)
    if task.folder.name == "ken":
        time.sleep(600)
    return roster.Row(str(task.folder), task.folder.name, task.week, status="proven")
roster.plan_one = plan_one
roster.work()
"""


def stand_in(folder):
    return (sys.executable, "-c", STAND_IN.format(folder=str(folder)))


def test_a_process_that_is_killed_or_too_large_stops_no_other(monkeypatch, tmp_path):
    monkeypatch.setattr(Worker, "command", stand_in(tmp_path))
    names = ("eve", "ada", "bea", "fay", "cid", "fay", "dan")
    rows = list(plan_all([Task(Path(name), WEEK, TODAY, write=False) for name in names], jobs=2))
    assert [row.exit for row in rows] == [0, 0, 1, 0, 0, 0, 0]
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
    try:
        waited_for(lambda: len(list(tmp_path.iterdir())) == 2, "two workers at work")
        workers = [Path("/proc", mark.name) for mark in tmp_path.iterdir()]
    finally:
        running.send_signal(sign)
    running.wait(120)
    waited_for(lambda: not any(one.exists() for one in workers), "the end of both workers")
    assert len(list(tmp_path.iterdir())) == 2  # and nobody new was put to work


FOREIGN = """socket json csv random queue signal pickle typing decimal select numpy pulp scipy highspy pandas typer pydantic
    weasyprint jinja2 rich tomllib subprocess multiprocessing tempfile hashlib logging datetime planner library ctypes"""


@pytest.mark.parametrize("words", ["roster . --jobs 2 --json", "doctor", "week ada --json"])
def test_no_file_of_a_folder_is_ever_run(words, tmp_path):
    for name in ("ada", "bea"):
        make_folder(tmp_path / name)
    for folder in (tmp_path, tmp_path / "ada", tmp_path / "bea"):
        for name in FOREIGN.split():
            (folder / f"{name}.py").write_text(f"open({str(tmp_path / 'was-run')!r}, 'w')", encoding="utf-8")
    line = [sys.executable, "-P", "-m", "planner", *words.split()]
    told = subprocess.run(line, cwd=tmp_path, capture_output=True, text=True, timeout=250)
    assert told.returncode == 0, told.stderr
    assert not (tmp_path / "was-run").exists()


def test_a_bar_is_drawn_for_a_terminal_alone_and_the_worst_code_counts(monkeypatch, capsys):
    assert list(with_bar(iter("abc"), 3)) == ["a", "b", "c"]
    assert capsys.readouterr().err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    assert list(with_bar(iter("abc"), 3)) == ["a", "b", "c"]
    told = capsys.readouterr()
    assert told.out == "" and "3/3" in told.err
    rows = [Row("f", "n", WEEK, exit=code) for code in (0, 4, 3, 2, 1)]  # each worse than those before it
    assert [roster.exit_code(rows[: place + 1]) for place in range(5)] == [0, 4, 3, 2, 1]


def test_pain_stands_first_then_what_is_short():
    heads = (HeadTotal("front", 6.0, 6), HeadTotal("side", 11.8, 14, 2.2), HeadTotal("rear", 7.96, 8))
    pain, warned = ("Rear raise: pain 7.",), ("No questionnaire.",)
    row = Row("f", "Zoë", WEEK, "stopped", pain, heads, warned, "f/sheets.pdf")
    said = ("PAIN: Rear raise: pain 7.", "side by 2.2", "stopped", "side 11.8 of 14", "1 warning", "f/sheets")
    places = [row_line(row).index(words) for words in said]
    assert places == sorted(places)
    assert "1 planned, 1 with pain, 1 short of a target, 0 without a week" in roster.totals_line([row])
    assert "SHORT" not in (waits := row_line(Row("f", "Zoë", WEEK, "proven", less="in a lighter week")))
    assert "less on purpose in a lighter week" in waits
    empty = row_line(Row("f", "Zoë", WEEK, "proven"))
    assert "nothing short" in empty and "nothing to train" in empty and empty.endswith("not written")


# --- `planner desk` as a process: it listens on this computer alone and says where
DESK = [sys.executable, "-m", "planner", "desk", "--no-browser"]


@pytest.mark.slow
def test_the_address_that_is_printed_opens_the_desk(tmp_path):
    copy_of_demo(tmp_path / "demo")
    desk = subprocess.Popen([*DESK, str(tmp_path)], stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    try:
        address = address_of(desk)
        root = re.fullmatch(r"(http://127\.0\.0\.1:\d+)/open/\S+", address)[1]
        assert httpx.get(root, timeout=60).status_code == 403
        with httpx.Client(timeout=60) as browser:
            assert browser.get(address).status_code == 200
            assert "Robin Vale" in browser.get(root).text
        desk.send_signal(signal.SIGINT)
        out, err = desk.communicate(timeout=60)
        assert out == "" and "Traceback" not in err
    finally:
        desk.kill()


@pytest.mark.parametrize(
    ("words", "says"), [(["none"], "none"), ([".", "--port", "80"], "80"), ([".", "--port", "many"], "many")]
)
def test_a_folder_that_is_not_there_and_a_port_that_cannot_be_are_told(tmp_path, words, says):
    told = planner("desk", "--no-browser", *words, home=tmp_path)
    assert told.returncode == 2 and says in told.stderr


# --- `planner library` and `planner pool`: table, page, document and picture; what moved, and what is never written
def run(*words):
    return printed("library", *words, "--library", SMALL_LIBRARY)


def test_the_table_the_page_and_the_document_and_the_nearest_of_unknown_names():
    lines = run().splitlines()
    head = ["exercise", "front", "side", "upper", "trapezius", "joints"]
    assert (lines[0].split(), len(lines)) == (head, 7)
    assert "\x1b" not in run() and "below the acromion 2" in "".join(lines)
    sorted_by_head = run("--head", "upper_trapezius").splitlines()[1:]
    names = ["dumbbell_shrug", "standing_dumbbell_lateral_raise"]
    assert [line.split()[0] for line in sorted_by_head] == names
    assert sorted_by_head[1].split()[1:] == ["0.51", "1.00", "0.90"]
    text = run("lying_two_cable_lateral_raise", "--head", "side")
    assert "side: 0.92" in text and "front: " not in text
    assert len(json.loads(run("--json"))["exercises"]) == 6
    assert [item["key"] for item in json.loads(run(names[0], "--json"))["exercises"]] == names[:1]
    refused = planner("library", "lying_cable_raise", "--head", "sid", "--library", SMALL_LIBRARY)
    told = refused.stderr
    assert refused.returncode == 2 and 'did you mean "lying_two_cable_lateral_raise"?' in told
    assert '--head: "sid". No head has this name; did you mean "side"? Known: "front", "side"' in told


@pytest.mark.parametrize(("word", "offered"), [
    # its parts, not its letters, which are nearer to incline_dumbbell_fly
    ("incline_y", "incline_cable_y_raise"),
    ("y raise", "band_y_raise"),  # the shortest that has them all
    ("dumbell_shrug", "dumbbell_shrug"),  # a slip of the pen: its letters
    ("zzz", ""),
])  # fmt: skip
def test_the_nearest_name_has_the_parts_that_were_written(word, offered):
    names = ("incline_cable_y_raise", "incline_dumbbell_fly", "band_y_raise", "dumbbell_shrug")
    assert nearest(word, names) == (f'; did you mean "{offered}"?' if offered else "")


def test_no_heavy_package_is_loaded():
    """What the table and the document need is pydantic and typer; everything else would cost the blink."""
    code = f"""
import sys, typer; from planner.commands import library as c
app = typer.Typer(); app.command()(c.library)
for words in (["--json"], [], ["--head", "side"]): app([*words, "--library", {str(SMALL_LIBRARY)!r}], standalone_mode=False)
heavy = {{"numpy", "pandas", "pulp", "scipy", "jinja2", "weasyprint", "highspy"}} & set(sys.modules)
print(sorted(heavy), file=sys.stderr)"""
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stderr.strip() == "[]"


def test_a_picture_is_written_of_one_exercise_and_refused_for_a_table(tmp_path):
    file = tmp_path / "raise.svg"
    assert planner("library", "standing_dumbbell_lateral_raise", "--picture", file).returncode == 0
    assert file.read_text(encoding="utf-8").startswith("<svg")
    assert "one exercise" in planner("library", "--picture", tmp_path / "all.svg").stderr


# --- `planner pool`
@pytest.fixture
def folder(tmp_path):
    return Path(shutil.copytree(SMALL_LIBRARY, tmp_path / "copy"))


def pool(folder, *words):
    done = planner("pool", "--library", folder, *words)
    assert done.returncode == 0, done.stderr
    return done.stdout, done.stderr


def refused(*words):
    done = planner("pool", *words)
    assert done.returncode == 2
    return done.stderr


def spoil(file, old, new):
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def test_what_moved_is_printed_and_a_moved_scale_warned_of(folder):
    before = (folder / "profiles.csv").read_bytes()
    assert pool(folder) == ("", "10 numbers, 0 moved\n")
    assert (folder / "profiles.csv").read_bytes() == before
    spoil(folder / "evidence" / "practice.csv", "ratio,0.8", "ratio,0.88")
    told, aside = pool(folder)
    assert told == "side  swung_dumbbell_lateral_raise  0.800 (±0.220) → 0.880 (±0.220)  +10.0%\n"
    assert aside == "10 numbers, 1 moved\n"
    text = (folder / "profiles.csv").read_text(encoding="utf-8")
    assert "swung_dumbbell_lateral_raise,side,0.880000" in text
    assert pool(folder)[0] == ""
    # The anchor's own rows fall: every ratio of the head rises, which is news of the scale.
    rows = folder / "evidence" / "published.csv"
    spoil(rows, "percent_MVIC,60,18", "percent_MVIC,50,15")
    spoil(rows, "percent_MVIC,90,,,,intra", "percent_MVIC,80,,,,intra")
    aside = pool(folder)[1]
    assert "front: the scale has moved." in aside and "seated_dumbbell_overhead_press" in aside
    assert "side: the scale" not in aside


def test_a_profile_file_that_does_not_match_is_refused_and_one_that_cannot_be_read_written_anew(folder):
    pool(folder, "--check")
    spoil(folder / "evidence" / "practice.csv", "ratio,0.8", "ratio,0.88")
    before = (folder / "profiles.csv").read_bytes()
    assert "1 numbers differ" in refused("--library", folder, "--check")
    assert (folder / "profiles.csv").read_bytes() == before
    (folder / "profiles.csv").write_bytes(b"\xff\xff")
    told, aside = pool(folder)
    assert len(told.splitlines()) == 10
    assert "is no UTF-8" in aside and "It is written anew." in aside
    assert pool(folder)[0] == ""


def test_an_untied_exercise_stops_the_pooling_and_names_it(folder):
    file, swung = folder / "evidence" / "practice.csv", "swung_dumbbell_lateral_raise"
    spoil(file, "practice-side-swung", "practice-side-lost")
    spoil(file, f"{swung},standing_dumbbell_lateral_raise", f"{swung},dumbbell_shrug")
    before = (folder / "profiles.csv").read_bytes()
    assert f'ties "{swung}" to the anchor' in refused("--library", folder)
    assert (folder / "profiles.csv").read_bytes() == before


def test_an_installed_library_is_not_written_and_a_checkout_is_without_naming_it(folder, monkeypatch):
    before = (folder / "profiles.csv").read_bytes()
    monkeypatch.setattr(command, "shipped_folder", lambda: folder)
    assert "belongs to an installed program" in refused()
    assert planner("pool", "--check").returncode == 0
    assert (folder / "profiles.csv").read_bytes() == before
    (folder.parent / "pyproject.toml").touch()
    (folder / "profiles.csv").unlink()
    assert planner("pool").returncode == 0
    assert (folder / "profiles.csv").read_bytes() == before
