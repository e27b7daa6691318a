"""Families: the movement families that the brief asks for are trained, where the rooms have them."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import Candidate, Problem
from planner.model.program import Program, Terms


def rows(program: Program) -> None:
    """Σ z[e] over exercises of family f + miss ≥ 1, exercises a week, for every asked family the rooms have."""
    problem = program.problem
    for family in wanted(problem):
        column = program.miss(
            f"family:{family}", problem.settings.price_family, must=problem.variety_must, most=1
        )
        terms: Terms = {column: 1.0}
        for candidate in problem.candidates:
            if is_of(candidate, family) and candidate.key in program.used:
                terms[program.used[candidate.key]] = 1.0
        program.row(f"family:{family}", terms, low=1, unit="exercises")


def wanted(problem: Problem) -> list[str]:
    """Asked families of which some exercise can be done in some room; none if nothing is to be trained."""
    if not problem.anything_needed:
        return []
    there = [candidate for candidate in problem.candidates if candidate.key in problem.rooms]
    return [
        family for family in problem.families_wanted if any(is_of(candidate, family) for candidate in there)
    ]


def is_of(candidate: Candidate, family: str) -> bool:
    """Whether an exercise is of an asked family; `raise` asks for any family of raises."""
    return candidate.family == family or candidate.family.endswith(f"_{family}")


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each asked family that is not trained."""
    planned = [problem.candidate(key) for key, _ in plan]
    for family in wanted(problem):
        by = float(not any(is_of(candidate, family) for candidate in planned))
        yield from miss(f"family:{family}", by, "exercises", problem.settings.price_family)
