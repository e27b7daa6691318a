"""Exercises: not more on a sheet, or in a week, than a client can learn and set up."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import LimitUse, Plan
from planner.model.problem import Problem
from planner.model.program import Program, Terms, add


def rows(program: Program) -> None:
    """Σe y[e,d] ≤ 6 a session and Σe z[e] ≤ 9 a week, exercises; those trained already stand, however many."""
    settings = program.problem.settings
    for session in program.problem.sessions:
        if session.frozen:
            continue
        terms: Terms = {}
        for candidate in program.problem.candidates:
            add(terms, program.chosen(candidate.key, session.id))
        program.row(f"exercises:{session.id}", terms, high=settings.exercises_per_session, unit="exercises")
    used = dict.fromkeys(program.used.values(), 1.0)
    most = max(settings.exercises_per_week, len({key for key, _ in program.problem.trained}))
    program.row("exercises:week", used, high=most, unit="exercises")


def use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Exercises of each session still to come and different exercises of the week."""
    settings = problem.settings
    for session in problem.sessions:
        if session.frozen:
            continue
        count = sum(1 for _, day in plan if day == session.id)
        most = settings.exercises_per_session
        yield LimitUse(
            limit=f"exercises:{session.id}", used=count, allowed=most, unit="exercises", binds=count >= most
        )
    different, most = len({key for key, _ in plan}), settings.exercises_per_week
    yield LimitUse(
        limit="exercises:week", used=different, allowed=most, unit="exercises", binds=different >= most
    )
