"""Texts, numbers and keys in words: every text has its source, every limit and goal of the model its words."""

import tomllib
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_week import planned, sample_week

from library.read import read_library
from planner.plain import short_of, week_of
from planner.sheets import say
from planner.sheets.say import read_words, stations

DATA = tomllib.loads((files("planner.sheets") / "words.toml").read_text(encoding="utf-8"))


def test_texts_have_sources_name_no_diagnosis_and_know_the_library():
    texts = [entry for kind in ("line", "find", "rule") for entry in DATA[kind].values()]
    assert all(entry["text"].strip() and entry["source"].strip() for entry in texts)
    assert all(group["source"] for group in DATA["stop"])
    assert "emergency" in read_words().stop[0][0]
    assert [len(signs) for _, signs in read_words().stop] == [4, 5, 4]
    everything = str(DATA).lower()
    for word in ("impingement", "diagnose ", "tendinopathy", "tear", "cure", "heals"):
        assert word not in everything
    library = read_library()
    for rule in read_words().rules:
        assert rule.families or rule.implements
        assert set(rule.families) <= set(library.families)
        assert set(rule.implements) <= set(library.implements)
        assert any(rule.concerns(exercise) for exercise in library.exercises.values())


def test_equipment_in_words(library):
    assert not any("_" in stations(read_library(), key, {}) for key in read_library().exercises)
    assert stations(library, "pike_push_up", {}) == "no equipment"
    assert stations(library, "barbell_overhead_press", {}) == "barbell with plates and rack with safety bars"
    assert stations(library, "gone", {}) == ""


@given(st.floats(0, 1))
def test_no_chance_is_said_as_0_or_100(value):
    assert say.share(value) not in ("0 %", "100 %")


@pytest.mark.parametrize(("load_is", "sides", "implement", "said"), [
    ("each_hand", 1, "dumbbell", "each hand"), ("each_hand", 2, "dumbbell", "in the working hand"),
    ("total", 1, "barbell", "with the bar"), ("total", 1, "plate", "the plate"),
    ("stack", 1, "machine", "on the stack"), ("body", 1, "bodyweight", "added"),
])  # fmt: skip
def test_what_a_load_counts(load_is, sides, implement, said):
    exercise = planned("pike_push_up", 1, load_is=load_is, sides=sides)
    assert say.load_of(exercise, implement, read_words()) == said


def test_the_date_of_a_day_and_the_monday_of_a_week():
    assert say.session_date("2026-12-28", "Fri") == "1 January 2027"
    assert say.session_date("soon", "Fri") == say.session_date("2026-12-28", "Xyz") == ""
    assert week_of("2026-W49", "2026-11-30") == "week of 30 November (2026-W49)"
    assert week_of("2026-W49", "soon") == "week 2026-W49"


@given(st.text(max_size=40))
def test_plain_text_steers_nothing_and_keeps_letters(text):
    plain = say.plain(text)
    assert not any(ord(one) < 32 or 0x202A <= ord(one) <= 0x202E for one in plain)
    assert say.plain(plain) == plain
    assert say.plain("می\u200cروم") == "می\u200cروم"  # joiners that Persian needs


def test_who_is_short_is_said_worst_first_and_below_the_floor():
    week = sample_week()
    *others, rear = week.dose
    few = rear.model_copy(update={"planned": 3.0 - rear.elsewhere})
    first, second = short_of(week.model_copy(update={"dose": (*others, few)}), where=" in 2026-W49")
    assert first.startswith("SHORT of target in 2026-W49: rear by") and "below the floor" in first
    assert "side by 2.4" in second and "floor" not in second
