"""Solving a week: dose first, then the rest; where every target can be met, one search does both."""

import time
from dataclasses import dataclass, replace

from library.errors import NoWeekPossible
from planner.document import Plan
from planner.method import SEARCH
from planner.model.aims import build, dose_program, dose_room, dose_value, rest_value
from planner.model.problem import Problem
from planner.model.program import INFINITE
from planner.plain import ROUNDING
from planner.solve.search import Aim, Ending, Stops, close, hold, over_blocks, plan_in


@dataclass(frozen=True)
class Solved:
    """A plan with what is proven of it: best dose and its bound (missed sets), bound of the rest (minute-equivalents)."""

    plan: Plan
    dose_best: float
    dose_bound: float
    rest_bound: float
    dose_seconds: float = 0.0
    rest_seconds: float = 0.0
    stopped: bool = False
    among: str = ""  # the plans among which the bound of the rest holds; empty: all that keep the limits
    dose_among: str = ""  # and that of the dose


@dataclass(frozen=True)
class BestDose:
    """A plan of the best dose; value and proven bound of the first aim in priced missed sets; whether a stop cut in."""

    plan: Plan
    value: float
    bound: float
    stopped: bool


def solve_week(problem: Problem) -> Solved | None:
    """Minimize the dose price, then the rest among plans within the tolerance; None: the limits clash.

    Raises SolverFault if the solver ends in a way that says nothing, or a stop left no plan at all.
    """
    if not problem.anything_needed:
        return Solved({}, 0.0, 0.0, rest_value(problem, {}))
    settings, program, began = problem.settings, build(problem), time.perf_counter()
    alone = solve_week(replace(problem, paired=False)) if problem.paired else None
    start = alone.plan if alone else None  # found soon: the search for pairs begins there
    dose = best_dose(problem, start)
    if dose is None:
        return None
    middle = time.perf_counter()
    held = hold(program.dose_price, dose.value + dose_room(problem))
    held = replace(held, low=dose.bound - ROUNDING)  # known of every plan: the search need not find it
    if dose.value > settings.dose_gap_sets:  # few plans come near the best dose: one is known
        start = start or dose.plan
    aim = Aim(program, program.rest_price, settings.rest_gap_minutes, (held,))
    rest = close(aim, start, SEARCH.first_share)
    plan = plan_in(program, rest.point) if rest.point is not None else dose.plan
    # what a search that was stopped before its first bound knows: nothing is worth more than the minutes that pairs save
    saved = problem.paired * settings.price_pair_minute * sum(one.seconds for one in problem.sessions) / 60
    return Solved(
        plan=plan, dose_best=dose.value, dose_bound=dose.bound,
        rest_bound=max(rest.bound, 0.0 - saved) if rest.bound < INFINITE else 0.0, dose_seconds=middle - began,
        rest_seconds=time.perf_counter() - middle, stopped=dose.stopped or rest.stopped or rest.point is None,
    )  # fmt: skip


def best_dose(problem: Problem, start: Plan | None = None) -> BestDose | None:
    """Minimize the missed sets alone; None: what must hold clashes. Raises SolverFault if a stop left no plan at all."""
    if not problem.anything_needed:
        return BestDose({}, 0.0, 0.0, stopped=False)
    program = dose_program(problem)
    found = close(Aim(program, program.dose_price, problem.settings.dose_gap_sets), start)
    if found.point is None and not found.stopped:
        return None
    plan = plan_in(program, found.point) if found.point is not None else least_plan(problem)
    value = dose_value(problem, plan)
    return BestDose(plan, value, max(0.0, min(found.bound, value)), found.stopped)


def least_plan(problem: Problem) -> Plan:
    """The plan of a search that was stopped before it found any: what is pinned alone. Raises NoWeekPossible.

    Where more must hold than limits, such a plan need not keep it: then no week is given, and what to ease is said.
    """
    must = problem.held is not None or problem.variety_must or any(goal.must for goal in problem.heads)
    if must or problem.quiet_trapezius:
        seconds = problem.settings.emergency_seconds
        raise NoWeekPossible(
            f"No week was found in {seconds:g} seconds, and none was shown to be impossible. Take out a `must`, shorten the "
            "week, or give more time: emergency_seconds in [method]."
        )
    return dict(problem.pins)


def is_impossible(problem: Problem) -> bool | None:
    """Whether no plan keeps what must hold; None: a budget ran out before it was known."""
    settings = problem.settings
    stops = Stops(0.0, settings.node_budget, settings.emergency_seconds, target=0.0)
    answer, _ = over_blocks(dose_program(problem)).minimize({}, stops)
    if answer.values is not None:
        return False
    return True if answer.ending is Ending.INFEASIBLE else None
