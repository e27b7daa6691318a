"""Ceiling: no head gets more than its ceiling."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import HeadGoal, Problem, dose_of
from planner.model.program import INFINITE, Program, add


def rows(program: Program) -> None:
    """Σ c·x + elsewhere[h] − over[h] ≤ U[h], direct sets a week.

    Where the ceiling must hold, these sessions add nothing above it; what elsewhere is above it stays.
    """
    price = program.problem.settings.price_over_ceiling
    for goal in program.problem.heads:
        most = over_elsewhere(goal) if goal.must else INFINITE
        over = program.miss(f"ceiling:{goal.head}", price, most=most)
        terms = add(program.dose(goal.head), {over: -1.0})
        program.row(f"ceiling:{goal.head}", terms, high=goal.ceiling - goal.elsewhere, unit="direct sets")


def over_elsewhere(goal: HeadGoal) -> float:
    """Direct sets a week above the ceiling that no plan can take away."""
    return max(0.0, goal.elsewhere - goal.ceiling)


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head above its ceiling, even if elsewhere alone is."""
    for goal in problem.heads:
        by = dose_of(problem, plan, goal.head) + goal.elsewhere - goal.ceiling
        yield from miss(f"ceiling:{goal.head}", by, "direct sets", problem.settings.price_over_ceiling)
