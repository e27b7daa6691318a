"""Numbers said in words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_week import planned

from planner.document import TempoSeconds
from planner.sheets import say
from planner.sheets.words import read_words


@pytest.mark.parametrize(
    ("value", "said"),
    [(12.0, "12"), (12.04, "12"), (12.06, "12.1"), (0.0, "0"), (-0.01, "0"), (-1.5, "-1.5")],
)
def test_number(value, said):
    assert say.number(value) == said


@pytest.mark.parametrize(
    ("value", "said"), [(12.0, "12"), (2.5, "2.5"), (1.25, "1.25"), (100.0, "100"), (0.0, "0")]
)
def test_a_load_is_not_rounded_away(value, said):
    assert say.decimals(value) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (1.0, "over 99 %"),
        (0.995, "over 99 %"),
        (0.99, "99 %"),
        (0.31, "31 %"),
        (0.0049, "under 1 %"),
        (0.0, "under 1 %"),
    ],
)
def test_certainty_is_never_claimed(value, said):
    assert say.share(value) == said


@given(st.floats(0, 1))
def test_no_chance_is_said_as_0_or_100(value):
    assert say.share(value) not in ("0 %", "100 %")


@pytest.mark.parametrize(
    ("seconds", "said"), [(45, "45 s"), (60, "1 min"), (90, "1 min 30 s"), (120, "2 min"), (0, "0 s")]
)
def test_rest(seconds, said):
    assert say.rest(seconds) == said


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ((1, 0, 3, 0), "lift 1 s, lower 3 s"),
        ((2, 1, 3, 1), "lift 2 s, hold 1 s, lower 3 s, wait 1 s"),
        ((0, 0, 2, 0), "lower 2 s"),
    ],
)
def test_tempo_in_words(parts, said):
    lift, top, lower, bottom = parts
    assert say.tempo(TempoSeconds(lift=lift, top=top, lower=lower, bottom=bottom)) == said


def test_where_to_stop():
    assert say.reserve(2) == "stop with 2 left"
    assert say.reserve(0) == "go on to the last good rep"


def test_repetitions():
    assert say.reps((8, 12)) == "8–12"
    assert say.reps((10, 10)) == "10"


@pytest.mark.parametrize(
    ("load_is", "sides", "implement", "said"),
    [
        ("each_hand", 1, "dumbbell", "each hand"),
        ("each_hand", 2, "dumbbell", "in the working hand"),
        ("total", 1, "barbell", "with the bar"),
        ("total", 1, "plate", "the plate"),
        ("stack", 1, "machine", "on the stack"),
        ("body", 1, "bodyweight", "added"),
    ],
)
def test_what_a_load_counts(load_is, sides, implement, said):
    exercise = planned("pike_push_up", 1, load_is=load_is, sides=sides)
    assert say.load_of(exercise, implement, read_words()) == said


@pytest.mark.parametrize(
    ("session", "said"),
    [("Mon", "Monday"), ("Mon-2", "Monday (2)"), ("Sun", "Sunday"), ("Xyz", "Xyz"), ("", "")],
)
def test_days(session, said):
    assert say.day(session) == said


def test_the_date_of_a_day():
    assert say.session_date("2026-12-28", "Fri") == "1 Jan 2027"
    assert say.session_date("soon", "Fri") == ""
    assert say.session_date("2026-12-28", "Xyz") == ""


def test_joined():
    assert say.joined([]) == ""
    assert say.joined(["a"]) == "a"
    assert say.joined(["a", "b", "c"]) == "a, b and c"


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [(1, "pairs", "1 pair"), (2.4, "direct sets", "2.4 direct sets"), (1, "s", "1 s")],
)
def test_an_amount_with_its_unit(value, unit, said):
    assert say.counted(value, unit) == said


@given(st.text(max_size=40))
def test_plain_text_steers_nothing_and_keeps_letters(text):
    plain = say.plain(text)
    assert not any(ord(one) < 32 or 0x202A <= ord(one) <= 0x202E for one in plain)
    assert say.plain(plain) == plain


def test_joiners_that_persian_needs_stay():
    assert say.plain("می\u200cروم") == "می\u200cروم"
