"""Pooling the evidence of one head by generalized least squares on the log scale (DESIGN §3.1).

log m[g,e] = theta[e] + beta[g] + error,     var = factor·((1 − r)·CV²/n + tau²)
log ratio  = theta[e] − theta[against] + error,     var = practice_error²
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from library.errors import Fault, FaultyInput
from library.method import OwnRowSettings, PoolSettings
from library.network import tied_to
from library.own_rows import OwnRow, update_with_own_rows
from library.pooled_head import Floats, PooledHead, free_places, with_anchor
from library.read import Library
from library.schema import EvidenceRow
from library.tau import Spread, moment_spread

DEFAULTS = PoolSettings()


def pool_library(library: Library, settings: PoolSettings = DEFAULTS) -> dict[str, PooledHead]:
    """Pool every head of a library; raises FaultyInput with all exercises that nothing ties to an anchor."""
    pooled: dict[str, PooledHead] = {}
    faults: list[Fault] = []
    for head in library.heads.values():
        rows = [row for row in library.evidence if row.head == head.key]
        try:
            pooled[head.key] = pool_head(head.key, head.anchor, tuple(library.exercises), rows, settings)
        except FaultyInput as error:
            faults += error.faults
    if faults:
        raise FaultyInput(faults)
    return pooled


def for_athlete(
    pooled: Mapping[str, PooledHead], library: Library, own_rows: Iterable[OwnRow] = ()
) -> dict[str, PooledHead]:
    """Return one athlete's ratios by head: what is pooled, how persons differ, and the athlete's own recordings.

    theta ~ N(theta, Cov + person_spread²·P), recorded or not, conditioned on `own_rows` (library/own_rows.py).
    """
    families = {key: exercise.family for key, exercise in library.exercises.items()}
    rows, settings = list(own_rows), OwnRowSettings()
    return {head: update_with_own_rows(one, rows, settings, families) for head, one in pooled.items()}


def pool_head(
    head: str,
    anchor: str,
    exercises: Sequence[str],
    rows: Iterable[EvidenceRow],
    settings: PoolSettings = DEFAULTS,
) -> PooledHead:
    """Pool the rows of one head; `exercises` gives the order of the result, those without a row are left out.

    Raises FaultyInput naming each exercise that no chain of rows ties to the anchor.
    """
    pooled_rows = [row for row in rows if not row.left_out]
    _refuse_untied(head, anchor, pooled_rows)
    named = {name for row in pooled_rows for name in (row.exercise, row.against)} | {anchor}
    order = tuple(name for name in exercises if name in named)
    system = _System.of(order, anchor, pooled_rows, settings)
    spread = system.spread()
    estimated = spread.degrees_of_freedom >= settings.degrees_for_tau
    tau = math.sqrt(spread.tau_squared) if estimated else settings.tau
    theta, covariance, influence = system.solve(tau)
    return PooledHead(
        head=head,
        anchor=anchor,
        exercises=order,
        theta=theta,
        covariance=covariance,
        tau=tau,
        tau_estimated=estimated,
        q=spread.q,
        degrees_of_freedom=spread.degrees_of_freedom,
        rows=tuple(row.id for row in pooled_rows),
        influence=influence,
    )


def groups_of(rows: Iterable[EvidenceRow]) -> list[set[str]]:
    """Return the exercises that each group of rows compares; a practice row is a group of its own."""
    groups: dict[tuple[str, ...], set[str]] = {}
    for row in rows:
        members = groups.setdefault((row.id,) if row.against else row.group, set())
        members.update({row.exercise, row.against} if row.against else {row.exercise})
    return list(groups.values())


def _refuse_untied(head: str, anchor: str, rows: list[EvidenceRow]) -> None:
    tied = tied_to(anchor, groups_of(rows))
    ids: dict[str, list[str]] = {}
    for row in rows:
        for name in (row.exercise, row.against):
            if name is not None and name not in tied:
                ids.setdefault(name, []).append(row.id)
    faults = [
        Fault(
            f"evidence of {head}",
            name,
            f'no chain of rows ties "{name}" to the anchor "{anchor}" (rows {", ".join(found)})',
            "Add a row that compares it with a tied exercise, or say in left_out why its rows are not pooled",
        )
        for name, found in ids.items()
    ]
    if faults:
        raise FaultyInput(faults)


@dataclass(frozen=True, eq=False)
class _System:
    """The linear system of one head: n rows, columns are exercises without the anchor, then groups."""

    count: int  # exercises, with the anchor
    free: NDArray[np.intp]  # places of the exercises without the anchor
    design: Floats  # (n, free exercises + groups)
    values: Floats  # (n,) logarithms
    variances: Floats  # (n,) without tau²
    tau_factors: Floats  # (n,) what tau² is multiplied with: 0 for practice rows

    @classmethod
    def of(
        cls, order: tuple[str, ...], anchor: str, rows: list[EvidenceRow], settings: PoolSettings
    ) -> _System:
        free = free_places(order, anchor)
        place = {name: index for index, name in enumerate(order)}
        groups = list(dict.fromkeys(row.group for row in rows if row.against is None))
        group_place = {group: index for index, group in enumerate(groups)}
        of_exercises = np.zeros((len(rows), len(order)))
        of_groups = np.zeros((len(rows), len(groups)))
        for line, row in enumerate(rows):
            of_exercises[line, place[row.exercise]] = 1.0
            if row.against is None:
                of_groups[line, group_place[row.group]] = 1.0
            else:
                of_exercises[line, place[row.against]] = -1.0
        factors = np.array([_factor(row, settings) for row in rows], dtype=float)
        sampling = np.array([_sampling_variance(row, settings) for row in rows], dtype=float)
        published = np.array([row.against is None for row in rows], dtype=bool)
        return cls(
            count=len(order),
            free=free,
            design=np.hstack([of_exercises[:, free], of_groups]),
            values=np.log(np.array([row.mean for row in rows], dtype=float)),
            variances=np.where(published, factors * sampling, settings.practice_error**2),
            tau_factors=np.where(published, factors, 0.0),
        )

    def spread(self) -> Spread:
        """Estimate tau² over the published rows alone."""
        published = self.tau_factors > 0
        return moment_spread(
            self.values[published],
            self.design[published],
            self.variances[published],
            self.tau_factors[published],
        )

    def solve(self, tau: float) -> tuple[Floats, Floats, Floats]:
        """Return theta (n), its covariance (n, n) and the influence of each row (n, rows), anchor 0."""
        weights = 1 / (self.variances + tau**2 * self.tau_factors)
        weighted = self.design.T * weights
        covariance_all = np.linalg.inv(weighted @ self.design)
        free_count = len(self.free)
        influence = np.zeros((self.count, len(self.values)))
        influence[self.free] = (covariance_all @ weighted)[:free_count]
        covariance = with_anchor(covariance_all[:free_count, :free_count], self.free, self.count)
        return influence @ self.values, covariance, influence


def _factor(row: EvidenceRow, settings: PoolSettings) -> float:
    remembered = settings.remembered_factor if row.status == "remembered" else 1.0
    intramuscular = settings.intramuscular_factor if row.electrodes == "intramuscular" else 1.0
    return remembered * intramuscular


def _sampling_variance(row: EvidenceRow, settings: PoolSettings) -> float:
    """Variance of a row's logarithm inside its group: what a group's exercises have in common cancels."""
    variation = row.sd / row.mean if row.sd else settings.variation
    return (1 - settings.common_share) * variation**2 / (row.subjects or settings.subjects)
