"""Draws made anew, with other seeds and sums of its own: what is printed of draws must agree within chance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from planner.method import Redraws
from planner.verify.asked import Asked, asked, wanted
from planner.verify.worth import lowering_weight

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from library.pooled_head import PooledHead
    from planner.verify.case import Case

    Numbers = NDArray[np.float64]

WHOLE = 1e-9  # (1 − 0.8)·100 is 20


@dataclass(frozen=True)
class Estimate:
    """A figure found from draws, and its standard error; nan where too few draws bear it."""

    value: float
    error: float


@dataclass(frozen=True)
class Redrawn:
    """Every exercise's credits (draws,) in direct sets a set, head by head; the same draws for every plan."""

    case: Case
    pooled: Mapping[str, PooledHead]
    settings: Redraws = field(default_factory=Redraws)

    def doses(self, head: str, number: int, sets: Mapping[str, int]) -> Numbers:
        """Total doses (draws,) of one head: Σ c·sets + whole elsewhere + min(Σ other c·sets, half of the target)."""
        pooled, elsewhere = self.pooled[head], self.case.brief.elsewhere
        keys = [key for key in pooled.exercises if key in sets or key in elsewhere]
        if not keys:
            return np.zeros(self.settings.redraws)
        at = [pooled.exercises.index(key) for key in keys]
        dice = np.random.default_rng([self.settings.redraw_seed, number])
        logs = dice.multivariate_normal(
            pooled.theta[at], pooled.covariance[np.ix_(at, at)], self.settings.redraws, method="svd"
        )
        worth = {key: self._credits(key, np.exp(logs[:, place])) for place, key in enumerate(keys)}
        total, part = np.zeros(self.settings.redraws), np.zeros(self.settings.redraws)
        for key, credits in worth.items():
            total += credits * sets.get(key, 0)
            done = elsewhere.get(key)
            if done and done.whole:
                total += credits * done.sets
            elif done:
                part += credits * done.sets
        most = self.case.number("elsewhere_share") * asked(self.case, head).target
        return np.asarray(total + np.minimum(part, most))

    def _credits(self, exercise: str, ratios: Numbers) -> Numbers:
        case = self.case
        if case.document.made_with.counting == "movers":
            half = case.number("movers_part") * (ratios >= case.number("movers_indirect"))
            return np.asarray(np.where(ratios >= case.number("movers_direct"), 1.0, half))
        counts = ratios >= case.number("credit_floor")
        return np.asarray(np.where(ratios > 1, 1.0, ratios) * counts * lowering_weight(case, exercise))

    def shortfalls(self, sets: Mapping[str, int]) -> Numbers:
        """Priced missed sets (draws,) of all heads together."""
        total = np.zeros(self.settings.redraws)
        for number, head in enumerate(wanted(self.case)):
            total += self._price(asked(self.case, head), self.doses(head, number, sets))
        return total

    def _price(self, wish: Asked, doses: Numbers) -> Numbers:
        """1 a set from the target down to midway to the floor, 2 from there to the floor, 4 below, times priority."""
        midway = (wish.target + wish.floor) / 2
        near, low, below = (self.case.number(f"dose_price_{where}") for where in ("near", "low", "below"))
        missed = near * (wish.target - np.clip(doses, midway, wish.target))
        missed += low * (midway - np.clip(doses, wish.floor, midway))
        missed += below * (wish.floor - np.clip(doses, 0.0, wish.floor))
        return np.asarray(wish.priority * missed)


def mean(values: Numbers) -> Estimate:
    """Mean of draws."""
    return Estimate(float(values.mean()), float(values.std() / np.sqrt(len(values))))


def worst_mean(values: Numbers, level: float, fewest: int) -> Estimate:
    """Mean of the largest 1 − level of the draws, with the error that goes with it; nan if fewer than `fewest` bear it.

    min over q of q + E[max(0, v − q)] / (1 − level), at the quantile q (Rockafellar & Uryasev 2000).
    """
    part = (1 - level) * len(values)
    if part < fewest - WHOLE:
        return Estimate(float("nan"), float("nan"))
    quantile = float(np.quantile(values, level))
    over = np.maximum(0.0, values - quantile)
    return Estimate(
        quantile + float(over.sum()) / part, float(over.std() / (1 - level) / np.sqrt(len(values)))
    )
