"""Seeded draws of what sets are worth: one number a draw, exercise and head, and what comes from elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from planner.document import Plan
from planner.model.inputs import Inputs
from planner.model.problem import Problem
from planner.week.sure import draw_ratios, drawn_credit

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from library.pooled_head import PooledHead

    Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class HeadDraws:
    """One head: credits (draws, exercises) in direct sets a set, and direct sets a week from elsewhere (draws,)."""

    exercises: tuple[str, ...]
    credits: Numbers
    elsewhere: Numbers

    def doses(self, sets: Mapping[str, float]) -> Numbers:
        """Total doses (draws,) of so many sets a week of each exercise."""
        counts = np.array([sets.get(key, 0.0) for key in self.exercises])
        total: Numbers = self.credits @ counts + self.elsewhere
        return total


Draws = Mapping[str, HeadDraws]
DIGITS = 6
PLANNED_ON, JUDGED_ON = 0, 1  # streams: draws of one never meet those of the other, even from one seed


def sets_a_week(plan: Plan) -> dict[str, int]:
    """Sets a week of each exercise."""
    total: dict[str, int] = {}
    for (key, _), sets in plan.items():
        total[key] = total.get(key, 0) + sets
    return total


def draw(
    inputs: Inputs, pooled: Mapping[str, PooledHead], problem: Problem, count: int, seed: int, stream: int
) -> dict[str, HeadDraws]:
    """Draw `count` times from the pooled covariances, heads apart from each other; same seed and stream, same draws."""
    return {
        goal.head: draw_head(inputs, pooled[goal.head], problem, count, seed_of(seed, stream, number))
        for number, goal in enumerate(problem.heads)
    }


def seed_of(seed: int, stream: int, number: int) -> int:
    """Give the seed of one head: with one seed for all, errors of different heads would go together."""
    return int(np.random.SeedSequence([seed, stream, number]).generate_state(1)[0])


def draw_head(inputs: Inputs, pooled: PooledHead, problem: Problem, count: int, seed: int) -> HeadDraws:
    """Draw one head's ratios, through the same set credit as the plan's (DESIGN §3.2)."""
    elsewhere, candidates = inputs.brief.elsewhere, {one.key for one in problem.candidates}
    keys = [key for key in pooled.exercises if key in candidates or key in elsewhere]
    ratios = draw_ratios(pooled, keys, count, seed)
    credits = {key: drawn_credit(inputs, key, ratios[:, at]) for at, key in enumerate(keys)}
    whole, part = np.zeros(count), np.zeros(count)
    for key, done in elsewhere.items():
        if key in credits and done.whole:
            whole += credits[key] * done.sets
        elif key in credits:
            part += credits[key] * done.sets
    most = inputs.week.elsewhere_share * inputs.targets[pooled.head].target
    kept = tuple(key for key in keys if key in candidates)
    drawn = np.array([credits[key] for key in kept]).reshape(len(kept), count).T
    # what a last digit does, which differs from machine to machine, must not choose the plan
    return HeadDraws(kept, drawn.round(DIGITS), (whole + np.minimum(part, most)).round(DIGITS))
