"""Lower bounds of eased weeks. Most easings touch nothing that holds the plan back, which the duals of the plan's
own linear bound prove at once: under any duals, what a week costs at least is a sum (Lagrange)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.model.aims import build
from planner.model.problem import Problem
from planner.model.program import INFINITE, Program, Row, Terms
from planner.plain import LAST_DIGITS
from planner.solve.one_piece import hold_row
from planner.solve.patterns import Decomposition
from planner.solve.sessions import NONE
from planner.week.best_dose import dose_program

Duals = Mapping[str, float]  # price of each row, by its name


@dataclass(frozen=True)
class Aim:
    """One program with what is minimized and what holds beside its rows."""

    program: Program
    objective: Terms
    hold: tuple[Row, ...]


def dose_aim(problem: Problem) -> Aim:
    """The first aim."""
    program = dose_program(problem)
    return Aim(program, program.dose_price, ())


def rest_aim(problem: Problem, dose: float) -> Aim:
    """The second aim among plans within the tolerance of a dose that can be had."""
    program = build(problem)
    return Aim(program, program.rest_price, (hold_row(program, dose),))


def linear_bound(aim: Aim) -> tuple[float, Duals]:
    """The linear bound by session patterns, and the duals of its rows."""
    bound = Decomposition(aim.program).bound(aim.objective, *aim.hold)
    return bound.value, bound.duals


def bound_under(aim: Aim, duals: Duals) -> float:
    """A lower bound under given duals: rows paid by their duals, columns and sessions each at their cheapest."""
    decomposition = Decomposition(aim.program)
    cost, value = dict(aim.objective), 0.0
    for row in (*decomposition.rows, *aim.hold):
        dual = duals.get(row.name, 0.0)
        limit = row.low if dual > 0 else row.high
        if abs(dual) <= LAST_DIGITS or abs(limit) == INFINITE:
            continue
        value += dual * limit
        for column, factor in row.terms.items():
            cost[column] = cost.get(column, 0.0) - dual * factor
    for column in decomposition.others:
        value += cheapest(cost.get(column, 0.0), *bounds_of(aim.program, column))
    for room in decomposition.rooms:
        values = {block: -cost.get(block, 0.0) for block in decomposition.blocks}
        worth, _ = decomposition.knapsack(room, values, cost).best()
        value += INFINITE if worth == NONE else -worth
    return value


def bounds_of(program: Program, column: int) -> tuple[float, float]:
    """Lower and upper bound of a column."""
    variable = program.variables[column]
    return variable.low, variable.high


def cheapest(cost: float, low: float, high: float) -> float:
    """The least that a column can cost."""
    if abs(cost) <= LAST_DIGITS:
        return 0.0
    return cost * (low if cost > 0 else high)
