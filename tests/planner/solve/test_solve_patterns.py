"""The linear bound over session patterns: never above the optimum, and a clash is told from a high price."""

from __future__ import annotations

from dataclasses import replace

import by_scipy
import pytest
from planner.solve.highs import Stops
from planner.solve.integer import over_blocks
from planner.solve.one_piece import hold_row
from small_weeks import week_with_a_session_over
from tiny_week import goal, tiny
from week_cases import random_problem

from planner.method import WeekSettings
from planner.model.aims import build
from planner.model.program import Program
from planner.solve.patterns import UNMET, Decomposition


def linear_relaxation(program: Program, prices: dict[int, float]) -> float:
    """Optimum of the one-piece program with broken blocks allowed."""
    whole = [replace(one, whole=False) for one in program.variables]
    loose = Program(program.problem)
    loose.variables, loose.rows, loose.blocks = whole, program.rows, program.blocks
    return over_blocks(loose).minimize(prices, Stops(0.0, 1, 60.0)).value


@pytest.mark.parametrize("seed", range(10))
def test_the_bound_lies_between_the_relaxation_and_the_optimum(seed: int) -> None:
    program = build(week_with_a_session_over(seed))
    decomposition = Decomposition(program)
    dose = by_scipy.minimize(program, program.dose_price)
    assert dose.value is not None
    bound = decomposition.bound(program.dose_price)
    assert bound.unmet < UNMET
    assert linear_relaxation(program, program.dose_price) - 1e-5 <= bound.value <= dose.value + 1e-5
    hold = hold_row(program, dose.value)
    rest = by_scipy.minimize(program, program.rest_price, [hold])
    assert rest.value is not None
    assert decomposition.bound(program.rest_price, hold).value <= rest.value + 1e-4


@pytest.mark.parametrize("seed", [1, 3])
def test_a_session_alone_is_bounded_exactly(seed: int) -> None:
    problem = random_problem(seed, exercises=(6, 8), sessions=(1, 1), minutes=(15, 20))
    program = build(problem)
    minutes = {
        column: -(1.0 + 0.1 * sets)
        for by_count in program.blocks.values()
        for sets, column in by_count.items()
    }
    loose = [
        row for row in program.rows if row.name.startswith(("time:", "exercises:Mon", "blocks:", "used:"))
    ]
    program.rows = loose
    best = by_scipy.minimize(program, minutes).value
    assert Decomposition(program).bound(minutes).value == pytest.approx(best, abs=1e-5)


def test_what_cannot_be_met_stays_unmet() -> None:
    program = build(tiny(heads=(goal("rear", target=60.0, ceiling=80.0, must=True),)))
    assert Decomposition(program).bound(program.dose_price).unmet > UNMET


@pytest.mark.parametrize("price", [40.0, 1e6])
def test_no_price_is_so_high_that_what_can_be_met_is_left_unmet(price: float) -> None:
    problem = random_problem(
        0,
        exercises=(6, 9),
        sessions=(2, 2),
        settings=WeekSettings(price_missed_set=price, price_session_cap=price, session_cap_sets=1.0),
    )
    pinned = {(key, problem.sessions[0].id): 2 for key in sorted(problem.sessions[0].allowed)[:2]}
    program = build(replace(problem, pins=pinned))
    bound = Decomposition(program).bound(program.rest_price)
    optimum = by_scipy.minimize(program, program.rest_price).value
    assert bound.unmet < UNMET
    assert optimum is not None and bound.value <= optimum + 1e-6 * price
