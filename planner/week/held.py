"""A later week of a block: the exercises of its last hard week stay, and so do their places unless they must move.

A hard week holds the exercises as a limit; among such weeks dose comes first, then the least change, then the
rest, each proven. A lighter week holds the very blocks and plans for halved targets. What cannot be held (a limit
has changed) is let go, step by step, so that a week there is.
"""

from __future__ import annotations

from dataclasses import replace

from planner.week.aims import rest_value
from planner.week.best_dose import best_dose
from planner.week.build import Inputs
from planner.week.problem import Held, Plan, Problem
from planner.week.settings import WeekSettings
from planner.week.solve.fast import solve_fast
from planner.week.solve.solved import Solved
from planner.week.staying import as_solved, can_stay, still_possible
from planner.week.swap.least import least_change


def solve_held(inputs: Inputs, problem: Problem) -> tuple[Problem, Solved] | None:
    """Solve a week with what its block holds, and give the problem its plan is judged by; None: limits clash."""
    if not problem.anything_needed:
        return problem, Solved({}, 0.0, 0.0, rest_value(problem, {}), 0.0, 0.0, stopped=False)
    if inputs.block is not None and inputs.block.lighter:
        return solve_lighter(inputs, problem)
    judged = replace(problem, in_force=still_possible(problem, inputs.held))
    for held in (Held(inputs.held, closed=all_possible(problem, inputs.held)), None):
        solved = solve_hard(inputs, replace(judged, held=held))
        if solved is not None:
            return judged, solved
    return None


def solve_hard(inputs: Inputs, problem: Problem) -> Solved | None:
    """Keep the plan in force if its dose is as good as the best; else the least change that reaches the best."""
    best = best_dose(problem)
    if best is None:
        return None
    strict = replace(problem, settings=for_one_head(problem))
    plan = problem.in_force or {}
    if can_stay(strict if inputs.rises else problem, plan, best):
        return as_solved(problem, plan, best)
    return least_change(strict, best)


def for_one_head(problem: Problem) -> WeekSettings:
    """Give the settings under which the dose may be missed by the tolerance of one head in all.

    Change is priced above dose inside the tolerance, so that a wider one would never be used for the dose.
    """
    sets = problem.settings.dose_tolerance_sets / max(1, len(problem.heads))
    return replace(problem.settings, dose_tolerance_sets=sets)


def solve_lighter(inputs: Inputs, problem: Problem) -> tuple[Problem, Solved] | None:
    """Solve a lighter week: every block stays with half its target; else every exercise does; else what can."""
    for held in (Held(inputs.held, blocks=True), Held(inputs.held), None):
        solved = solve_fast(replace(problem, held=held))
        if solved is not None:
            return problem, solved
    return None


def all_possible(problem: Problem, plan: Plan) -> bool:
    """Whether every exercise of a plan can still be planned somewhere: then no other may join."""
    return {key for key, _ in plan} <= problem.rooms
