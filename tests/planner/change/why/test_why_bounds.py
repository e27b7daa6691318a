"""Lower bounds of eased weeks: any duals give one, the linear bound is the best of them, the optimum above both."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from planner.change.why.bound import Duals, bound_under, dose_aim, linear_bound, rest_aim
from planner.week.best_dose import best_dose
from tiny_week import goal, tiny
from week_cases import random_problem

from planner.model.aims import dose_room, dose_value, rest_value
from planner.model.problem import Problem


def small(seed: int) -> Problem:
    return random_problem(seed, exercises=(8, 14), sessions=(2, 3), minutes=(15, 30), gyms=(1, 2))


@settings(max_examples=15, deadline=None)
@given(
    st.integers(0, 200),
    st.dictionaries(st.sampled_from(["dose:front", "dose:side", "dose:rear", "hold"]), st.floats(-5, 5)),
)
def test_no_plan_costs_less_than_any_bound(seed: int, duals: Duals) -> None:
    problem = small(seed)
    best = best_dose(problem)
    assert best is not None
    for aim, value in (
        (dose_aim(problem), dose_value(problem, best.plan)),
        (
            rest_aim(problem, best.value),
            rest_value(problem, best.plan),
        ),  # the best dose's plan holds the dose
    ):
        assert bound_under(aim, duals) <= value + 1e-6
        assert linear_bound(aim)[0] <= value + 1e-6


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 200), st.integers(0, 200))
def test_a_weeks_own_duals_give_its_linear_bound_and_no_duals_give_more(seed: int, other: int) -> None:
    problem = small(seed)
    best = best_dose(problem)
    assert best is not None
    for aim, foreign in (
        (dose_aim(problem), dose_aim(small(other))),
        (rest_aim(problem, best.value), rest_aim(small(other), best.value)),
    ):
        value, duals = linear_bound(aim)
        assert bound_under(aim, duals) == pytest.approx(value, abs=1e-4)
        assert bound_under(aim, linear_bound(foreign)[1]) <= value + 1e-4


def test_the_hold_is_the_tolerance_of_the_dose() -> None:
    problem = tiny(heads=(goal("front"), goal("side")))
    [hold] = rest_aim(problem, 3.0).hold
    assert hold.high == 3.0 + dose_room(problem)
    assert dose_aim(problem).hold == ()
