"""The first aim alone: the best dose that the hard limits leave. Cheap: only a `must` stands in its way."""

from __future__ import annotations

from dataclasses import dataclass

from planner.document import Plan
from planner.errors import SolverFault
from planner.model.aims import dose_value
from planner.model.goals import ceiling, dose, families, implements
from planner.model.limits import LIMITS
from planner.model.problem import Problem
from planner.model.program import Program


@dataclass(frozen=True)
class BestDose:
    """A plan of the best dose; value and proven bound of the first aim in priced missed sets; whether a stop cut in."""

    plan: Plan
    value: float
    bound: float
    stopped: bool


def best_dose(problem: Problem) -> BestDose | None:
    """Minimize the missed sets; None: what must hold clashes. Raises SolverFault if a stop left no plan at all."""
    from planner.solve.found import Aim
    from planner.solve.integer import plan_of_blocks
    from planner.solve.patterns import Decomposition
    from planner.solve.search import Search

    if not problem.anything_needed:
        return BestDose({}, 0.0, 0.0, stopped=False)
    program = dose_program(problem)
    aim = Aim(program.dose_price, (), problem.settings.dose_gap_sets)
    found = Search(program, Decomposition(program)).close(aim)
    if found.point is None:
        if found.stopped:
            raise SolverFault("The search for the best dose was stopped before it found any plan.")
        return None
    plan = plan_of_blocks(program, found.point)
    value = dose_value(problem, plan)
    return BestDose(plan, value, max(0.0, min(found.bound, value)), found.stopped)


def dose_program(problem: Problem) -> Program:
    """Make the program of the first aim: limits, doses, and the goals that must hold."""
    program = Program(problem)
    for limit in LIMITS:
        limit.rows(program)
    dose.rows(program)
    if any(goal.must for goal in problem.heads):
        ceiling.rows(program)
    if problem.variety_must:
        implements.rows(program)
        families.rows(program)
    return program
