"""`planner week` and `planner block` from end to end: what they print, what they write, and how they refuse."""

import csv
import datetime
import json
import re
import subprocess
import sys
from importlib.resources import files
from unittest.mock import Mock

import jsonschema
import pytest
from folders import BRIEFS, copy_of
from in_process import run as program
from small_athlete import BRIEF, WEEK, make_folder

import planner.week.plan
from library.errors import PaperNotMade, SolverFault
from planner.document import WeekDocument, next_week

pytestmark = pytest.mark.usefixtures("quick_paper")  # processes of their own draw real ones


@pytest.fixture
def athlete(tmp_path):
    """A copy of a brief's folder, with one passage of the brief replaced."""

    def copy(name="no_equipment", old="", new=""):
        folder = copy_of(BRIEFS / name, tmp_path / name)
        text = (folder / "brief.toml").read_text(encoding="utf-8")
        assert old in text
        (folder / "brief.toml").write_text(text.replace(old, new) if old else text, encoding="utf-8")
        return folder

    return copy


def run(*words):
    return program("week", *words)


def test_a_week_as_json_saved_elsewhere(athlete, tmp_path):
    """In a process of its own, with real papers."""
    folder, out = athlete("no_equipment"), tmp_path / "paper" / "aroha"
    words = ["week", str(folder), "--week", WEEK, "--json", "--save", "--out", str(out)]
    command = [sys.executable, "-m", "planner", *words]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", timeout=250)
    assert done.returncode == 0, done.stderr
    document, week = json.loads(done.stdout), out / WEEK
    schema = json.loads(files("planner").joinpath("week.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(document, schema)
    assert (document["athlete"], document["week"], document["status"]) == ("Aroha Kingi", WEEK, "proven")
    written = {path.name for path in week.iterdir()}
    assert written == {"week.json", "week.csv", "sheets.pdf", "coach.pdf", "phone", "sessions.ics"}
    assert json.loads((week / "week.json").read_text(encoding="utf-8")) == document
    assert str(week) in done.stderr and not (folder / "weeks").exists()
    assert all((week / name).read_bytes().startswith(b"%PDF-") for name in ("sheets.pdf", "coach.pdf"))


def test_a_week_as_a_table(athlete):
    folder = athlete("machines_only")
    told, week = run(folder, "--week", WEEK), folder / "weeks" / WEEK
    assert told.code == 0, told.err
    document = WeekDocument.model_validate_json((week / "week.json").read_text("utf-8"))
    lines = [(session.id, one) for session in document.sessions for one in session.exercises]
    assert all(one.name in told.out for _, one in lines)
    with (week / "week.csv").open(encoding="utf-8", newline="") as file:
        rows = [(row["session"], row["exercise"], int(row["sets"])) for row in csv.DictReader(file)]
    assert rows == [(session, one.exercise, one.sets) for session, one in lines]
    assert "Written to" in told.err and "Written to" not in told.out
    assert run(folder, "--week", WEEK).code == 0 and (week / "v1").is_dir()  # what it replaced is kept


def test_without_a_week_the_next_one_is_planned(athlete):
    assert json.loads(run(athlete(), "--json").out)["week"] == next_week(datetime.date.today())


@pytest.mark.parametrize("week", ["nonsense", "2026-W54", "../2026-W49"])
def test_a_week_that_is_none(week, athlete):
    folder = athlete()
    told = run(folder, "--week", week)
    assert told.code == 2 and told.out == "" and not (folder / "weeks").exists()
    assert f'"{week}" is no week' in told.err and "2026-W49" in told.err


@pytest.mark.parametrize(("brief", "old", "new", "says"), [
    ("no_equipment", "[history]", "[target]\nside = { target = 40, ceiling = 45, must = true }\n[history]", ("side", "must")),
    ("no_equipment", "[history]", "[history]\nsurgery = { date = 2026-08-01 }", ("clearance",)),
])  # fmt: skip
def test_what_must_hold_and_cannot(athlete, brief, old, new, says):
    folder = athlete(brief, old, new)
    told = run(folder, "--week", WEEK)
    assert told.code == 3 and told.out == "" and all(words in told.err for words in says)
    assert not (folder / "weeks").exists()


def test_without_a_renderer_the_pages_are_written_as_html(athlete, monkeypatch):
    for paper in ("render_sheets", "render_coach"):
        fails = Mock(side_effect=PaperNotMade("Pango is missing. Install libpango"))
        monkeypatch.setattr(f"planner.sheets.paper.{paper}", fails)
    folder = athlete()
    told = run(folder, "--week", WEEK)
    assert told.code == 4 and "Pango is missing" in told.err
    written = {path.name for path in (folder / "weeks" / WEEK).iterdir()}
    assert written == {"week.json", "week.csv", "sheets.html", "coach.html", "phone", "sessions.ics"}


def slipping(asked, plan_week=planner.week.plan.plan_week):
    week = plan_week(asked)
    first, *others = week.dose
    slip = first.model_copy(update={"planned": first.planned + 1})
    return week.model_copy(update={"dose": (slip, *others)})


@pytest.mark.parametrize(("part", "work", "says"), [
    ("plan_week", slipping, ("fails its recheck", "planned dose")),
    ("solve_week", Mock(side_effect=SolverFault("The solver gave no answer.")), ("no answer",)),
])  # fmt: skip
def test_a_fault_of_ours_is_not_printed_as_a_week(athlete, monkeypatch, part, work, says):
    monkeypatch.setattr(planner.week.plan, part, work)
    folder = athlete()
    told = run(folder, "--week", WEEK)
    assert (told.code, told.out) == (1, "") and all(words in told.err for words in says)
    assert not (folder / "weeks").exists()


# --- planned cautiously
def test_a_cautious_week_stands_beside_the_plain_one(athlete, few_draws):
    folder = athlete("no_equipment")
    words = (folder, "--week", WEEK, "--cautious", "80%")
    alone = json.loads(run(*words, "--json").out)
    assert alone["cautious"]["level"] == 0.8 and not (folder / "weeks").exists()
    told = run(*words)
    assert told.code == 0 and "cautious at 0.8, beside the plain week" in told.out, told.err
    assert "proof: shortfall" in told.out
    week = folder / "weeks" / WEEK
    document = WeekDocument.model_validate_json((week / "week.json").read_text("utf-8"))
    cautious, plain = document.cautious.cautious, document.cautious.plain
    assert cautious.own_shortfall <= plain.own_shortfall
    assert f"{cautious.judged_shortfall:.1f} instead of {plain.judged_shortfall:.1f}" in told.out
    assert (week / "coach.pdf").read_bytes().startswith(b"%PDF-")


# --- `planner block` from end to end: what it prints and writes, and how it refuses
NEXT = "2026-W50"


@pytest.fixture
def kim(tmp_path):
    return make_folder(tmp_path / "kim")


def block_run(*words):
    return program("block", *words)


def written(folder):
    """What lies in a folder and its week folders, by name; locks left out."""
    files = (path for path in folder.rglob("*") if path.suffix in {".pdf", ".json"})
    return sorted(str(path.relative_to(folder)) for path in files)


def week_files(name):
    return [f"{name}/{file}" for file in ("coach.pdf", "sheets.pdf", "week.json")]


def test_weeks_get_their_folders_and_the_first_one_the_paper_of_all(kim):
    told = block_run(kim, "--weeks", 2, "--week", WEEK)
    assert told.code == 0
    assert told.out.startswith(f"Kim, block of 2 weeks from {WEEK}")
    assert written(kim / "weeks") == sorted([*week_files(WEEK), *week_files(NEXT), f"{WEEK}/block.pdf"])
    assert (kim / "weeks" / WEEK / "block.pdf").read_bytes().startswith(b"%PDF")
    assert "and the weeks after it, 2 in all" in told.err
    assert f"For the wall: {kim / 'weeks' / WEEK / 'block.pdf'}" in told.err


def test_a_second_block_keeps_the_replaced_plans_and_names_what_it_cuts_short(kim, tmp_path):
    assert block_run(kim, "--weeks", 2, "--week", WEEK, "--sheets", 1).code == 0
    only_first = sorted([*week_files(WEEK), f"{WEEK}/block.pdf"])
    assert written(kim / "weeks") == sorted([*only_first, f"{NEXT}/week.json"])
    told = block_run(kim, "--weeks", 1, "--week", WEEK)
    assert told.code == 0
    assert f"an earlier block that this one cuts short: {NEXT}" in told.err
    assert (kim / "weeks" / WEEK / "v1" / "week.json").exists()
    stood = written(kim)
    assert block_run(kim, "--weeks", 1, "--week", WEEK, "--out", tmp_path / "elsewhere").code == 0
    assert written(tmp_path / "elsewhere") == only_first and written(kim) == stood


def test_json_prints_one_document_and_what_cannot_be_writes_nothing(kim, tmp_path):
    told = block_run(kim, "--weeks", 3, "--week", WEEK, "--json")
    document = json.loads(told.out)
    assert told.code == 0 and not (kim / "weeks").exists()
    schema = json.loads((files("planner") / "week.schema.json").read_text(encoding="utf-8"))
    for week in document["weeks"]:
        jsonschema.validate(week, schema)
    assert [week["week"] for week in document["weeks"]] == [WEEK, NEXT, "2026-W51"]
    assert block_run(kim, "--weeks", 1, "--week", WEEK, "--json", "--save").out.startswith("{")
    assert written(kim / "weeks") == sorted([*week_files(WEEK), f"{WEEK}/block.pdf"])
    brief = re.sub("minutes = (25|30)", "minutes = 10", BRIEF)
    brief = brief.replace("side = 8", "side = { target = 19, ceiling = 20, must = true }")
    folder = make_folder(tmp_path / "noa", brief)
    told = block_run(folder, "--weeks", 2, "--week", WEEK)
    assert told.code == 3 and told.out == ""
    assert "No week can satisfy" in told.err and "target.side.must" in told.err
    assert not (folder / "weeks").exists()


def test_paper_that_cannot_be_made_ends_with_four_and_the_weeks_stand(kim, monkeypatch):
    def fails(*_):
        raise OSError("no renderer")

    monkeypatch.setattr("planner.sheets.render._lay_out", fails)
    told = block_run(kim, "--weeks", 1, "--week", WEEK)
    assert told.code == 4 and "no renderer" in told.err
    assert (kim / "weeks" / WEEK / "week.json").exists()
    for name in ("block", "sheets", "coach"):
        assert (kim / "weeks" / WEEK / f"{name}.html").exists()
