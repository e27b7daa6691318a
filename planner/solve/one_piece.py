"""The one-piece program: all sessions at once, solved by HiGHS through PuLP. Slow and plain; it is the check."""

from __future__ import annotations

from planner.errors import SolverFault
from planner.model.aims import build, dose_room
from planner.model.problem import Problem
from planner.model.program import INFINITE, Program, Row
from planner.solve.highs import Ending, Stops
from planner.solve.integer import over_blocks, plan_of_blocks
from planner.solve.solved import Solved


def solve_one_piece(problem: Problem) -> Solved | None:
    """Minimize the dose price, then the rest among plans within the tolerance; None: the limits clash.

    Raises SolverFault if the solver ends in a way that says nothing, or a stop left no plan at all.
    """
    settings, program = problem.settings, build(problem)
    model = over_blocks(program)
    budget = (settings.node_budget, settings.emergency_seconds)
    dose = model.minimize(program.dose_price, Stops(settings.dose_gap_sets / 2, *budget))
    if dose.ending is Ending.INFEASIBLE:
        return None
    if dose.values is None:
        raise SolverFault("The search for a week was stopped before it found any plan.")
    model.add_row(hold_row(program, dose.value))
    rest = model.minimize(program.rest_price, Stops(settings.rest_gap_minutes, *budget), start=dose.values)
    best = rest if rest.values is not None else dose
    return Solved(
        plan=plan_of_blocks(program, model.point(best)),
        dose_best=dose.value,
        dose_bound=max(0.0, dose.bound),
        rest_bound=rest.bound,
        dose_seconds=dose.seconds,
        rest_seconds=rest.seconds,
        stopped=not {dose.ending, rest.ending} <= {Ending.OPTIMAL, Ending.TARGET},
    )


def hold_row(program: Program, dose: float) -> Row:
    """Hold the first aim: dose price ≤ best + 0.25 missed sets a head."""
    most = dose + dose_room(program.problem)
    return Row("hold", program.dose_price, -INFINITE, most, "missed sets")
