"""Prefer: what the coach prefers is used, if some session can hold it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import Problem
from planner.model.program import Program


def rows(program: Program) -> None:
    """z[e] + miss ≥ 1, exercises a week, for every preferred exercise that some session can hold."""
    problem = program.problem
    for key in wanted(problem):
        column = program.miss(f"prefer:{key}", problem.settings.price_prefer, most=1)
        program.row(f"prefer:{key}", {program.used[key]: 1.0, column: 1.0}, low=1, unit="exercises")


def wanted(problem: Problem) -> list[str]:
    """Preferred exercises that some session can hold; none if nothing is to be trained."""
    return [key for key in problem.preferred if key in problem.rooms] if problem.anything_needed else []


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each preferred exercise that is not used."""
    planned = {key for key, _ in plan}
    for key in wanted(problem):
        by = float(key not in planned)
        yield from miss(f"prefer:{key}", by, "exercises", problem.settings.price_prefer)
