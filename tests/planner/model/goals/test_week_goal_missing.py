"""A miss: named and priced where it is more than rounding dust."""

from __future__ import annotations

import pytest
from planner.model.goals.missing import Miss, miss

from planner.plain import ROUNDING


def test_a_miss_has_its_price() -> None:
    assert miss("dose:rear", 1.5, "direct sets", 40) == [Miss("dose:rear", 1.5, "direct sets", 60.0)]


@pytest.mark.parametrize("by", [0.0, -3.0, ROUNDING, ROUNDING / 2])
def test_a_reached_goal_and_dust_are_no_miss(by: float) -> None:
    assert miss("dose:rear", by, "direct sets", 40) == []
