"""One athlete's own recordings pull that athlete's numbers, and nobody else's (DESIGN §3.1).

    theta_athlete ~ N(theta, Cov + person_spread²·P)     P: 1 on the diagonal, family_share inside a family
    log m[g,e] = theta_athlete[e] + beta[g] + error,     var = SD²/(k·m²) + (SEM/m)²

What deviates from person to person is a ratio to the anchor. The anchor is the unit of the scale: its theta stays
0 with no spread, and how it deviates itself is part of each ratio's. A group is one session, head, metric, unit
and side; its beta is free. The posterior is exact.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Protocol

import numpy as np

from library.method import OwnRowSettings
from library.network import tied_to
from library.pooled_head import Floats, PooledHead, free_places, with_anchor

DEFAULTS = OwnRowSettings()


class OwnRow(Protocol):
    """What pooling needs of one row of an athlete's evidence; means and errors in `unit`."""

    @property
    def session(self) -> str: ...  # noqa: D102
    @property
    def exercise(self) -> str: ...  # noqa: D102
    @property
    def head(self) -> str: ...  # noqa: D102
    @property
    def side(self) -> str: ...  # noqa: D102
    @property
    def metric(self) -> str: ...  # noqa: D102
    @property
    def unit(self) -> str: ...  # noqa: D102
    @property
    def mean(self) -> float: ...  # noqa: D102
    @property
    def sd(self) -> float | None: ...  # noqa: D102  # over the repetitions
    @property
    def repetitions(self) -> int: ...  # noqa: D102
    @property
    def sem(self) -> float | None: ...  # noqa: D102  # from repeated sets
    @property
    def sem_degrees(self) -> int: ...  # noqa: D102  # of freedom, where there is a sem


def update_with_own_rows(
    pooled: PooledHead,
    own_rows: Iterable[OwnRow],
    settings: OwnRowSettings = DEFAULTS,
    families: Mapping[str, str] | None = None,
) -> PooledHead:
    """Return the athlete's own numbers of one head; `pooled` stays as it is. `families`: exercise -> family.

    Rows of other heads are passed over. An exercise without a pooled number gains one when a session ties
    it to an exercise that has one; otherwise it is named in `untied`.
    """
    mine = [row for row in own_rows if row.head == pooled.head]
    tied = tied_to(pooled.anchor, [pooled.exercises, *_groups(mine).values()])
    untied = tuple(dict.fromkeys(row.exercise for row in mine if row.exercise not in tied))
    mine = [row for row in mine if row.exercise in tied]
    gained = tuple(dict.fromkeys(row.exercise for row in mine if row.exercise not in pooled.exercises))
    spread = _athlete_covariance(pooled, families or {}, settings)
    if not mine:
        return replace(pooled, covariance=spread, untied=untied)
    prior, precision = _prior(pooled, spread, len(gained))
    exercises = pooled.exercises + gained
    free = free_places(exercises, pooled.anchor)
    design, weight, values = _own_system(exercises, mine, settings)
    design = design[:, free]
    covariance = np.linalg.inv(precision[np.ix_(free, free)] + design.T @ weight @ design)
    own_influence = covariance @ design.T @ weight
    kept = covariance @ precision[np.ix_(free, free)]
    influence = np.zeros((len(exercises), len(pooled.rows) + len(mine)))
    influence[free] = np.hstack([kept @ _padded(pooled.influence, len(gained))[free], own_influence])
    theta = np.zeros(len(exercises))
    theta[free] = kept @ prior[free] + own_influence @ values
    return replace(
        pooled,
        exercises=exercises,
        theta=theta,
        covariance=with_anchor(covariance, free, len(exercises)),
        rows=pooled.rows + tuple(_row_id(row) for row in mine),
        influence=influence,
        untied=untied,
    )


def own_row_variance(row: OwnRow, settings: OwnRowSettings = DEFAULTS) -> float:
    """Variance of the logarithm of one own row: spread over k repetitions, and error of measurement.

    SEM² = (4·12² + df·s²)/(4 + df): few repeats neither replace what is known of such errors nor count for nothing.
    """
    measured, degrees = (0.0, 0) if row.sem is None else (row.sem, row.sem_degrees)
    usual, weight = settings.repeat_error, settings.repeat_error_degrees
    sem_squared = (weight * usual**2 + degrees * measured**2) / (weight + degrees)
    return float((row.sd or 0.0) ** 2 / row.repetitions + sem_squared) / row.mean**2


def _row_id(row: OwnRow) -> str:
    return ":".join(part for part in ("own", row.session, row.exercise, row.side) if part)


def _groups(rows: list[OwnRow]) -> dict[tuple[str, ...], list[str]]:
    groups: dict[tuple[str, ...], list[str]] = {}
    for row in rows:
        groups.setdefault(_group(row), []).append(row.exercise)
    return groups


def _group(row: OwnRow) -> tuple[str, ...]:
    return (row.session, row.head, row.metric, row.unit, row.side)


def _athlete_covariance(pooled: PooledHead, families: Mapping[str, str], settings: OwnRowSettings) -> Floats:
    """Return the covariance of one athlete's ratios before any recording: Cov + person_spread²·P."""
    names = np.array([families.get(name, name) for name in pooled.exercises])
    together = np.where(names[:, None] == names, settings.family_share, 0.0)
    np.fill_diagonal(together, 1.0)
    anchor = pooled.exercises.index(pooled.anchor)
    together[anchor, :] = together[:, anchor] = 0.0
    spread: Floats = pooled.covariance + settings.person_spread**2 * together
    return spread


def _prior(pooled: PooledHead, spread: Floats, gained: int) -> tuple[Floats, Floats]:
    """Return the mean and the precision before the own rows; exercises gained have precision 0."""
    count = len(pooled.exercises)
    free = free_places(pooled.exercises, pooled.anchor)
    precision = with_anchor(np.linalg.inv(spread[np.ix_(free, free)]), free, count + gained)
    return np.concatenate([pooled.theta, np.zeros(gained)]), precision


def _own_system(
    exercises: tuple[str, ...], rows: list[OwnRow], settings: OwnRowSettings
) -> tuple[Floats, Floats, Floats]:
    """Return design (rows, exercises), the weight matrix with the betas swept out, and the log values."""
    place = {name: index for index, name in enumerate(exercises)}
    design = np.zeros((len(rows), len(exercises)))
    design[np.arange(len(rows)), [place[row.exercise] for row in rows]] = 1.0
    groups = list(_groups(rows))
    member = np.array([[float(_group(row) == group) for group in groups] for row in rows])
    member = member.reshape(len(rows), len(groups))
    weights = 1 / np.array([own_row_variance(row, settings) for row in rows], dtype=float)
    weighted = weights[:, None] * member
    weight = np.diag(weights) - weighted @ np.diag(1 / (weights @ member)) @ weighted.T
    return design, weight, np.log(np.array([row.mean for row in rows], dtype=float))


def _padded(influence: Floats, gained: int) -> Floats:
    return np.vstack([influence, np.zeros((gained, influence.shape[1]))])
