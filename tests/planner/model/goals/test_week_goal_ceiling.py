"""Ceiling: Σ c·x + elsewhere − over ≤ U."""

from __future__ import annotations

import pytest
from planner.model.goals import ceiling
from row_printer import added, written
from tiny_week import goal, tiny

PLAN = {("fly", "Mon"): 3}  # rear 3


def test_rows() -> None:
    assert added(ceiling.rows, tiny(heads=(goal("rear", ceiling=8.0, elsewhere=1.5),))) == written("""
        miss:ceiling:rear in 0..inf at 10 min
        ceiling:rear: 2|3 fly:Mon + -1 miss:ceiling:rear <= 6.5 direct sets
    """)


def test_a_ceiling_that_must_hold_leaves_only_what_elsewhere_is_above_it() -> None:
    below = tiny(heads=(goal("rear", ceiling=8.0, elsewhere=1.5, must=True),))
    assert added(ceiling.rows, below).startswith("miss:ceiling:rear in 0..0 at")
    above = tiny(heads=(goal("rear", ceiling=8.0, elsewhere=9.5, must=True),))
    assert added(ceiling.rows, above) == written("""
        miss:ceiling:rear in 0..1.5 at 10 min
        ceiling:rear: 2|3 fly:Mon + -1 miss:ceiling:rear <= -1.5 direct sets
    """)


@pytest.mark.parametrize(
    ("elsewhere", "over"), [(0.0, 0.0), (5.0, 0.0), (5.5, 0.5), (9.0, 4.0)]
)  # ceiling 8, planned 3
def test_missed(elsewhere: float, over: float) -> None:
    found = list(ceiling.missed(tiny(heads=(goal("rear", elsewhere=elsewhere),)), PLAN))
    assert [(miss.goal, miss.by, miss.unit, miss.price_minutes) for miss in found] == (
        [("ceiling:rear", over, "direct sets", 10 * over)] if over else []
    )


def test_elsewhere_alone_above_the_ceiling_is_said() -> None:
    (miss,) = ceiling.missed(tiny(heads=(goal("rear", elsewhere=9.0),)), {})
    assert (miss.goal, miss.by) == ("ceiling:rear", 1.0)
