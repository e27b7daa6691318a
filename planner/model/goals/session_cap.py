"""Session cap: past a point, more sets for one head in one session were not seen to help."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import Problem, dose_of
from planner.model.program import Program, add


def rows(program: Program) -> None:
    """Σe c[e,h]·x[e,d] − over ≤ 11, direct sets a head and session (Remmert et al. 2025, a preprint)."""
    settings = program.problem.settings
    for goal in program.problem.heads:
        for session in program.problem.sessions:
            terms = program.dose(goal.head, session.id)
            if terms:
                name = f"session_cap:{goal.head}:{session.id}"
                over = program.miss(name, settings.price_session_cap)
                program.row(
                    name, add(terms, {over: -1.0}), high=settings.session_cap_sets, unit="direct sets"
                )


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head and session above the cap."""
    settings = problem.settings
    for goal in problem.heads:
        for session in problem.sessions:
            by = dose_of(problem, plan, goal.head, session.id) - settings.session_cap_sets
            yield from miss(
                f"session_cap:{goal.head}:{session.id}", by, "direct sets", settings.price_session_cap
            )
