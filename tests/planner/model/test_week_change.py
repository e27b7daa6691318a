"""Change: sets moved and exercises exchanged against the plan in force, alike in the program and of a plan."""

from __future__ import annotations

from dataclasses import replace

import pytest
from planner.model.change import change_price, exercises_exchanged, price_change, sets_moved
from tiny_week import MONDAY, TUESDAY, tiny

from planner.document import Plan
from planner.model.problem import Problem
from planner.model.program import Program

IN_FORCE = {("press", "Mon"): 3, ("fly", "Mon"): 2}
PRICES = {"settings": {"price_moved_set": 3.0, "price_exchanged": 10.0}}


def priced_by_program(problem: Problem, plan: Plan) -> float:
    """Price of a plan as the solver sees it: the sum over its blocks, its exercises and the empty week."""
    program = Program(problem)
    price_change(program)
    chosen = [program.blocks[pair][sets] for pair, sets in plan.items()]
    chosen += [program.used[key] for key in {key for key, _ in plan}]
    chosen += [n for n, column in enumerate(program.variables) if column.low == column.high == 1]
    return sum(program.rest_price.get(column, 0.0) for column in chosen)


def test_no_plan_in_force_is_no_change() -> None:
    program = Program(tiny())
    price_change(program)
    assert program.rest_price == {}
    assert change_price(tiny(), {("press", "Mon"): 3}) == 0.0


@pytest.mark.parametrize(
    ("plan", "moved", "exchanged"),
    [
        (IN_FORCE, 0, 0),
        ({("press", "Mon"): 2, ("fly", "Mon"): 2}, 1, 0),
        ({("press", "Tue"): 3, ("fly", "Mon"): 2}, 6, 0),  # three sets less here, three more there
        ({("press", "Mon"): 3, ("raise", "Mon"): 2}, 4, 2),  # the fly leaves, the raise joins
        ({}, 5, 2),
    ],
)
def test_price_of_a_change(plan: dict[tuple[str, str], int], moved: int, exchanged: int) -> None:
    problem = tiny(in_force=IN_FORCE, **PRICES)
    assert (sets_moved(problem, plan), exercises_exchanged(problem, plan)) == (moved, exchanged)
    assert change_price(problem, plan) == 3 * moved + 10 * exchanged
    assert priced_by_program(problem, plan) == pytest.approx(3 * moved + 10 * exchanged)


def test_what_can_no_longer_be_planned_costs_nothing() -> None:
    without_machine = (replace(MONDAY, allowed=TUESDAY.allowed), TUESDAY)
    problem = tiny(in_force=IN_FORCE, sessions=without_machine, **PRICES)
    assert change_price(problem, {("press", "Mon"): 3}) == 0.0
    assert priced_by_program(problem, {("press", "Mon"): 3}) == pytest.approx(0.0)
