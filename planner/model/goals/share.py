"""Share: no single exercise carries most of a head; no exercise is the one."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import Candidate, HeadGoal, Problem
from planner.model.program import Program, Terms, add


def rows(program: Program) -> None:
    """c[e,h]·Σd x[e,d] − miss ≤ max(s·T[h], smin·c[e,h]), direct sets a week, for heads where e is direct."""
    settings = program.problem.settings
    for goal in program.problem.heads:
        for candidate in program.problem.candidates:
            if goal.head not in candidate.direct or candidate.key not in program.used:
                continue
            terms: Terms = {}
            for session in program.problem.sessions:
                add(terms, program.sets(candidate.key, session.id, candidate.credits[goal.head]))
            name = f"share:{candidate.key}:{goal.head}"
            over = program.miss(name, settings.price_share)
            high = most(program.problem, goal, candidate)
            program.row(name, add(terms, {over: -1.0}), high=high, unit="direct sets")


def most(problem: Problem, goal: HeadGoal, candidate: Candidate) -> float:
    """Direct sets a week that one exercise may give a head; one smallest block is always allowed."""
    settings = problem.settings
    smallest = settings.smallest_block_sets * candidate.credits[goal.head]
    return max(settings.share_of_target * goal.target, smallest)


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each exercise above its share of a head."""
    for goal in problem.heads:
        for key in sorted({key for key, _ in plan}):
            candidate = problem.candidate(key)
            if goal.head in candidate.direct:
                sets = sum(count for (name, _), count in plan.items() if name == key)
                by = candidate.credits[goal.head] * sets - most(problem, goal, candidate)
                yield from miss(f"share:{key}:{goal.head}", by, "direct sets", problem.settings.price_share)
