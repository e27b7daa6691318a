"""Rotation: Σ z over last week's exercises + miss ≥ keep."""

from __future__ import annotations

from dataclasses import replace

import pytest
from planner.model.goals import rotation
from row_printer import added, written
from tiny_week import MONDAY, TUESDAY, tiny

BEFORE = {"keep": 2, "last_week": frozenset({"press", "fly"})}


def test_rows() -> None:
    assert added(rotation.rows, tiny(**BEFORE)) == written("""
        miss:rotation in 0..inf at 10 min
        rotation: 2 <= 1 used:press + 1 used:fly + 1 miss:rotation exercises
    """)


def test_only_what_can_still_be_planned_is_kept() -> None:
    at_home = (replace(MONDAY, allowed=TUESDAY.allowed), TUESDAY)
    assert rotation.count_wanted(tiny(**BEFORE)) == 2
    assert rotation.count_wanted(tiny(**BEFORE, sessions=at_home)) == 1
    assert rotation.count_wanted(tiny(**BEFORE | {"keep": 1})) == 1
    assert added(rotation.rows, tiny(keep=2)) == ""  # a first week


@pytest.mark.parametrize(
    ("plan", "by"),
    [
        ({("press", "Mon"): 2, ("fly", "Mon"): 2}, 0),
        ({("press", "Mon"): 2, ("press", "Tue"): 2}, 1),  # kept once, however often it is done
        ({("raise", "Mon"): 2}, 2),
    ],
)
def test_missed(plan: dict[tuple[str, str], int], by: int) -> None:
    found = list(rotation.missed(tiny(**BEFORE), plan))
    assert [(miss.goal, miss.by, miss.unit, miss.price_minutes) for miss in found] == (
        [("rotation", by, "exercises", 10 * by)] if by else []
    )
