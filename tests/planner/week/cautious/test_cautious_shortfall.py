"""The expected shortfall of draws: weights, means, and how missed sets are priced draw by draw."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_week import scattered
from hypothesis import given, settings
from hypothesis import strategies as st
from planner.week.cautious.draws import HeadDraws, sets_a_week
from planner.week.cautious.shortfall import (
    expected_shortfall,
    expected_shortfalls,
    falls,
    head_price,
    priced,
    worst_weights,
)
from tiny_week import MONDAY, goal, tiny

from planner.model.aims import dose_value

LEVELS = st.floats(0.01, 0.99)
VALUES = st.lists(st.floats(-50, 50), min_size=1, max_size=30).map(np.array)
few = settings(max_examples=60, deadline=None)


def test_the_worst_fifth_of_ten_is_the_mean_of_the_two_largest() -> None:
    values = np.array([3.0, 9.0, 1, 4, 0, 7, 2, 2, 1, 0])
    assert expected_shortfall(values, 0.8) == pytest.approx(8.0)
    # the worst quarter of ten: two whole draws and half of the third
    assert expected_shortfall(values, 0.75) == pytest.approx((9 + 7 + 4 / 2) / 2.5)
    assert worst_weights(values, 0.75).tolist() == pytest.approx([0, 0.4, 0, 0.2, 0, 0.4, 0, 0, 0, 0])


@given(values=VALUES, level=LEVELS)
@few
def test_weights_are_shares_and_nobody_has_more_than_the_tail_allows(
    values: np.ndarray, level: float
) -> None:
    weights = worst_weights(values, level)
    assert weights.sum() == pytest.approx(1.0)
    assert weights.min() >= 0
    assert weights.max() <= 1 / ((1 - level) * len(values)) + 1e-9


@given(values=VALUES)
@few
def test_level_0_is_the_mean_and_just_below_1_the_worst(values: np.ndarray) -> None:
    assert expected_shortfall(values, 0.0) == pytest.approx(float(values.mean()), abs=1e-9)
    assert expected_shortfall(values, 1 - 1e-9) == pytest.approx(float(values.max()), abs=1e-9)


@given(values=VALUES, levels=st.tuples(LEVELS, LEVELS))
@few
def test_it_never_falls_as_the_level_rises(values: np.ndarray, levels: tuple[float, float]) -> None:
    low, high = sorted(levels)
    assert expected_shortfall(values, low) <= expected_shortfall(values, high) + 1e-9


@given(values=VALUES, level=LEVELS)
@few
def test_column_by_column_is_the_same(values: np.ndarray, level: float) -> None:
    columns = np.stack([values, values[::-1] * 2, -values], axis=1)
    one_by_one = [expected_shortfall(columns[:, at], level) for at in range(3)]
    assert expected_shortfalls(columns, level).tolist() == pytest.approx(one_by_one, abs=1e-9)


@given(values=VALUES, level=LEVELS)
@few
def test_it_is_the_least_over_eta(values: np.ndarray, level: float) -> None:
    """min over eta of eta + E[max(0, value − eta)] / (1 − level), which is reached at one of the values."""
    tries = [eta + np.maximum(0.0, values - eta).mean() / (1 - level) for eta in values]
    assert expected_shortfall(values, level) == pytest.approx(min(tries), abs=1e-6)


def test_missed_sets_cost_one_two_and_four() -> None:
    head = goal("front", priority=2.0)  # floor 2, target 6: midway is 4
    price, slope = head_price(tiny(), head, np.array([0.0, 1.0, 3.0, 5.0]))
    assert price.tolist() == [0.0, 2.0, 2 * (2 + 2), 2 * (2 + 4 + 4)]
    assert slope.tolist() == [0.0, 2.0, 4.0, 8.0]


def test_draws_without_scatter_are_priced_like_the_plan() -> None:
    problem = tiny()
    plan = {("press", "Mon"): 2, ("raise", "Tue"): 3, ("fly", MONDAY.id): 2}
    sure = priced(problem, scattered(problem, count=3, spread=0.0), sets_a_week(plan))
    assert sure.values.tolist() == pytest.approx([dose_value(problem, plan)] * 3)


def test_the_price_falls_by_what_a_set_gives_where_one_is_missed() -> None:
    head = HeadDraws(("press", "raise"), np.array([[1.0, 0.5], [0.8, 0.2]]), np.zeros(2))
    gained = falls(head, np.array([0.25, 0.75]), np.array([2.0, 0.0]))
    assert gained == pytest.approx({"press": 0.5, "raise": 0.25})
