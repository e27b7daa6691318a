"""Pooling the evidence of one head by generalized least squares on the log scale (DESIGN §3.1).

    log m[g,e] = theta[e] + beta[g] + error,     var = factor·((1 − r)·CV²/n + tau²/2)
    log ratio  = theta[e] − theta[against] + error,     var = practice_error²

tau is the spread of a ratio of two rows between studies, so that a row carries tau/√2.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

from library.errors import Fault, FaultyInput
from library.method import OwnRowSettings, PoolSettings
from library.pooled_head import OwnRow, PooledHead, tied_to, update_with_own_rows
from library.read import Library
from library.schema import EvidenceRow

if TYPE_CHECKING:
    from library.pooled_head import Floats

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

    theta ~ N(theta, Cov + person_spread²·P), recorded or not, conditioned on `own_rows` (library/pooled_head.py).
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
    """Pool the rows of one head, in the order of `exercises`; raises FaultyInput naming each that nothing ties."""
    import numpy as np

    rows = list(rows)
    dropped = echoes(rows)
    used = [row for row in rows if not row.left_out and row.id not in dropped]
    _refuse_untied(head, anchor, used)
    named = {name for row in used for name in (row.exercise, row.against)} | {anchor}
    order = tuple(name for name in exercises if name in named)
    design, values = _system(order, anchor, used)
    variances, factors = np.array([_variance(row, settings) for row in used]).reshape(len(used), 2).T
    published = factors > 0
    spread = moment_spread(values[published], design[published], variances[published], factors[published])
    estimated = spread.degrees_of_freedom >= settings.degrees_for_tau
    tau = spread.tau_squared**0.5 if estimated else settings.tau
    whole = variances + tau**2 * factors
    influence, covariance = _solve(design, whole, order.index(anchor), len(order))
    ids, errors = tuple(row.id for row in used), tuple(np.sqrt(whole).tolist())
    about = (tau, estimated, spread.q, spread.degrees_of_freedom)
    return PooledHead(head, anchor, order, influence @ values, covariance, *about, ids, influence, errors)


def echoes(rows: Iterable[EvidenceRow]) -> dict[str, str]:
    """Return the practice rows whose very pair a read group gives: id -> study. They would count it twice.

    A read row in doubt (a peak, patients, an unstated unit) silences no practice.
    """
    rows = list(rows)
    groups: dict[tuple[str, ...], set[str]] = {}
    for row in rows:
        if row.status == "read" and not row.left_out and not row.doubts:
            groups.setdefault(row.group, set()).add(row.exercise)
    known = [(group, pair) for group, names in groups.items() for pair in combinations(names, 2)]
    read = {(group[1], frozenset(pair)): group[0] for group, pair in known}
    pairs = {row.id: (row.head, frozenset((row.exercise, row.against))) for row in rows if row.against}
    return {row: read[pair] for row, pair in pairs.items() if pair in read}


def _refuse_untied(head: str, anchor: str, rows: list[EvidenceRow]) -> None:
    groups: dict[tuple[str, ...], set[str]] = {}
    rows_of: dict[str, list[str]] = {}
    for row in rows:
        for name in (row.exercise, row.against):
            if name is not None:
                groups.setdefault((row.id,) if row.against else row.group, set()).add(name)
                rows_of.setdefault(name, []).append(row.id)
    tied = tied_to(anchor, groups.values())
    remedy = "Add a row that compares it with a tied exercise, or say in left_out why its rows are not pooled"
    faults = []
    for name in (name for name in rows_of if name not in tied):
        read = f'no chain of rows ties "{name}" to the anchor "{anchor}" (rows {", ".join(rows_of[name])})'
        faults.append(Fault(f"evidence of {head}", name, read, remedy))
    if faults:
        raise FaultyInput(faults)


def _system(order: tuple[str, ...], anchor: str, rows: list[EvidenceRow]) -> tuple[Floats, Floats]:
    """Return the design (rows, exercises without the anchor + groups) and the log values (rows,)."""
    import numpy as np

    groups = dict.fromkeys(row.group for row in rows if row.against is None)
    column: dict[object, int] = {item: place for place, item in enumerate([*order, *groups])}
    design = np.zeros((len(rows), len(column)))
    for line, row in enumerate(rows):
        design[line, column[row.exercise]] = 1.0
        design[line, column[row.against or row.group]] = -1.0 if row.against else 1.0
    return np.delete(design, column[anchor], axis=1), np.log([row.mean for row in rows])


def _solve(design: Floats, variances: Floats, anchor: int, count: int) -> tuple[Floats, Floats]:
    """Return influence (count, rows) and covariance (count, count) of the exercises; zeros at the anchor's place."""
    import numpy as np

    free = np.delete(np.arange(count), anchor)
    weighted = design.T / variances
    inverse = np.linalg.inv(weighted @ design)[: len(free)]
    influence, covariance = np.zeros((count, len(variances))), np.zeros((count, count))
    influence[free] = inverse @ weighted
    covariance[np.ix_(free, free)] = inverse[:, : len(free)]
    return influence, covariance


def _variance(row: EvidenceRow, settings: PoolSettings) -> tuple[float, float]:
    """Return the variance of a row's logarithm at tau = 0, and what tau² is multiplied with in it.

    What the exercises of a group have in common between persons cancels; practice rows carry no tau.
    """
    if row.against is not None:
        return settings.practice_error**2, 0.0
    known = {"remembered": settings.remembered_factor, "second-hand": settings.second_hand_factor}
    factor = known.get(row.status, 1.0) * settings.doubt_factor ** len(row.doubts)
    variation = row.sd / row.mean if row.sd else settings.variation
    sampling = (1 - settings.common_share) * variation**2 / (row.subjects or settings.subjects)
    return factor * sampling, factor / 2


class Spread(NamedTuple):
    """Moment estimate: tau² (never negative), Cochran's Q and its residual degrees of freedom."""

    tau_squared: float
    q: float
    degrees_of_freedom: int


def moment_spread(values: Floats, design: Floats, variances: Floats, factors: Floats | None = None) -> Spread:
    """Estimate tau² in values = design·b + error, var error = variances + tau²·factors (factors: 1 if None).

        tau² = (Q − df) / (tr WF − tr[(X'WX)⁻¹ X'WFW X]),   W = 1/variances, F = factors

    values (n,), design (n, p) of any rank, variances (n,) > 0. With F = 1: R. DerSimonian and N. Laird, Controlled
    Clinical Trials 1986;7:177, with regressors. An orthonormal basis of √W·X keeps collinear columns harmless.
    """
    import numpy as np

    factors = np.ones_like(values) if factors is None else factors
    roots = 1 / np.sqrt(variances)
    left, sizes, _ = np.linalg.svd(roots[:, None] * design, full_matrices=False)
    basis = left[:, sizes > sizes.max(initial=0.0) * 1e-10]
    scaled = roots * values
    residuals = scaled - basis @ (basis.T @ scaled)
    q = float(residuals @ residuals)
    degrees = len(values) - basis.shape[1]
    slope = float((roots**2 * factors * (1 - (basis**2).sum(axis=1))).sum())
    return Spread(max(0.0, (q - degrees) / slope) if degrees > 0 else 0.0, q, degrees)
