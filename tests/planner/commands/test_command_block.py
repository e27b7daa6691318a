"""`planner block` from end to end: what it prints and writes, and how it refuses."""

import json
import re
from importlib.resources import files

import jsonschema
import pytest
from in_process import run as program
from small_athlete import BRIEF, WEEK, make_folder

NEXT = "2026-W50"
pytestmark = pytest.mark.usefixtures("quick_paper")


@pytest.fixture
def athlete(tmp_path):
    return make_folder(tmp_path / "kim")


def run(*words):
    return program("block", *words)


def written(folder):
    """What lies in a folder and its week folders, by name; locks left out."""
    files = (path for path in folder.rglob("*") if path.suffix in {".pdf", ".json"})
    return sorted(str(path.relative_to(folder)) for path in files)


def week_files(name):
    return [f"{name}/{file}" for file in ("coach.pdf", "sheets.pdf", "week.json")]


def test_weeks_get_their_folders_and_the_first_one_the_paper_of_all(athlete):
    told = run(athlete, "--weeks", 2, "--week", WEEK)
    assert told.code == 0
    assert told.out.startswith(f"Kim, block of 2 weeks from {WEEK}")
    assert written(athlete / "weeks") == sorted([*week_files(WEEK), *week_files(NEXT), f"{WEEK}/block.pdf"])
    assert (athlete / "weeks" / WEEK / "block.pdf").read_bytes().startswith(b"%PDF")
    assert "and the weeks after it, 2 in all" in told.err
    assert f"For the wall: {athlete / 'weeks' / WEEK / 'block.pdf'}" in told.err


def test_a_second_block_keeps_the_replaced_plans_and_names_what_it_cuts_short(athlete, tmp_path):
    assert run(athlete, "--weeks", 2, "--week", WEEK, "--sheets", 1).code == 0
    only_first = sorted([*week_files(WEEK), f"{WEEK}/block.pdf"])
    assert written(athlete / "weeks") == sorted([*only_first, f"{NEXT}/week.json"])  # sheets of one week
    told = run(athlete, "--weeks", 1, "--week", WEEK)
    assert told.code == 0
    assert f"an earlier block that this one cuts short: {NEXT}" in told.err
    assert (athlete / "weeks" / WEEK / "v1" / "week.json").exists()
    stood = written(athlete)
    assert run(athlete, "--weeks", 1, "--week", WEEK, "--out", tmp_path / "elsewhere").code == 0
    assert written(tmp_path / "elsewhere") == only_first and written(athlete) == stood


def test_json_prints_one_document_and_what_cannot_be_writes_nothing(athlete, tmp_path):
    told = run(athlete, "--weeks", 3, "--week", WEEK, "--json")
    document = json.loads(told.out)
    assert told.code == 0 and not (athlete / "weeks").exists()
    schema = json.loads((files("planner") / "week.schema.json").read_text(encoding="utf-8"))
    for week in document["weeks"]:
        jsonschema.validate(week, schema)
    assert [week["week"] for week in document["weeks"]] == [WEEK, NEXT, "2026-W51"]
    assert run(athlete, "--weeks", 1, "--week", WEEK, "--json", "--save").out.startswith("{")
    assert written(athlete / "weeks") == sorted([*week_files(WEEK), f"{WEEK}/block.pdf"])
    brief = re.sub("minutes = (25|30)", "minutes = 10", BRIEF)
    brief = brief.replace("side = 8", "side = { target = 19, ceiling = 20, must = true }")
    folder = make_folder(tmp_path / "kim", brief)
    told = run(folder, "--weeks", 2, "--week", WEEK)
    assert told.code == 3 and told.out == ""
    assert "No week can satisfy" in told.err and "target.side.must" in told.err
    assert not (folder / "weeks").exists()


def test_paper_that_cannot_be_made_ends_with_four_and_the_weeks_stand(athlete, monkeypatch):
    def fails(*_):
        raise OSError("no renderer")

    monkeypatch.setattr("planner.sheets.render._lay_out", fails)
    told = run(athlete, "--weeks", 1, "--week", WEEK)
    assert told.code == 4 and "no renderer" in told.err
    assert (athlete / "weeks" / WEEK / "week.json").exists()
    for name in ("block", "sheets", "coach"):
        assert (athlete / "weeks" / WEEK / f"{name}.html").exists()
