"""Families: Σ z over a family + miss ≥ 1, for every asked family that the rooms have."""

from __future__ import annotations

from dataclasses import replace

from planner.model.goals import families
from row_printer import added, written
from tiny_week import MONDAY, RAISE, TUESDAY, goal, tiny

ASKED = {"families_wanted": ("raise", "rear_fly", "shrug")}


def test_rows() -> None:
    # nothing in these rooms is a shrug: it is not asked for
    assert added(families.rows, tiny(**ASKED)) == written("""
        miss:family:raise in 0..1 at 10 min
        miss:family:rear_fly in 0..1 at 10 min
        family:raise: 1 <= 1 used:raise + 1 miss:family:raise exercises
        family:rear_fly: 1 <= 1 used:fly + 1 miss:family:rear_fly exercises
    """)


def test_a_family_that_must_be_trained_cannot_be_missed() -> None:
    assert added(families.rows, tiny(**ASKED, variety_must=True)).startswith("miss:family:raise in 0..0")


def test_raise_asks_for_any_family_of_raises() -> None:
    assert families.is_of(RAISE, "raise") and families.is_of(RAISE, "lateral_raise")
    assert not families.is_of(RAISE, "front_raise")
    assert not families.is_of(replace(RAISE, family="upraise"), "raise")


def test_only_what_some_room_has_is_wanted() -> None:
    at_home = (replace(MONDAY, allowed=TUESDAY.allowed), TUESDAY)
    assert families.wanted(tiny(**ASKED, sessions=at_home)) == ["raise"]
    assert families.wanted(tiny(**ASKED, heads=(goal("rear", elsewhere=6.0),))) == []


def test_missed() -> None:
    found = list(families.missed(tiny(**ASKED), {("raise", "Tue"): 2}))
    assert [(miss.goal, miss.by, miss.unit, miss.price_minutes) for miss in found] == [
        ("family:rear_fly", 1.0, "exercises", 10.0)
    ]
    assert not list(families.missed(tiny(**ASKED), {("raise", "Tue"): 2, ("fly", "Mon"): 2}))
