"""Implements: in_use ≤ Σ z of an implement, and Σ in_use + miss ≥ min(wanted, available)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from planner.model.goals import implements
from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, goal, tiny


def test_rows() -> None:
    assert added(implements.rows, tiny(implements_wanted=3)) == written("""
        miss:implements in 0..inf at 10 min
        in_use:dumbbell in 0..1
        in_use:machine in 0..1
        in_use:dumbbell: 0 <= 1 used:press + 1 used:raise + -1 in_use:dumbbell exercises
        in_use:machine: 0 <= 1 used:fly + -1 in_use:machine exercises
        implements: 2 <= 1 miss:implements + 1 in_use:dumbbell + 1 in_use:machine implements
    """)


def test_variety_that_must_hold_cannot_be_missed() -> None:
    rows = added(implements.rows, tiny(implements_wanted=2, variety_must=True))
    assert rows.startswith("miss:implements in 0..0 at 10 min")


def test_only_what_some_room_has_is_wanted() -> None:
    at_home = (replace(MONDAY, allowed=TUESDAY.allowed), TUESDAY)
    assert implements.count_wanted(tiny(implements_wanted=2)) == 2
    assert implements.count_wanted(tiny(implements_wanted=2, sessions=at_home)) == 1


def test_nothing_is_wanted_where_nothing_is_to_be_trained() -> None:
    idle = {"heads": (goal("front", elsewhere=6.0),), "implements_wanted": 2}
    assert added(implements.rows, tiny(**idle)) == ""
    assert not list(implements.missed(tiny(**idle), {}))


@pytest.mark.parametrize(
    ("plan", "by"),
    [
        ({("press", "Mon"): 2, ("fly", "Mon"): 2}, 0),
        ({("press", "Mon"): 2, ("raise", "Tue"): 2}, 1),  # two exercises, both with dumbbells
        ({}, 2),
    ],
)
def test_missed(plan: dict[tuple[str, str], int], by: int) -> None:
    found = list(implements.missed(tiny(implements_wanted=2), plan))
    assert [(miss.goal, miss.by, miss.unit, miss.price_minutes) for miss in found] == (
        [("implements", by, "implements", 10 * by)] if by else []
    )
