"""Dose above a target has a small price, so that no head gets far more than was asked for a minute less."""

from __future__ import annotations

from dataclasses import replace

import by_scipy
import pytest
from tiny_week import PRESS, goal, tiny

from planner.week.aims import build, rest_value
from planner.week.problem import Problem
from planner.week.solve.one_piece import solve_one_piece
from planner.week.surplus import lacking, surplus

THREE = {("press", "Mon"): 3}  # front 3, side 1.5


@pytest.mark.parametrize(
    ("target", "elsewhere", "above"),
    [(2, 0, 1), (3, 0, 0), (6, 0, 0), (6, 4, 1), (6, 7, 3)],
    ids=["over", "met", "short", "elsewhere fills a part", "elsewhere has it all"],
)
def test_surplus_is_what_these_sessions_give_beyond_what_was_lacking(
    target: float, elsewhere: float, above: float
) -> None:
    problem = tiny(heads=(goal("front", target=float(target), elsewhere=float(elsewhere)),))
    assert lacking(problem.heads[0]) == max(0, target - elsewhere)
    assert surplus(problem, THREE) == pytest.approx(above)


@pytest.mark.parametrize("target", [2.0, 6.0])
def test_a_set_above_the_target_costs_its_price_in_the_program_and_alone(target: float) -> None:
    heads = (goal("front", target=target, sessions=1),)
    priced, free = (tiny(heads=heads, settings={"price_over_target": price}) for price in (1.5, 0.0))
    above = max(0.0, 3 - target)
    assert rest_value(priced, THREE) - rest_value(free, THREE) == pytest.approx(1.5 * above)
    for problem in (priced, free):
        program = build(problem)
        found = by_scipy.minimize(program, program.rest_price, fixed=THREE)
        assert found.value == pytest.approx(rest_value(problem, THREE), abs=1e-5)


def test_of_two_exercises_the_one_that_gives_what_was_asked_wins() -> None:
    wide = replace(PRESS, key="wide", place=1, credits={"front": 1.0, "side": 1.0}, set_seconds=155)
    asked = (goal("front", target=3.0, sessions=1), goal("side", target=1.5, floor=1.0, sessions=1))
    rooms = frozenset({"press", "wide"})

    def chosen(price: float) -> set[str]:
        problem: Problem = tiny(candidates=(PRESS, wide), heads=asked, settings={"price_over_target": price})
        problem = replace(problem, sessions=tuple(replace(one, allowed=rooms) for one in problem.sessions))
        exact = replace(problem, settings=replace(problem.settings, rest_gap_minutes=0.0))
        solved = solve_one_piece(exact)
        assert solved is not None
        return {key for key, _ in solved.plan}

    assert chosen(0.0) == {"wide"} and chosen(1.0) == {"press"}
