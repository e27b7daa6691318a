"""New exercises: Σ z over exercises that are direct for a head and new − miss ≤ 1."""

from __future__ import annotations

from planner.model.goals import new_exercises
from row_printer import added, written
from tiny_week import goal, tiny

SIDE = {"heads": (goal("side"),)}
PRESSED = {"last_week": frozenset({"press"})}
PLAN = {("raise", "Mon"): 2, ("raise", "Tue"): 2, ("fly", "Mon"): 2}


def test_rows() -> None:
    assert added(new_exercises.rows, tiny(**SIDE, **PRESSED)) == written("""
        miss:new:side in 0..inf at 10 min
        new:side: 1 used:raise + 1 used:fly + -1 miss:new:side <= 1 exercises
    """)


def test_a_first_week_may_be_all_new() -> None:
    assert added(new_exercises.rows, tiny(**SIDE)) == ""
    assert not list(new_exercises.missed(tiny(**SIDE), PLAN))


def test_missed_counts_an_exercise_once_and_direct_ones_alone() -> None:
    (miss,) = new_exercises.missed(tiny(**SIDE, **PRESSED), PLAN)
    assert (miss.goal, miss.by, miss.unit, miss.price_minutes) == ("new:side", 1, "exercises", 10)
    # for the rear the fly alone is direct: one new exercise is allowed
    assert not list(new_exercises.missed(tiny(heads=(goal("rear"),), **PRESSED), PLAN))


def test_what_was_done_last_week_is_not_new() -> None:
    known = {"last_week": frozenset({"raise"})}
    assert not list(new_exercises.missed(tiny(**SIDE, **known), PLAN))
