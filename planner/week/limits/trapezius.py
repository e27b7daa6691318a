"""Trapezius: on the average of all sets the watched trapezius stays low, if the brief asks for it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.week.document import LimitUse
from planner.week.problem import Plan, Problem
from planner.week.program import Program, Terms, add


def rows(program: Program) -> None:
    """Σ (v[e] − V)·x[e,d] ≤ 0, of a shrug's level times sets; only where the brief asks."""
    problem = program.problem
    if not problem.quiet_trapezius:
        return
    terms: Terms = {}
    for candidate, session in program.pairs():
        excess = candidate.trapezius - problem.settings.trapezius_level
        add(terms, program.sets(candidate.key, session.id, excess))
    program.row("trapezius", terms, high=0, unit="of a shrug · sets")


def use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Mean trapezius level over all sets, of a shrug's."""
    sets = sum(plan.values())
    if not problem.quiet_trapezius or not sets:
        return
    level = sum(problem.candidate(key).trapezius * count for (key, _), count in plan.items()) / sets
    allowed = problem.settings.trapezius_level
    yield LimitUse(
        limit="trapezius",
        used=round(level, 3),
        allowed=allowed,
        unit="of a shrug",
        binds=level > allowed - 0.02,
    )
