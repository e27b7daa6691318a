"""Draws for weeks that know no library: every credit scattered around what the plan counts, by one seed."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from planner.week.cautious.draws import HeadDraws
from planner.week.cautious.shortfall import expected_shortfall, priced
from planner.week.cautious.solve import ceilings

from planner.document import Plan
from planner.model.problem import Problem, dose_of


def scattered(
    problem: Problem, count: int = 30, seed: int = 1, spread: float = 0.3
) -> Mapping[str, HeadDraws]:
    """Credits times a log-normal factor, at most 1; elsewhere scattered by a twentieth."""
    dice = np.random.default_rng(seed)
    keys = tuple(candidate.key for candidate in problem.candidates)
    drawn = {}
    for goal in problem.heads:
        centre = np.array([problem.candidate(key).credits.get(goal.head, 0.0) for key in keys])
        factors = np.exp(spread * dice.standard_normal((count, len(keys))))
        elsewhere = goal.elsewhere * (1 + 0.05 * dice.standard_normal(count))
        drawn[goal.head] = HeadDraws(keys, np.minimum(1.0, centre * factors), elsewhere)
    return drawn


def shortfall_of(problem: Problem, draws: Mapping[str, HeadDraws], plan: Plan, level: float) -> float:
    """Expected shortfall of a plan, draw by draw."""
    sets: dict[str, int] = {}
    for (key, _), count in plan.items():
        sets[key] = sets.get(key, 0) + count
    return expected_shortfall(priced(problem, draws, sets).values, level)


def under_ceilings(problem: Problem, plain: Plan, plan: Plan) -> bool:
    """Whether a plan gives no head more than its ceiling, or than the plain plan does."""
    most = ceilings(problem, plain)
    return all(dose_of(problem, plan, head) <= limit + 1e-6 for head, limit in most.items())
