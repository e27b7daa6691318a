"""Expected shortfall: the mean of the worst draws (conditional value at risk, Rockafellar & Uryasev 2000).

At level a it is min over eta of eta + E[max(0, value − eta)] / (1 − a): linear in the draws' values once the
weights of the worst ones are known, which is what makes a cut of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from planner.model.goals.dose import steps
from planner.model.problem import HeadGoal, Problem
from planner.week.cautious.draws import Draws, HeadDraws

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]


def worst_weights(values: Numbers, level: float) -> Numbers:
    """Weights (draws,) of the mean of the worst 1 − level of the draws: they sum to 1, the last worst has a part."""
    most = 1.0 / ((1.0 - level) * len(values))
    order = np.argsort(-values, kind="stable")
    ranks = np.arange(len(values))
    weights = np.empty(len(values))
    weights[order] = np.clip(1.0 - most * ranks, 0.0, most)
    return weights


def expected_shortfall(values: Numbers, level: float) -> float:
    """Mean of the worst 1 − level of the values; larger is worse. 0 ≤ level < 1; at 0 it is the plain mean."""
    return float(worst_weights(values, level) @ values)


@dataclass(frozen=True)
class Priced:
    """Missed sets (draws,), priced and summed over the heads, and how they fall with each set of an exercise."""

    values: Numbers
    slopes: Mapping[str, Numbers]  # head -> (draws,) price of the next missed set


def priced(problem: Problem, draws: Draws, sets: Mapping[str, float]) -> Priced:
    """Price the missed sets of every draw as the first aim does; `sets` a week by exercise."""
    first = next(iter(draws.values()))
    total, slopes = np.zeros(len(first.elsewhere)), {}
    for goal in problem.heads:
        missed = np.maximum(0.0, goal.target - draws[goal.head].doses(sets))
        price, slopes[goal.head] = head_price(problem, goal, missed)
        total += price
    return Priced(total, slopes)


def head_price(problem: Problem, goal: HeadGoal, missed: Numbers) -> tuple[Numbers, Numbers]:
    """Price (draws,) of a head's missed sets, and of the last one of them; 0 where none is missed."""
    price, slope, start = np.zeros_like(missed), np.zeros_like(missed), 0.0
    for width, each in steps(problem, goal):
        price += each * np.clip(missed - start, 0.0, width)
        slope = np.where(missed > start, each, slope)
        start += width
    return price * goal.priority, slope * goal.priority


def falls(head: HeadDraws, weights: Numbers, slopes: Numbers) -> dict[str, float]:
    """By how much the weighted price falls with one more set of each exercise."""
    gained = (weights * slopes) @ head.credits
    return dict(zip(head.exercises, gained.tolist(), strict=True))


def expected_shortfalls(values: Numbers, level: float) -> Numbers:
    """Expected shortfall of every column of values (draws, columns)."""
    worst = (1.0 - level) * len(values)
    whole = min(int(worst), len(values) - 1)
    ranked = -np.partition(-values, whole, axis=0)[: whole + 1]
    summed: Numbers = (ranked[:whole].sum(axis=0) + (worst - whole) * ranked[whole]) / worst
    return summed
