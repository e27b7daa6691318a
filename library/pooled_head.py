"""Pooled activation of one head: log ratios to its anchor, their covariance, what each row did to them.

An athlete's own recordings pull that athlete's numbers, and nobody else's (DESIGN §3.1):

    theta_athlete ~ N(theta, Cov + person_spread²·P)     P: 1 on the diagonal, family_share inside a family
    log m[g,e] = theta_athlete[e] + beta[g] + error,     var = ν/(ν − 2)·(SD²/(k·m²) + (SEM/m)²)

What deviates from person to person is a ratio to the anchor. The anchor is the unit of the scale: its theta stays
0 with no spread, and how it deviates itself is part of each ratio's. A group is one session, metric, unit and
side; its beta is free. The posterior is exact.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated, Literal, NamedTuple

from pydantic import Field

from library.credit import Profile
from library.method import OwnRowSettings
from library.schema import Key, Record

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DEFAULTS = OwnRowSettings()


class Contrast(NamedTuple):
    """Two exercises of one head against each other: log ratio, standard error, share of each row in it."""

    log_ratio: float
    standard_error: float
    shares: dict[str, float]


class OwnRow(Record):
    """What pooling needs of one recording of one athlete; mean, sd and sem are in `unit`."""

    session: Annotated[str, Field(min_length=1, max_length=80)]
    exercise: Key
    head: Key
    side: Literal["left", "right", ""] = ""
    metric: str
    unit: str
    mean: Annotated[float, Field(ge=0.001, le=100_000)]
    sd: Annotated[float, Field(ge=0, le=100_000)] | None = None  # over repetitions
    repetitions: Annotated[int, Field(ge=1, le=10_000)]
    sets: Annotated[int, Field(ge=1, le=1000)] = 1  # averaged in the mean
    sem: Annotated[float, Field(ge=0, le=100_000)] | None = None  # from repeated sets alone, not yet weighed
    sem_degrees: Annotated[int, Field(ge=0, le=1000)] = 1  # of freedom: one a set beyond the first


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
    errors: tuple[float, ...] = ()  # of each pooled row: standard error of its log value
    untied: tuple[str, ...] = ()  # measured exercises that no chain ties to the anchor: without a number

    def contrast(self, exercise: str, against: str) -> Contrast:
        """Return the log ratio of two exercises with its standard error and the rows that decide it."""
        first, second = self.exercises.index(exercise), self.exercises.index(against)
        spread, ratio = self.covariance, float(self.theta[first] - self.theta[second])
        variance = float(spread[first, first] + spread[second, second] - 2 * spread[first, second])
        shares = self._shares(self.influence[first] - self.influence[second])
        return Contrast(ratio, max(0.0, variance) ** 0.5, shares)

    def row_shares(self, exercise: str) -> dict[str, float]:
        """Return each row's share of the influence on one exercise's number (sum 1; the anchor has none)."""
        return self._shares(self.influence[self.exercises.index(exercise)])

    def most_moving(self, exercise: str) -> tuple[str, float, float] | None:
        """Return the row that would move a number most if it were wrong by its own standard error.

        Its id, that error (log) and the move of theta that it makes; None for an anchor.
        """
        influence = self.influence[self.exercises.index(exercise)]
        moves = [(abs(float(influence[place]) * error), place) for place, error in enumerate(self.errors)]
        size, place = max(moves, default=(0.0, 0))
        return (self.rows[place], self.errors[place], size) if size > 0 else None

    def _shares(self, influence: Floats) -> dict[str, float]:
        sizes = abs(influence)
        whole = sizes.sum() or 1.0
        summed: dict[str, float] = {}
        for row, size in zip(self.rows, sizes, strict=True):
            summed[row] = summed.get(row, 0.0) + float(size / whole)
        return summed

    def profiles(self, smallest_share: float) -> dict[str, Profile]:
        """Return per exercise the ratio to the anchor, the error of its logarithm, and the rows that carry it.

        Named are the rows with at least `smallest_share` of it.
        """
        profiles = {}
        for place, exercise in enumerate(self.exercises):
            named = [row for row, share in self.row_shares(exercise).items() if share >= smallest_share > 0]
            error = math.sqrt(max(0.0, self.covariance[place, place]))
            profiles[exercise] = Profile(math.exp(self.theta[place]), error, tuple(named))
        return profiles


def tied_to(anchor: Hashable, groups: Iterable[Iterable[Hashable]]) -> set[Hashable]:
    """Return everything that chains of groups tie to `anchor`, the anchor with it; linear time."""
    members = [set(group) for group in groups]
    groups_of: dict[Hashable, list[int]] = {}
    for place, group in enumerate(members):
        for item in group:
            groups_of.setdefault(item, []).append(place)
    tied, open_ends, used = {anchor}, [anchor], set[int]()
    while open_ends:
        for place in groups_of.get(open_ends.pop(), ()):
            if place not in used:
                used.add(place)
                open_ends += members[place] - tied
                tied |= members[place]
    return tied


def own_row_variance(row: OwnRow, settings: OwnRowSettings = DEFAULTS) -> float:
    """Squared scale of the error of one own row's logarithm: spread over k repetitions, and error of measurement.

    SEM² = (4·12² + df·s²)/(4 + df) of one set: few repeats neither replace what is known of such errors nor count
    for nothing. A mean of several sets has its part of it.
    """
    measured, degrees = (0.0, 0) if row.sem is None else (row.sem, row.sem_degrees)
    usual, weight = settings.repeat_error, settings.repeat_error_degrees
    sem_squared = (weight * usual**2 + degrees * measured**2) / (weight + degrees)
    return float((row.sd or 0.0) ** 2 / row.repetitions + sem_squared / row.sets) / row.mean**2


def error_variance(row: OwnRow, settings: OwnRowSettings = DEFAULTS) -> float:
    """Variance of what an own row is wrong by: of Student's t at its degrees of freedom, ν/(ν − 2) times its scale.

    The size of the error is itself an estimate, of few sets: with its scale alone 90 % ranges held 86 %.
    """
    freedom = settings.repeat_error_degrees + (0 if row.sem is None else row.sem_degrees)
    wider: float = freedom / (freedom - 2)
    return own_row_variance(row, settings) * wider


def update_with_own_rows(
    pooled: PooledHead, own_rows: Iterable[OwnRow], settings: OwnRowSettings = DEFAULTS,
    families: Mapping[str, str] | None = None,
) -> PooledHead:  # fmt: skip
    """Return the athlete's own numbers of one head; `pooled` stays as it is. `families`: exercise -> family.

    Rows of other heads are passed over. An exercise without a pooled number gains one when a session ties
    it to an exercise that has one; otherwise it is named in `untied`.
    """
    import numpy as np

    mine, untied = _tied_rows(pooled, own_rows)
    spread = _between_persons(pooled, families or {}, settings)
    if not mine:
        return replace(pooled, covariance=spread, untied=untied)
    exercises = tuple(dict.fromkeys([*pooled.exercises, *(row.exercise for row in mine)]))
    known, count = len(pooled.exercises), len(exercises)
    free = np.flatnonzero([name != pooled.anchor for name in exercises])
    prior, inner = np.ix_(free[free < known], free[free < known]), np.ix_(free, free)
    precision, covariance = np.zeros((count, count)), np.zeros((count, count))
    precision[prior] = np.linalg.inv(spread[prior])  # of exercises gained: 0
    design, weight, values = _own_system(exercises, mine, settings)
    covariance[inner] = np.linalg.inv((precision + design.T @ weight @ design)[inner])
    kept, own = (covariance @ precision)[:, :known], covariance @ design.T @ weight
    ids = tuple(":".join(filter(None, ("own", row.session, row.exercise, row.side))) for row in mine)
    return replace(
        pooled,
        exercises=exercises,
        theta=kept @ pooled.theta + own @ values,
        covariance=covariance,
        rows=pooled.rows + ids,
        influence=np.hstack([kept @ pooled.influence, own]),
        errors=pooled.errors + tuple(error_variance(row, settings) ** 0.5 for row in mine),
        untied=untied,
    )


def _tied_rows(pooled: PooledHead, own_rows: Iterable[OwnRow]) -> tuple[list[OwnRow], tuple[str, ...]]:
    """Return the head's rows that chains of groups tie to the anchor, and the exercises of the others."""
    measured = [row for row in own_rows if row.head == pooled.head]
    groups: dict[tuple[str, ...], set[str]] = {}
    for row in measured:
        groups.setdefault(_group(row), set()).add(row.exercise)
    tied = tied_to(pooled.anchor, [pooled.exercises, *groups.values()])
    untied = dict.fromkeys(row.exercise for row in measured if row.exercise not in tied)
    return [row for row in measured if row.exercise in tied], tuple(untied)


