"""Blocks: an exercise is done for two to four sets or not at all."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import LimitUse, Plan
from planner.model.problem import Problem
from planner.model.program import Program, add


def rows(program: Program) -> None:
    """smin·y ≤ x ≤ smax·y and y ≤ z, sets: at most one set count a pair, and z[e] = 1 exactly if e is used.

    The bounds on sets hold because only counts from smin to smax have a column (a pin brings its own count).
    """
    for key, day in program.blocks:
        terms = add(program.chosen(key, day), {program.used[key]: -1.0})
        program.row(f"blocks:{key}:{day}", terms, high=0, unit="blocks")
    for key, column in program.used.items():
        terms = {column: 1.0}
        for session in program.problem.sessions:
            add(terms, program.chosen(key, session.id, -1.0))
        program.row(f"used:{key}", terms, high=0, unit="blocks")


def use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Nothing to report: a block's bounds are in the set counts themselves."""
    del problem, plan
    return iter(())
