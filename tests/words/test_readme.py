"""README and DEVELOPERS say what is there: commands, options, keys, numbers, lines that run, places, make targets."""

import re
import shlex
import subprocess
from importlib import import_module

import pytest
from folders import DEMO, ROOT, copy_of_demo
from in_process import planner
from readme import OPTIONS, README, commands, fenced, made_anew, outside_fences, parts

from library.errors import FaultyInput, NotCleared, NoWeekPossible, PaperNotMade, PlannerError
from library.pool import pool_library
from library.read import read_library
from planner.athlete import brief
from planner.athlete.gym import Gym, LoadRange
from planner.athlete.names import ARM
from planner.log.record import COLUMNS
from planner.method import AthleteSettings

TEXT = README.read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PARTS = parts(TEXT)
LIBRARY = read_library()
OPTION = re.compile(r"--[a-z][a-z-]+")
FOR_ALL = {"--json", "--save", "--help"}  # said once, of all commands


# --- commands and options
def test_every_command_is_explained_and_shown_with_a_line_that_runs():
    assert [name for name in OPTIONS if f"planner {name}" not in PARTS] == []
    assert set(re.findall(OPTION, PARTS["Commands"].text)) == FOR_ALL
    assert {shlex.split(line)[1] for line in shown() if line.startswith("planner ")} == set(OPTIONS)


@pytest.mark.parametrize("name", OPTIONS)
def test_each_option_is_explained_by_its_own_command_and_by_no_other(name):
    said = set(re.findall(OPTION, PARTS[f"planner {name}"].text))
    assert OPTIONS[name] - FOR_ALL <= said <= OPTIONS[name]


