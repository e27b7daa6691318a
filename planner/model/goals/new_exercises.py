"""New exercises: between blocks at most one exercise a head is new."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import Problem
from planner.model.program import Program


def rows(program: Program) -> None:
    """Σ z[e] over exercises that are direct for h and were not done last week − miss ≤ 1, exercises a week.

    Does not apply in an athlete's first week.
    """
    problem = program.problem
    if not problem.last_week:
        return
    for goal in problem.heads:
        terms = {program.used[key]: 1.0 for key in sorted(program.used) if is_new(problem, key, goal.head)}
        if terms:
            terms[program.miss(f"new:{goal.head}", problem.settings.price_new_exercise)] = -1.0
            most = problem.settings.new_exercises_per_head
            program.row(f"new:{goal.head}", terms, high=most, unit="exercises")


def is_new(problem: Problem, key: str, head: str) -> bool:
    """Whether an exercise is direct for a head and was not done last week."""
    return key not in problem.last_week and head in problem.candidate(key).direct


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head with too many new exercises."""
    if not problem.last_week:
        return
    for goal in problem.heads:
        new = sum(is_new(problem, key, goal.head) for key in {key for key, _ in plan})
        by = new - problem.settings.new_exercises_per_head
        yield from miss(f"new:{goal.head}", by, "exercises", problem.settings.price_new_exercise)
