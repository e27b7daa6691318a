"""Prefer: z + miss ≥ 1 for every preferred exercise that some session can hold."""

from __future__ import annotations

from dataclasses import replace

from planner.model.goals import prefer
from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, goal, tiny

LIKED = {"preferred": ("fly", "raise", "unheard_of")}


def test_rows() -> None:
    assert added(prefer.rows, tiny(**LIKED)) == written("""
        miss:prefer:fly in 0..1 at 5 min
        miss:prefer:raise in 0..1 at 5 min
        prefer:fly: 1 <= 1 used:fly + 1 miss:prefer:fly exercises
        prefer:raise: 1 <= 1 used:raise + 1 miss:prefer:raise exercises
    """)


def test_a_session_that_is_over_can_hold_nothing_more() -> None:
    over = (replace(MONDAY, state="done"), TUESDAY)
    assert prefer.wanted(tiny(**LIKED, sessions=over)) == ["raise"]
    assert "fly" not in added(prefer.rows, tiny(**LIKED, sessions=over))


def test_nothing_is_wanted_where_nothing_is_to_be_trained() -> None:
    assert prefer.wanted(tiny(**LIKED, heads=(goal("rear", elsewhere=6.0),))) == []


def test_missed() -> None:
    found = list(prefer.missed(tiny(**LIKED), {("raise", "Tue"): 2}))
    assert [(miss.goal, miss.by, miss.unit, miss.price_minutes) for miss in found] == [
        ("prefer:fly", 1.0, "exercises", 5.0)
    ]
    assert not list(prefer.missed(tiny(**LIKED), {("raise", "Tue"): 2, ("fly", "Mon"): 3}))
