"""Direct: at least half of a target comes from direct sets."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import HeadGoal, Problem
from planner.model.program import Program, add


def rows(program: Program) -> None:
    """Σ over direct e of c[e,h]·x[e,d] + elsewhere direct[h] + miss ≥ half of T[h], direct sets a week.

    Does not apply where elsewhere covers the whole target.
    """
    for goal in program.problem.heads:
        low = wanted(program.problem, goal)
        if low > 0:
            terms = program.dose(goal.head, direct_only=True)
            column = program.miss(f"direct:{goal.head}", program.problem.settings.price_direct)
            program.row(f"direct:{goal.head}", add(terms, {column: 1.0}), low=low, unit="direct sets")


def wanted(problem: Problem, goal: HeadGoal) -> float:
    """Direct sets a week that these sessions should give a head from direct exercises."""
    if goal.elsewhere >= goal.target:
        return 0.0
    return max(0.0, problem.settings.direct_share * goal.target - goal.elsewhere_direct)


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head with too little direct work."""
    for goal in problem.heads:
        given = sum(
            problem.candidate(key).credits[goal.head] * sets
            for (key, _), sets in plan.items()
            if goal.head in problem.candidate(key).direct
        )
        by = wanted(problem, goal) - given
        yield from miss(f"direct:{goal.head}", by, "direct sets", problem.settings.price_direct)
