"""Papers drawn side by side: both results, every error as ever, HTML in place of PDF, and no process or font left."""

import os
import subprocess
import sys
import time
from pathlib import Path
from types import SimpleNamespace
from unittest.mock import Mock

import pytest
from killed import waited_for
from sample_library import sample_library
from sample_week import sample_brief, sample_week

from planner import publish as publishing
from planner.errors import PaperNotMade
from planner.publish import _side_by_side, publish

linux = pytest.mark.skipif(sys.platform != "linux", reason="only Linux splits a running process here")


def processors(monkeypatch, count):
    monkeypatch.setattr(publishing.os, "cpu_count", lambda: count)


@pytest.mark.parametrize("count", [1, 2])
def test_both_results_come_back_in_order_and_an_error_is_told_as_ever(monkeypatch, count):
    processors(monkeypatch, count)
    assert _side_by_side(lambda: ("first", 1), lambda: ("second", 2)) == (("first", 1), ("second", 2))
    made, _ = _side_by_side(lambda: lambda: 3, lambda: 2)  # what cannot be sent is made here
    assert made() == 3
    with pytest.raises(ZeroDivisionError):
        _side_by_side(lambda: 1 / 0, lambda: 2)


@linux
def test_the_first_job_is_done_in_a_copy_where_there_can_be_one(monkeypatch):
    processors(monkeypatch, 2)
    monkeypatch.setattr(publishing.threading, "active_count", lambda: 1)  # whatever another test left running
    first, second = _side_by_side(os.getpid, os.getpid)
    assert second == os.getpid() != first


def asked():
    library = sample_library()
    inputs = SimpleNamespace(library=library, brief=sample_brief(), gyms={})
    return SimpleNamespace(inputs=inputs, filed=SimpleNamespace(log=(), folder=Path()), library=library)


@pytest.mark.parametrize("count", [1, 2])
def test_where_the_renderer_fails_html_stands_in_and_the_first_cause_is_told(monkeypatch, tmp_path, count):
    processors(monkeypatch, count)
    for paper, reason in (("sheets", "no Pango"), ("coach", "half an import is left")):
        fails = Mock(side_effect=PaperNotMade(reason))
        monkeypatch.setattr(f"planner.sheets.paper.render_{paper}", fails)
    published = publish(sample_week(), asked(), tmp_path, None)
    assert str(published.paper_fault) == "no Pango"
    files = {"week.json", "week.csv", "sheets.html", "coach.html", "phone", "sessions.ics"}
    assert {file.name for file in published.folders[0].iterdir()} == files


DRAWING = r"""
import os, sys, time
from planner.publish import _side_by_side
def first():
    os.write(1, b"%d\n" % os.getpid())
    time.sleep({seconds})
    return b"x" * 1_000_000
def second():
    os.write(1, b"%d\n" % os.getpid())
    time.sleep(600)
import planner.publish
planner.publish.os.cpu_count = lambda: 2
_side_by_side(first, second)
"""


def alive(number):
    try:
        state = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


@linux
@pytest.mark.parametrize("seconds", [0, 600])  # the copy is writing its result, or still drawing
def test_a_week_killed_while_papers_are_drawn_leaves_no_process(seconds, tmp_path):
    said = tmp_path / "said.txt"
    with said.open("w") as out:
        drawing = subprocess.Popen([sys.executable, "-c", DRAWING.format(seconds=seconds)], stdout=out)
    try:
        waited_for(lambda: said.read_text().count("\n") == 2, "both jobs at work")
        time.sleep(0.3)
    finally:
        drawing.kill()
    drawing.wait(60)
    waited_for(lambda: not any(map(alive, said.read_text().split())), "the end of both processes")
