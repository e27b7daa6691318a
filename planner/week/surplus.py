"""Surplus: dose above a target, up to the ceiling and beyond it, costs recovery and has a small price."""

from __future__ import annotations

from planner.week.problem import HeadGoal, Plan, Problem, dose_of
from planner.week.program import Program, add


def price_surplus(program: Program) -> None:
    """Price Σ c·x + short[h] − lacking[h], direct sets a head and week, where lacking = max(0, T − elsewhere).

    It needs no row and no column: what is short has a price, so it is exactly what is missing, and the sum is 0
    wherever the target is not reached.
    """
    price = program.problem.settings.price_over_target
    for goal in program.problem.heads:
        add(program.rest_price, {column: price * sets for column, sets in program.dose(goal.head).items()})
    if needed := sum(lacking(goal) for goal in program.problem.heads):
        always = program.variable("lacking", 1, 1)
        add(program.rest_price, {always: -price * needed})


def lacking(goal: HeadGoal) -> float:
    """Direct sets a week that these sessions have to give a head for its target."""
    return max(0.0, goal.target - goal.elsewhere)


def surplus(problem: Problem, plan: Plan) -> float:
    """Direct sets a week above the targets, over all heads; what is done elsewhere above one is nobody's fault."""
    return sum(max(0.0, dose_of(problem, plan, goal.head) - lacking(goal)) for goal in problem.heads)