def _between_persons(pooled: PooledHead, families: Mapping[str, str], settings: OwnRowSettings) -> Floats:
    """Return the covariance of one athlete's ratios before any recording: Cov + person_spread²·P."""
    import numpy as np

    names = np.array([families.get(name, name) for name in pooled.exercises])
    together = np.where(names[:, None] == names, settings.family_share, 0.0)
    np.fill_diagonal(together, 1.0)
    anchor = pooled.exercises.index(pooled.anchor)
    together[anchor, :] = together[:, anchor] = 0.0
    return pooled.covariance + settings.person_spread**2 * together


def _own_system(
    exercises: tuple[str, ...], rows: list[OwnRow], settings: OwnRowSettings
) -> tuple[Floats, Floats, Floats]:
    """Return design (rows, exercises), the weight matrix with the betas swept out, and the log values."""
    import numpy as np

    design = np.array([[float(row.exercise == name) for name in exercises] for row in rows])
    weights = np.array([1 / error_variance(row, settings) for row in rows])
    same = np.array([[float(_group(row) == _group(other)) for other in rows] for row in rows])
    weight = np.diag(weights) - same * np.outer(weights, weights) / (same @ weights)
    return design, weight, np.log([row.mean for row in rows])


def _group(row: OwnRow) -> tuple[str, ...]:
    return (row.session, row.metric, row.unit, row.side)
