"""Share: c·Σd x − miss ≤ max(s·T, smin·c), for heads where the exercise is direct."""

from __future__ import annotations

import pytest
from planner.model.goals import share
from row_printer import added, written
from tiny_week import RAISE, goal, tiny


def test_rows() -> None:
    # the press is not direct for the side: no row
    assert added(share.rows, tiny(heads=(goal("side"),))) == written("""
        miss:share:raise:side in 0..inf at 5 min
        miss:share:fly:side in 0..inf at 5 min
        share:raise:side: 2|3 raise:Mon + 2|3 raise:Tue + -1 miss:share:raise:side <= 3 direct sets
        share:fly:side: 1.6|2.4 fly:Mon + -1 miss:share:fly:side <= 3 direct sets
    """)


@pytest.mark.parametrize(("target", "most"), [(6.0, 3.0), (4.0, 2.0), (3.0, 2.0), (1.0, 2.0)])
def test_one_smallest_block_is_always_allowed(target: float, most: float) -> None:
    head = goal("side", target=target)
    assert share.most(tiny(heads=(head,)), head, RAISE) == most


@pytest.mark.parametrize(
    ("plan", "by"),
    [
        ({("raise", "Mon"): 3}, 0.0),  # exactly half of 6
        ({("raise", "Mon"): 2, ("raise", "Tue"): 2}, 1.0),
        ({("raise", "Mon"): 3, ("raise", "Tue"): 3}, 3.0),
        ({("press", "Mon"): 3, ("press", "Tue"): 3}, 0.0),
    ],
)
def test_missed_over_the_whole_week(plan: dict[tuple[str, str], int], by: float) -> None:
    found = list(share.missed(tiny(heads=(goal("side"),)), plan))
    assert [(miss.goal, miss.by, miss.unit, miss.price_minutes) for miss in found] == (
        [("share:raise:side", by, "direct sets", 5 * by)] if by else []
    )
