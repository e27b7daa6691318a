"""The doctor: what each part says where all is well and where it fails, exit codes, table and document."""

import json

import pytest
from in_process import planner

import library.read
from library.errors import Fault, FaultyInput, PaperNotMade
from planner import doctor as parts
from planner.doctor import Finding
from planner.sheets import render

WORKS = Finding("works", "all well")
BROKEN = Finding("broken", "it is not", ("Do this.", "Then that."))
MISSING = Finding("missing", "not here", ("Install it.",))


def run(monkeypatch, *options, **findings):
    needs = {"solver": "week", "data": "week", "PDF": "paper"}
    made = [(name, need, findings.get(name, WORKS)) for name, need in needs.items()]
    monkeypatch.setattr(parts, "examine", lambda: made)
    return planner("doctor", *options)


@pytest.mark.parametrize(("findings", "code"), [
    ({}, 0), ({"PDF": BROKEN}, 4), ({"solver": BROKEN}, 1), ({"solver": BROKEN, "PDF": MISSING}, 1),
])  # fmt: skip
def test_exit_codes(monkeypatch, findings, code):
    assert run(monkeypatch, **findings).returncode == code


def test_the_document_and_the_table_hold_every_part(monkeypatch):
    document = json.loads(run(monkeypatch, "--json", PDF=MISSING).stdout)
    assert (document["works"], document["exit"]) == (False, 4)
    assert [part["state"] for part in document["parts"]] == ["works", "works", "missing"]
    assert document["parts"][2]["remedy"] == ["Install it."]
    lines = [line.split() for line in run(monkeypatch, solver=BROKEN).stdout.splitlines()]
    assert lines[:3] == [["solver", "broken", "it", "is", "not"], ["Do", "this."], ["Then", "that."]]


def test_a_look_that_fails_ends_as_a_broken_part_and_the_others_are_looked_at():
    first, second = parts.examine([("one", "week", lambda: 1 / 0), ("two", "paper", lambda: WORKS)])
    assert first[2].state == "broken" and "ZeroDivisionError" in first[2].found
    assert second[2] is WORKS


def test_all_works_where_all_is_installed():
    """The real looks: the toy's optimum, the shipped data, a page."""
    needed = {name: finding.state for name, _, finding in parts.examine()}
    assert len(needed) == 3 and set(needed.values()) == {"works"}


@pytest.mark.parametrize("answer", [(21.0, 21.0), (20.0, 20.5), (float("inf"), 20.0)])
def test_a_solver_that_is_wrong_is_told(monkeypatch, answer):
    monkeypatch.setattr(parts, "solve_toy", lambda: answer)
    finding = parts.look_at_solver()
    assert finding.state == "broken" and finding.remedy and "known optimum 20" in finding.found


def failing(monkeypatch, reason):
    def fails(html, refine=None):
        raise PaperNotMade("The PDF could not be made", html) from reason

    monkeypatch.setattr(render, "html_to_pdf", fails)


def test_missing_pango_says_what_to_install_for_each_platform(monkeypatch):
    failing(monkeypatch, OSError("cannot load library 'libpango-1.0-0'.  Searched\nmore"))
    for manager, order in parts.INSTALL_PANGO.items():
        monkeypatch.setattr(parts.shutil, "which", lambda name, here=manager: name == here or None)
        finding = parts.look_at_paper()
        assert (finding.state, finding.remedy[0]) == ("missing", order)
        assert "Searched" not in finding.found
    monkeypatch.setattr(parts.shutil, "which", lambda name: None)
    assert parts.look_at_paper().remedy[0] == parts.UNKNOWN
    failing(monkeypatch, ImportError("No module named 'weasyprint'"))
    assert parts.look_at_paper().state == "broken"


def test_faulty_data_are_told_with_their_first_fault_and_the_number_of_others(monkeypatch):
    def broken():
        raise FaultyInput(Fault("heads.toml", f"line {n}", "was read", "Mend it") for n in (1, 2, 3))

    monkeypatch.setattr(library.read, "read_library", broken)
    finding = parts.look_at_data()
    assert finding.state == "broken"
    assert finding.found.startswith("heads.toml: line 1") and "2 more" in finding.found
