"""Ceiling: no head gets more than its ceiling."""

from __future__ import annotations

from collections.abc import Iterator

from planner.week.goals.missing import Miss, miss
from planner.week.problem import Plan, Problem, dose_of
from planner.week.program import Program, add


def rows(program: Program) -> None:
    """Σ c·x + elsewhere[h] − over[h] ≤ U[h], direct sets a week."""
    for goal in program.problem.heads:
        terms = program.dose(goal.head)
        if terms:
            over = program.miss(
                f"ceiling:{goal.head}", program.problem.settings.price_over_ceiling, must=goal.must
            )
            high = goal.ceiling - goal.elsewhere
            program.row(f"ceiling:{goal.head}", add(terms, {over: -1.0}), high=high, unit="direct sets")


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head above its ceiling."""
    for goal in problem.heads:
        dose = dose_of(problem, plan, goal.head)
        by = dose + goal.elsewhere - goal.ceiling if dose else 0.0
        yield from miss(f"ceiling:{goal.head}", by, "direct sets", problem.settings.price_over_ceiling)
