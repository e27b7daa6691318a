"""The first aim alone: the best dose that the hard limits leave. Cheap: only a `must` stands in its way."""

from __future__ import annotations

from dataclasses import dataclass

from planner.errors import SolverFault
from planner.week.aims import dose_value
from planner.week.goals import ceiling, dose, families, implements
from planner.week.limits import LIMITS
from planner.week.problem import Plan, Problem
from planner.week.program import Program


@dataclass(frozen=True)
class BestDose:
    """A plan of the best dose; value and proven bound of the first aim in priced missed sets; whether a stop cut in."""

    plan: Plan
    value: float
    bound: float
    stopped: bool


def best_dose(problem: Problem) -> BestDose | None:
    """Minimize the missed sets; None: what must hold clashes. Raises SolverFault if a stop left no plan at all."""
    from planner.week.solve.highs import Ending, Stops
    from planner.week.solve.integer import over_blocks, plan_of_blocks

    if not problem.anything_needed:
        return BestDose({}, 0.0, 0.0, stopped=False)
    settings, program = problem.settings, dose_program(problem)
    stops = Stops(settings.dose_gap_sets / 2, settings.node_budget, settings.emergency_seconds)
    model = over_blocks(program)
    answer = model.minimize(program.dose_price, stops)
    if answer.ending is Ending.INFEASIBLE:
        return None
    if answer.values is None:
        raise SolverFault("The search for the best dose was stopped before it found any plan.")
    plan = plan_of_blocks(program, model.point(answer))
    value = dose_value(problem, plan)
    stopped = answer.ending in (Ending.NODES, Ending.SECONDS)
    return BestDose(plan, value, max(0.0, min(answer.bound, value)), stopped)


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
