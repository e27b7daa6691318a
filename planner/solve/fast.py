"""The fast way: dose first, then the rest; where every target can be met, one search does both."""

from __future__ import annotations

import time

from planner.errors import SolverFault
from planner.model.aims import build, dose_value
from planner.model.problem import Problem
from planner.model.program import INFINITE, Program
from planner.plain import ROUNDING
from planner.solve.found import Aim, Found
from planner.solve.integer import plan_of_blocks
from planner.solve.one_piece import hold_row
from planner.solve.patterns import Decomposition
from planner.solve.search import Search
from planner.solve.solved import Solved


def solve_fast(problem: Problem) -> Solved | None:
    """Minimize the dose price, then the rest among plans within the tolerance; None: the limits clash.

    Raises SolverFault if the solver ends in a way that says nothing, or a stop left no plan at all.
    """
    settings, program = problem.settings, build(problem)
    search = Search(program, Decomposition(program))
    began = time.perf_counter()
    all_met = (hold_row(program, 0.0),)
    rest = search.close(Aim(program.rest_price, all_met, settings.rest_gap_minutes, roomy=True))
    reached = dose_value(problem, plan_of_blocks(program, rest.point)) if rest.point is not None else INFINITE
    if reached <= settings.dose_gap_sets:  # every target met: no plan has a better dose
        return solved(program, Found(rest.point, reached, 0.0), rest, (0.0, time.perf_counter() - began))
    dose = search.close(Aim(program.dose_price, (), settings.dose_gap_sets))
    if dose.point is None and dose.stopped:
        raise SolverFault("The search for a week was stopped before it found any plan.")
    if dose.point is None:
        return None
    middle = time.perf_counter()
    if rest.point is None or dose.value > ROUNDING:
        held = (hold_row(program, dose.value),)
        rest = search.close(Aim(program.rest_price, held, settings.rest_gap_minutes))
    ended = time.perf_counter()
    return solved(program, dose, rest, (middle - began, ended - middle))


def solved(program: Program, dose: Found, rest: Found, seconds: tuple[float, float]) -> Solved:
    """Give what was found of both aims; where the rest found no plan, that of the best dose stands, unproven."""
    point = rest.point if rest.point is not None else dose.point
    return Solved(
        plan=plan_of_blocks(program, point or {}),
        dose_best=dose.value,
        dose_bound=max(0.0, dose.bound),
        rest_bound=rest.bound if rest.bound < INFINITE else 0.0,
        dose_seconds=seconds[0],
        rest_seconds=seconds[1],
        stopped=dose.stopped or rest.stopped or rest.point is None,
    )
