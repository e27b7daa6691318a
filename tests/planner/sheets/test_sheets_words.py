"""Every printed text has its source beside it, and texts fill in."""

import string
import tomllib
from importlib.resources import files

import pytest
from shipped import shipped_library

from planner.sheets.words import read_words

DATA = tomllib.loads((files("planner.sheets") / "words.toml").read_text(encoding="utf-8"))
SOURCED = [(kind, key) for kind in ("line", "find", "rule") for key in DATA[kind]]


@pytest.mark.parametrize(("kind", "key"), SOURCED)
def test_every_text_has_a_source(kind, key):
    entry = DATA[kind][key]
    assert entry["text"].strip()
    assert entry["source"].strip()


def test_stop_signs_have_a_source_and_the_words_of_emergency():
    assert all(group["source"] for group in DATA["stop"])
    assert read_words().stop[0].title == "Stop now and call emergency help"
    assert [len(group.signs) for group in read_words().stop] == [4, 5, 4]


def test_the_word_on_medical_advice():
    assert read_words().line["defer"] == (
        "This plan is coaching, not medical advice. Advice from your doctor or physiotherapist comes first."
    )
    assert read_words().line["selection_aid"] == "Activation is a selection aid, not a forecast of growth."


def test_no_text_speaks_of_a_diagnosis_or_of_what_causes_it():
    everything = str(DATA).lower()
    for word in ("impingement", "diagnose ", "tendinopathy", "tear", "cure", "heals"):
        assert word not in everything


def test_every_kind_of_load_has_its_words():
    words = read_words()
    for kind in ("each_hand", "total", "stack", "body", "band"):
        assert kind in words.load
        assert kind in words.box
        assert words.find[kind].format(low=8, high=12, rir="2")


def test_rules_name_families_and_implements_of_the_shipped_library():
    library = shipped_library()
    for rule in read_words().rules:
        assert rule.families or rule.implements
        assert set(rule.families) <= set(library.families)
        assert set(rule.implements) <= set(library.implements)
        assert any(rule.concerns(exercise) for exercise in library.exercises.values())


def test_a_spotter_is_asked_for_under_a_bar_overhead_and_not_for_rows():
    library = shipped_library()
    spot = next(rule for rule in read_words().rules if "spotter" in rule.text)
    concerned = {key for key, exercise in library.exercises.items() if spot.concerns(exercise)}
    assert "smith_machine_bench_press" in concerned
    assert not any(library.exercises[key].family == "row" for key in concerned)


def test_texts_of_limits_and_goals_have_at_most_two_places():
    for text in (*read_words().limit.values(), *read_words().goal.values()):
        places = [field for _, field, _, _ in string.Formatter().parse(text) if field is not None]
        assert places == [str(number) for number in range(len(places))]
        assert len(places) <= 2
