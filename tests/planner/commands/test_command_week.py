"""`planner week` from end to end: what it prints, what it writes, and how it refuses."""

import csv
import datetime
import json
import subprocess
import sys
from importlib.resources import files
from unittest.mock import Mock

import jsonschema
import pytest
from folders import BRIEFS, copy_of
from in_process import run as program

import planner.week.plan
from library.errors import PaperNotMade, SolverFault
from planner.document import WeekDocument, next_week

WEEK = "2026-W49"
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
