"""What pooling knows of one head: log ratios to its anchor with their covariance, and what each row did."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from library.profiles import Profile

Floats = NDArray[np.float64]


def free_places(exercises: Sequence[str], anchor: str) -> NDArray[np.intp]:
    """Return the places of all exercises but the anchor, whose log ratio is 0 by definition."""
    return np.array([place for place, name in enumerate(exercises) if name != anchor], dtype=np.intp)


def with_anchor(free_covariance: NDArray[np.floating[Any]], free: NDArray[np.intp], count: int) -> Floats:
    """Return the (count, count) covariance with zeros for the anchor."""
    whole = np.zeros((count, count))
    whole[np.ix_(free, free)] = free_covariance
    return whole


@dataclass(frozen=True)
class Contrast:
    """Two exercises of one head against each other: log ratio, standard error, share of each row in it."""

    log_ratio: float
    standard_error: float
    shares: dict[str, float]


@dataclass(frozen=True, eq=False)
class PooledHead:
    """Pooled activation of n exercises in one head, against the anchor exercise.

    theta (n,): log ratio to the anchor, exactly 0 for the anchor. covariance (n, n): of those contrasts,
    zero for the anchor. influence (n, rows): change of theta per change of a row's log value.
    """

    head: str
    anchor: str
    exercises: tuple[str, ...]
    theta: Floats
    covariance: Floats
    tau: float
    tau_estimated: bool
    q: float  # Cochran's Q of the published rows at tau = 0
    degrees_of_freedom: int  # residual, of the published rows
    rows: tuple[str, ...]  # ids of the pooled rows; an athlete's own begin with "own:"
    influence: Floats
    untied: tuple[
        str, ...
    ] = ()  # measured exercises that no chain ties to the anchor: no number can be given

    def contrast(self, exercise: str, against: str) -> Contrast:
        """Return the log ratio of two exercises with its standard error and the rows that decide it."""
        first, second = self.exercises.index(exercise), self.exercises.index(against)
        spread = self.covariance
        variance = spread[first, first] + spread[second, second] - 2 * spread[first, second]
        return Contrast(
            log_ratio=float(self.theta[first] - self.theta[second]),
            standard_error=float(np.sqrt(max(0.0, variance))),
            shares=self._shares(self.influence[first] - self.influence[second]),
        )

    def row_shares(self, exercise: str) -> dict[str, float]:
        """Return each row's share of the influence on one exercise's number (sum 1; the anchor has none)."""
        return self._shares(self.influence[self.exercises.index(exercise)])

    def _shares(self, influence: Floats) -> dict[str, float]:
        sizes = np.abs(influence)
        whole = sizes.sum()
        shares = sizes / whole if whole > 0 else sizes
        summed: dict[str, float] = {}
        for row, share in zip(self.rows, shares, strict=True):
            summed[row] = summed.get(row, 0.0) + float(share)
        return summed

    def profile(self, exercise: str, smallest_share: float) -> Profile:
        """Return the ratio to the anchor, the standard error of its logarithm, and the rows that carry it."""
        place = self.exercises.index(exercise)
        named = [row for row, share in self.row_shares(exercise).items() if share >= smallest_share > 0]
        ratio = float(np.exp(self.theta[place]))
        return Profile(ratio, float(np.sqrt(max(0.0, self.covariance[place, place]))), tuple(named))

    def profiles(self, smallest_share: float) -> dict[str, Profile]:
        """Return the profile of every exercise of this head."""
        return {exercise: self.profile(exercise, smallest_share) for exercise in self.exercises}
