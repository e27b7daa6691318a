"""DEVELOPERS says what is there: places, make targets, fields of data files."""

import re
from importlib import import_module

import pytest
from folders import ROOT
from readme import outside_fences, parts

TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PARTS = parts(TEXT)
CODE = re.findall(r"`([^`\n]+)`", outside_fences(TEXT))
TOP = ("library/", "planner/", "tests/", "demo_athlete/", ".ci/")

RECORDS = {
    "Exercise": "library.schema", "EvidenceRow": "library.schema", "OwnEvidence": "planner.athlete.folder",
}  # fmt: skip


def below(comment):
    """The table that stands under a comment."""
    return TEXT.partition(comment)[2].lstrip().partition("\n\n")[0]


@pytest.mark.parametrize("name", RECORDS)
def test_every_field_of_a_data_file_has_its_row(name):
    record = getattr(import_module(RECORDS[name]), name)
    rows = below(f"<!-- fields: {name} -->").splitlines()[2:]
    said = [key for row in rows for key in re.findall(r"`([^`]+)`", row.split("|")[1])]
    assert sorted(said) == sorted(record.model_fields)


def test_every_place_and_make_target_that_is_named_exists():
    places = [code.split(":")[0].split(" ")[0] for code in CODE if code.startswith(TOP)]
    real = [place for place in places if not re.search(r"[A-Z]{3}|\*", place.replace("README", ""))]
    assert len(real) > 40
    assert [place for place in real if not (ROOT / place).exists()] == []
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", makefile, re.MULTILINE))
    named = {match[1] for code in CODE if (match := re.match(r"make ([a-z]+)", code))}
    assert named <= targets
    assert len(named) > 5


def test_every_folder_of_tests_is_explained():
    folders = {path.name for path in (ROOT / "tests").iterdir() if path.is_dir() and any(path.rglob("*.py"))}
    assert [name for name in folders if f"`tests/{name}/" not in PARTS["Tests"].text] == []
