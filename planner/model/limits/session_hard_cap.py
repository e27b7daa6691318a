"""Session hard cap: nobody has measured more than this for one muscle in one session."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import LimitUse, Plan
from planner.model.problem import Problem, dose_of
from planner.model.program import Program


def rows(program: Program) -> None:
    """Σe c[e,h]·x[e,d] ≤ 24, direct sets a head and session to come (end of the data of Remmert et al. 2025)."""
    cap = program.problem.settings.session_hard_cap_sets
    for goal in program.problem.heads:
        for session in program.problem.sessions:
            if session.frozen:
                continue
            terms = program.dose(goal.head, session.id)
            program.row(f"session_hard_cap:{goal.head}:{session.id}", terms, high=cap, unit="direct sets")


def use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Direct sets of each head and session, told only where the cap is reached to within half a set."""
    cap = problem.settings.session_hard_cap_sets
    for goal in problem.heads:
        for session in problem.sessions:
            used = dose_of(problem, plan, goal.head, session.id)
            if used > cap - 0.5 and not session.frozen:
                name = f"session_hard_cap:{goal.head}:{session.id}"
                yield LimitUse(limit=name, used=round(used, 3), allowed=cap, unit="direct sets", binds=True)
