"""The doctor as a command: exit codes, one JSON document, a table that a person can read."""

import json

import pytest
import typer
from typer.testing import CliRunner

from planner.commands import doctor
from planner.doctor import examination
from planner.doctor.part import Finding, Part

WORKS = Finding("works", "all well")
BROKEN = Finding("broken", "it is not", ("Do this.", "Then that."))
MISSING = Finding("missing", "not here", ("Install it.",))


def run(monkeypatch, *options: str, **findings: Finding):
    needs = {"solver": "week", "PDF": "paper", "C3D": "extra"}
    parts = [Part(name, need, findings.get(name, WORKS)) for name, need in needs.items()]
    monkeypatch.setattr(examination, "examine", lambda: parts)
    app = typer.Typer()
    app.command()(doctor.run)
    return CliRunner().invoke(app, list(options))


@pytest.mark.parametrize(
    ("findings", "code"),
    [
        ({}, 0),
        ({"C3D": MISSING}, 0),
        ({"C3D": BROKEN}, 0),
        ({"PDF": MISSING}, 4),
        ({"PDF": BROKEN, "C3D": BROKEN}, 4),
        ({"solver": BROKEN}, 1),
        ({"solver": BROKEN, "PDF": MISSING}, 1),
    ],
)
def test_exit_codes(monkeypatch, findings, code):
    assert run(monkeypatch, **findings).exit_code == code


def test_json_is_one_document_with_every_part(monkeypatch):
    result = run(monkeypatch, "--json", PDF=MISSING)
    document = json.loads(result.stdout)
    assert document["works"] is False
    assert document["exit"] == 4
    assert [part["state"] for part in document["parts"]] == ["works", "missing", "works"]
    assert document["parts"][1]["remedy"] == ["Install it."]


def test_the_table_shows_what_would_do_below_its_part(monkeypatch):
    lines = run(monkeypatch, solver=BROKEN, C3D=MISSING).stdout.splitlines()
    assert [line.split() for line in lines[:3]] == [
        ["solver", "broken", "it", "is", "not"],
        ["Do", "this."],
        ["Then", "that."],
    ]
    assert "optional" in lines[4]


def test_a_look_that_fails_ends_as_a_broken_part_and_the_others_are_looked_at():
    def fails() -> Finding:
        raise RuntimeError("out of order")

    parts = examination.examine([("one", "week", fails), ("two", "paper", lambda: WORKS)])
    assert parts[0].finding.found == "RuntimeError: out of order"
    assert parts[0].finding.state == "broken"
    assert parts[1].finding is WORKS


def test_every_part_of_the_installation_is_looked_at():
    named = {name for name, _, _ in examination.LOOKS}
    assert named == {
        "Python", "solver", "quiet output", "library data", "PDF", "fonts", "C3D reader", "terminal",
    }  # fmt: skip