@pytest.mark.parametrize("text", [TEXT, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_command_line_that_is_named_exists(text):
    lines = [words for words in commands(text) if words[0].islower()]  # planner COMMAND stands for any
    assert lines
    for name, *rest in lines:
        assert name in OPTIONS, name
        options = {word for word in rest if word.startswith("--")}
        assert options <= OPTIONS[name] | {"--help"}, (name, options)


def shown():
    """Every line that README shows for a terminal, but for make, which installs."""
    return [line for line in fenced(TEXT, "sh") if not line.startswith("make ")]


@pytest.mark.slow
def test_the_lines_run_one_after_the_other(tmp_path, quick_paper, few_draws):
    """In a fresh folder with the demo, whose week asks for less; the two lines of the log share an empty sheet."""
    file = copy_of_demo(tmp_path / DEMO.name) / "brief.toml"
    text = file.read_text(encoding="utf-8")
    text = re.sub(r'\[\[session\]\]\nday = "Wed".*?(?=\[\[)', "", text, flags=re.DOTALL)
    text = re.sub(r"target = \d+", "target = 6", re.sub(r"minutes = \d+", "minutes = 25", text))
    quick = "node_budget = 200\nwhy_solves = 2\ndraws = 1000"
    file.write_text(f"{text}\n[method]\n{quick}\n", encoding="utf-8")
    for line in shown():
        words = shlex.split(line)
        if words[0] != "planner":
            subprocess.run(words, cwd=tmp_path, check=True)
        elif words[1] != "desk":  # stays until Ctrl-C; its own tests open it
            done = planner(*words[1:], home=tmp_path)
            assert done.returncode == 0, f"{line}\n{done.stderr}"


# --- keys of the files

TABLES = {
    "[athlete]": brief.Card, "[[session]]": brief.Session, "[target]": brief.Target, "[elsewhere]": brief.Elsewhere,
    "[variety]": brief.Variety, "[preferences]": brief.Preferences, "[block]": brief.Block, "gym.toml: the rooms": Gym,
}  # fmt: skip


@pytest.mark.parametrize("title", TABLES)
def test_every_key_has_its_row(title):
    assert set(PARTS[title].keys) == set(TABLES[title].model_fields)


def test_every_name_that_a_brief_may_hold_is_listed():
    names = set(brief.Brief.model_fields) - {ARM}  # which is a key of [joints]
    assert {"[[session]]" if name == "session" else f"[{name}]" for name in names} - set(PARTS) == set()
    history = PARTS["[history]"]
    assert set(history.keys) == set(brief.History.model_fields) | set(LIBRARY.flags)
    inner = {*brief.Questionnaire.model_fields, *brief.Surgery.model_fields}
    assert [key for key in inner if f"`{key}" not in history.text] == []
    assert [key for key in brief.Pin.model_fields if f"`{key}`" not in PARTS["[preferences]"].text] == []
    steps = [field.alias or name for name, field in LoadRange.model_fields.items()]
    assert [key for key in steps if f"`{key}`" not in PARTS["gym.toml: the rooms"].text] == []
    flags = {row[0].strip("`"): row[1] for row in PARTS["[history]"].rows if len(row) == 2}
    assert flags == {key: flag.name for key, flag in LIBRARY.flags.items()}
    assert f"`{ARM} = " in PARTS["[joints]"].text
    regions = {row[0].strip("`"): row[1] for row in PARTS["[joints]"].rows}
    assert regions == {key: region.name for key, region in LIBRARY.regions.items()}
    families = PARTS["[variety]"].text.partition("Kinds of movement:")[2]
    assert set(re.findall(r"`([a-z_]+)`", families)) == set(LIBRARY.families)
    equipment = PARTS["gym.toml: the rooms"].text.partition("\nEquipment:")[2]
    assert set(re.findall(r"`([a-z_]+)`", equipment)) == set(LIBRARY.equipment)
    after = PARTS["planner log"].text.partition("<!-- columns: log -->")[2]
    assert re.findall(r"^\| `(\w+)` \|", after, re.MULTILINE) == list(COLUMNS)


# --- numbers
def test_default_targets_anchors_and_every_way_to_end_are_told():
    said = " ".join(PARTS["[target]"].text.split())
    for status in ("novice", "intermediate", "advanced"):
        floor, target, ceiling = AthleteSettings().doses(status)
        assert f"{status} {floor:g}, {target:g}, {ceiling:g}" in said
    errors = (PlannerError, FaultyInput, NoWeekPossible, NotCleared, PaperNotMade)
    codes = {error.exit_code for error in errors}
    assert {int(key) for key in PARTS["How a command ends"].keys} == {0, *codes}
    said = {row[0]: row[1].partition(",")[0] for row in PARTS["How a set is counted"].rows if len(row) == 2}
    trained = {key: head.anchor for key, head in LIBRARY.heads.items() if head.role == "trained"}
    assert said == {key: LIBRARY.exercises[anchor].name.lower() for key, anchor in trained.items()}


def test_what_the_ratios_rest_on():
    """README's count of ratios, of those that rest mostly or wholly on stated practice, and of published numbers."""
    status = {row.id: row.status for row in LIBRARY.evidence}
    practice = [
        sum(share for row, share in head.row_shares(exercise).items() if status[row] == "practice")
        for head in pool_library(LIBRARY).values()
        for exercise in head.exercises
        if exercise != head.anchor
    ]
    said = " ".join(PARTS["How sure it is"].text.split())
    assert f"of the {len(practice)} ratios" in said
    mostly, wholly = (sum(share > least for share in practice) / len(practice) for least in (0.5, 0.999))
    assert "more than eight in ten rest mostly on" in said and 0.80 < mostly < 0.90
    assert "not quite half rest on nothing else" in said and 0.42 < wholly < 0.5
    published = [row.status for row in LIBRARY.evidence if row.kind == "published"]
    read, second, remembered = (published.count(one) for one in ("read", "second-hand", "remembered"))
    assert f"{len(published)} published numbers: {read} were read in the source" in said
    assert f"{second} are quoted by others, {remembered} are from memory" in said


@pytest.mark.slow
def test_the_printed_week_and_its_sums_are_the_demos(tmp_path, quick_paper):
    """If this fails and the new week is right: `python tests/builders/readme.py`, then tests/builders/picture.py."""
    assert TEXT.count("<!-- printed: ") == TEXT.count("<!-- counted: ") == 1
    assert made_anew(TEXT, copy_of_demo(tmp_path / DEMO.name).parent) == TEXT


# --- pictures and places
@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md", "library/README.md"])
def test_links_lead_somewhere(name):
    page = ROOT / name
    text = page.read_text(encoding="utf-8")
    anchors = {re.sub(r"[^\w -]", "", title.lower()).replace(" ", "-") for title in parts(text)}
    for link in re.findall(r"\]\(([^)]+)\)", outside_fences(text)):
        if link.startswith("#"):
            assert link[1:] in anchors, link
        else:
            assert (page.parent / link).exists(), link


def test_nothing_is_sent_anywhere():
    """No module of ours opens a connection; the paper's renderer is held by its own tests."""
    talkers = r"socket|ssl|http|ftplib|smtplib|requests|urllib\.request"
    talks = re.compile(rf"^\s*(?:from|import) (?:{talkers})\b(.*)$", re.MULTILINE)
    paths = (path for package in ("planner", "library") for path in (ROOT / package).rglob("*.py"))
    found = [(path.name, rest) for path in paths for rest in talks.findall(path.read_text(encoding="utf-8"))]
    assert found == [("render.py", " import url2pathname")]  # a spelling of paths, no connection


# --- DEVELOPERS: places, make targets, fields of data files

CODE = re.findall(r"`([^`\n]+)`", outside_fences(DEVELOPERS))
TOP = ("library/", "planner/", "tests/", "demo_athlete/", ".ci/")

RECORDS = {
    "Exercise": "library.schema", "EvidenceRow": "library.schema", "OwnEvidence": "planner.athlete.folder",
}  # fmt: skip


@pytest.mark.parametrize("name", RECORDS)
def test_every_field_of_a_data_file_has_its_row(name):
    record = getattr(import_module(RECORDS[name]), name)
    table = DEVELOPERS.partition(f"<!-- fields: {name} -->")[2].lstrip().partition("\n\n")[0]
    rows = table.splitlines()[2:]
    said = [key for row in rows for key in re.findall(r"`([^`]+)`", row.split("|")[1])]
    assert sorted(said) == sorted(record.model_fields)


def test_every_place_make_target_and_folder_of_tests_is_named():
    places = [code.split(":")[0].split(" ")[0] for code in CODE if code.startswith(TOP)]
    real = [place for place in places if not re.search(r"[A-Z]{3}|\*", place.replace("README", ""))]
    assert len(real) > 40
    assert [place for place in real if not (ROOT / place).exists()] == []
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", makefile, re.MULTILINE))
    named = {match[1] for code in CODE if (match := re.match(r"make ([a-z]+)", code))}
    assert named <= targets
    assert len(named) > 5
    folders = {path.name for path in (ROOT / "tests").iterdir() if path.is_dir() and any(path.rglob("*.py"))}
    assert [name for name in folders if f"`tests/{name}/" not in parts(DEVELOPERS)["Tests"].text] == []
