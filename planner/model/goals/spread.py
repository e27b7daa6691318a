"""Spread: a head is trained on at least two days, so that no session has to carry all of it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import HeadGoal, Problem, dose_of
from planner.model.program import Program, Terms, add
from planner.plain import ROUNDING


def rows(program: Program) -> None:
    """Σe c[e,h]·x[e,d] ≥ 2·v[h,d] and Σd v[h,d] + miss ≥ min(2, sessions); v = 1: the head is trained that day.

    Does not apply where what is left to plan for the head is less than those days would take.
    """
    settings = program.problem.settings
    for goal in program.problem.heads:
        wanted = days_wanted(program.problem, goal)
        if not wanted:
            continue
        column = program.miss(f"spread:{goal.head}", settings.price_spread)
        days: Terms = {column: 1.0}
        for session in program.problem.sessions:
            trained = program.variable(f"trained:{goal.head}:{session.id}", 0, 1, whole=True)
            terms = add(program.dose(goal.head, session.id), {trained: -settings.spread_sets})
            program.row(f"spread:{goal.head}:{session.id}", terms, low=0, unit="direct sets")
            add(days, {trained: 1.0})
        program.row(f"spread:{goal.head}", days, low=wanted, unit="sessions")


def days_wanted(problem: Problem, goal: HeadGoal) -> int:
    """Sessions that should train a head; 0 if too little is left to plan for it. A missed session is none."""
    wanted = min(goal.sessions, sum(session.state != "missed" for session in problem.sessions))
    return wanted if goal.target - goal.elsewhere >= wanted * problem.settings.spread_sets else 0


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head trained on too few days."""
    settings = problem.settings
    for goal in problem.heads:
        trained = sum(
            dose_of(problem, plan, goal.head, session.id) >= settings.spread_sets - ROUNDING
            for session in problem.sessions
        )
        by = days_wanted(problem, goal) - trained
        yield from miss(f"spread:{goal.head}", by, "sessions", settings.price_spread)
