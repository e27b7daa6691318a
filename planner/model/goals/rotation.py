"""Rotation: last week's exercises stay as long as the block lasts."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import Problem
from planner.model.program import Program


def rows(program: Program) -> None:
    """Σ z[e] over last week's exercises + miss ≥ keep, exercises; keep counts only what can still be planned."""
    problem, wanted = program.problem, count_wanted(program.problem)
    if not wanted:
        return
    column = program.miss("rotation", problem.settings.price_rotation)
    terms = {program.used[key]: 1.0 for key in sorted(problem.last_week) if key in program.used}
    terms[column] = 1.0
    program.row("rotation", terms, low=wanted, unit="exercises")


def count_wanted(problem: Problem) -> int:
    """Exercises to keep: as many as asked, at most those of last week that some session can still hold."""
    return min(problem.keep, len(problem.last_week & problem.rooms)) if problem.anything_needed else 0


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Say how many of last week's exercises were dropped that should have stayed."""
    kept = len({key for key, _ in plan} & problem.last_week)
    yield from miss("rotation", count_wanted(problem) - kept, "exercises", problem.settings.price_rotation)
