"""Held: inside a block the exercises stay, so that every week asks for the same sessions."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import LimitUse, Plan
from planner.model.problem import Problem
from planner.model.program import Program, Terms


def rows(program: Program) -> None:
    """z[e] ≥ 1 for every exercise held, or y[e,d] ≥ 1 for every block held, where it still can be.

    What may not join has no column: it has no set count to choose (`Problem.choices`).
    """
    for name, terms in kept(program):
        program.row(f"held:{name}", terms, low=1, unit="exercises")


def kept(program: Program) -> Iterator[tuple[str, Terms]]:
    """Name what is held and give the columns of which one is to be chosen; what cannot be any more is let go."""
    held = program.problem.held
    if held is None:
        return
    if held.blocks:
        for key, day in held.plan:
            if terms := program.chosen(key, day):
                yield f"{key}:{day}", terms
        return
    for key in dict.fromkeys(key for key, _ in held.plan):
        if key in program.used:
            yield key, {program.used[key]: 1.0}


def use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Nothing to report: what the hold changes is told among the notes."""
    del problem, plan
    return iter(())
