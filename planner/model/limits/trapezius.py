"""Trapezius: on the average of all sets the watched trapezius stays low, if the brief asks for it."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import LimitUse, Plan
from planner.method import TOLD
from planner.model.problem import Problem
from planner.model.program import Program, Terms, add


def rows(program: Program) -> None:
    """Σ (v[e] − V)·x[e,d] ≤ 0, of a shrug's level times sets; only where the brief asks.

    Where what was trained already is above that, the rest of the week must not add to it.
    """
    problem = program.problem
    if not problem.quiet_trapezius:
        return
    terms: Terms = {}
    for candidate, session in program.pairs():
        add(terms, program.sets(candidate.key, session.id, excess(problem, candidate.key)))
    most = max(0.0, sum(excess(problem, key) * sets for (key, _), sets in problem.trained.items()))
    program.row("trapezius", terms, high=most, unit="of a shrug · sets")


def excess(problem: Problem, key: str) -> float:
    """Trapezius level of an exercise above the one allowed, of a shrug's."""
    return problem.candidate(key).trapezius - problem.settings.trapezius_level


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
        binds=level > allowed - TOLD.trapezius_near,
    )
