"""A cautious week: the least expected shortfall of the dose, then the rest among weeks within a tolerance of it.

The plain plan is the start, and stays where nothing better is found: a cautious week is never worse than it on
the draws that it is planned on. What a head may have at most is its ceiling, or what the plain plan gives it:
more and more sets would make any dose sure.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass

from planner.document import Plan
from planner.method import CautiousSettings
from planner.model.aims import build, dose_room, rest_value
from planner.model.problem import Problem, dose_of
from planner.plain import ROUNDING
from planner.week.cautious.bounds import Bounds, Proven, Question
from planner.week.cautious.cuts import Shortfall
from planner.week.cautious.descent import Descent
from planner.week.cautious.draws import Draws, sets_a_week
from planner.week.cautious.likely import cheaper_week


@dataclass(frozen=True)
class Cautious:
    """A cautious plan: `value` its expected shortfall on its own draws (priced missed sets), `plain` the plain plan's,
    `bound` any plan's; `rest_bound` (priced minutes) that of plans no worse than held; whether a stop cut in.
    """

    plan: Plan
    plain: float
    value: float
    bound: float
    rest_bound: float
    stopped: bool
    seconds: tuple[float, float]  # of the two aims


def cautious_week(
    problem: Problem, draws: Draws, level: float, plain: Plan, settings: CautiousSettings
) -> Cautious:
    """Minimize the expected shortfall on the draws, then the rest; never worse than the plain plan on them."""
    began = time.perf_counter()
    program, most_a_head = build(problem), ceilings(problem, plain)
    for head, most in most_a_head.items():
        program.row(f"cautious_ceiling:{head}", program.dose(head), high=most, unit="direct sets")
    shortfall = Shortfall(program, draws, level)
    shortfall.cut_at(sets_a_week(plain))
    descent, bounds = Descent(shortfall, most_a_head, settings), Bounds(shortfall, settings)
    gap = settings.cautious_gap_sets
    least = bounds.prove(Question(shortfall.objective, (), gap, shortfall.of), descent.least_shortfall(plain))
    middle = time.perf_counter()
    most = min(least.value + dose_room(problem), shortfall.of(plain))
    rest = least_rest(descent, bounds, [least.plan, plain], most)
    return Cautious(
        plan=rest.plan,
        plain=shortfall.of(plain),
        value=shortfall.of(rest.plan),
        bound=least.bound,
        rest_bound=rest.bound,
        stopped=least.stopped or rest.stopped,
        seconds=(middle - began, time.perf_counter() - middle),
    )


def least_rest(descent: Descent, bounds: Bounds, known: list[Plan], most: float) -> Proven:
    """Minimize the rest among plans of at most this expected shortfall, from the cheapest of those known to keep it."""
    problem, shortfall = descent.problem, descent.shortfall

    def value(plan: Plan) -> float:
        keeps = shortfall.of(plan) <= most + ROUNDING
        return rest_value(problem, plan) if keeps else float("inf")

    start = min((descent.least_rest(plan, most) for plan in known if value(plan) < float("inf")), key=value)
    start = cheaper_week(descent, [*known, start], start, most)
    held = (shortfall.at_most(most),)
    gap = problem.settings.rest_gap_minutes
    return bounds.prove(Question(shortfall.program.rest_price, held, gap, value), start)


def ceilings(problem: Problem, plain: Plan) -> Mapping[str, float]:
    """Direct sets a week that these sessions may give each head."""
    return {
        goal.head: max(goal.ceiling - goal.elsewhere, dose_of(problem, plain, goal.head))
        for goal in problem.heads
    }
