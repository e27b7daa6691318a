"""Keys in words: every limit and goal that the week's model can name."""

import re
from pathlib import Path

import pytest
from shipped import shipped_library

import planner
from planner.sheets.names import equipment_words, in_words, name_of
from planner.sheets.words import read_words

WEEK = Path(planner.__path__[0]) / "model"


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("Mon", "Monday"),
        ("Mon-Tue", "Monday and Tuesday"),
        ("Sun-Mon-2", "Sunday and Monday (2)"),
        ("week", "whole week"),
        ("subacromial", "top of the shoulder, under the arch"),
        ("side", "side delt"),
        ("pike_push_up", "Pike push-up"),
        ("dual_cable_station", "dual cable station, two adjustable pulleys"),
        ("never_heard_of", "never heard of"),
    ],
)
def test_names(library, key, name):
    assert name_of(library, key) == name


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("time:Mon", "Minutes on Monday"),
        ("session_hard_cap:side:Thu", "Side delt in one session, Thursday"),
        ("trapezius", "Upper trapezius level"),
        ("brand_new:side:Mon", "Brand new, side delt, Monday"),
        ("time", "Time"),
    ],
)
def test_limits(library, key, said):
    assert in_words(library, read_words().limit, key) == said


def test_every_limit_and_goal_of_the_model_has_its_words():
    """A limit or goal that the week's model names and this room has no text for would be said in its key's words."""
    limits = _kinds("limits", r'limit=f?"([a-z_]+)|name = f"([a-z_]+)')
    goals = _kinds("goals", r'miss\(f?"([a-z_]+)')
    assert {"time", "joints", "exercises"} <= limits <= set(read_words().limit)
    assert {"dose", "ceiling", "direct", "spread"} <= goals <= set(read_words().goal)


def _kinds(folder, pattern):
    text = "\n".join(file.read_text(encoding="utf-8") for file in sorted((WEEK / folder).glob("*.py")))
    return {one for found in re.finditer(pattern, text) for one in found.groups() if one}


def test_equipment_in_words(library):
    assert equipment_words(library, "pike_push_up") == "no equipment"
    assert (
        equipment_words(library, "barbell_overhead_press") == "barbell with plates and rack with safety bars"
    )
    assert equipment_words(library, "gone") == ""


def test_every_exercise_of_the_shipped_library_has_its_equipment_in_words():
    library = shipped_library()
    for key in library.exercises:
        assert "_" not in equipment_words(library, key)
