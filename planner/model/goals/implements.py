"""Implements: the week uses several implements, where the rooms have them."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import Problem
from planner.model.program import Program, Terms, add


def rows(program: Program) -> None:
    """in_use[i] ≤ Σ z[e] over exercises with implement i, and Σ in_use[i] + miss ≥ min(wanted, available)."""
    problem, wanted = program.problem, count_wanted(program.problem)
    if not wanted:
        return
    column = program.miss("implements", problem.settings.price_implement, must=problem.variety_must)
    counted: Terms = {column: 1.0}
    for implement in available(problem):
        in_use = program.variable(f"in_use:{implement}", 0, 1)
        terms: Terms = {in_use: -1.0}
        for candidate in problem.candidates:
            if candidate.implement == implement and candidate.key in program.used:
                add(terms, {program.used[candidate.key]: 1.0})
        program.row(f"in_use:{implement}", terms, low=0, unit="exercises")
        add(counted, {in_use: 1.0})
    program.row("implements", counted, low=wanted, unit="implements")


def available(problem: Problem) -> list[str]:
    """Implements that some exercise of the rooms uses, in alphabetical order."""
    return sorted({candidate.implement for candidate in problem.candidates if candidate.key in problem.rooms})


def count_wanted(problem: Problem) -> int:
    """Implements wanted, as far as the rooms have them; none if nothing is to be trained."""
    return min(problem.implements_wanted, len(available(problem))) if problem.anything_needed else 0


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Say how many implements are too few."""
    in_use = {problem.candidate(key).implement for key, _ in plan}
    by = count_wanted(problem) - len(in_use)
    yield from miss("implements", by, "implements", problem.settings.price_implement)
