"""Pooling the evidence of one head by generalized least squares on the log scale (DESIGN §3.1).

    log m[g,e] = theta[e] + beta[g] + error,     var = factor·((1 − r)·CV²/n + tau²/2)
    log ratio  = theta[e] − theta[against] + error,     var = practice_error²

tau is the spread of a ratio of two rows between studies, so that a row carries tau/√2. Own recordings pull one athlete:

    theta_athlete ~ N(theta, Cov + person_spread²·P)     P: 1 on the diagonal, family_share inside a family
    log m[g,e] = theta_athlete[e] + beta[g] + error,     var = ν/(ν − 2)·(SD²/(k·m²) + (SEM/m)²)

What deviates from person to person is a ratio to the anchor, whose theta stays 0 with no spread. A group is one
session, metric, unit and side; its beta is free. The posterior is exact.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from library.credit import Profile
from library.errors import Fault, FaultyInput
from library.method import OWN, PoolSettings
from library.read import Library
from library.schema import EvidenceRow, OwnRow

Floats = NDArray[np.float64]
Heads: TypeAlias = "Mapping[str, PooledHead]"
DEFAULTS = PoolSettings()


class Contrast(NamedTuple):
    """Two exercises of one head against each other: log ratio, standard error, share of each row in it."""

    log_ratio: float
    standard_error: float
    shares: dict[str, float]


class Spread(NamedTuple):
    """Moment estimate: tau² (never negative), Cochran's Q and its residual degrees of freedom."""

    tau_squared: float
    q: float
    degrees_of_freedom: int


@dataclass(frozen=True, eq=False)
class PooledHead:
    """Pooled activation of n exercises in one head, against the anchor exercise. theta (n,): log ratio to the anchor,
    exactly 0 for the anchor. covariance (n, n): of those contrasts, zero for the anchor. influence (n, rows): change
    of theta per change of a row's log value."""

    head: str
    anchor: str
    exercises: tuple[str, ...]
    theta: Floats
    covariance: Floats
    tau: float
    rows: tuple[str, ...]  # ids of the pooled rows; an athlete's own begin with "own:"
    influence: Floats
    errors: tuple[float, ...] = ()  # of each pooled row: standard error of its log value
    spread: Spread | None = None  # of the published rows
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
        """Return the row whose own error (log) would move a number most, that error and the move; None: an anchor."""
        moves = (abs(self.influence[self.exercises.index(exercise)]) * self.errors).tolist()
        size, place = max(zip(moves, range(len(moves)), strict=True), default=(0.0, 0))
        return (self.rows[place], self.errors[place], size) if size > 0 else None

    def _shares(self, influence: Floats) -> dict[str, float]:
        summed: dict[str, float] = {}
        for row, share in zip(self.rows, abs(influence) / (abs(influence).sum() or 1.0), strict=True):
            summed[row] = summed.get(row, 0.0) + float(share)
        return summed

    def profiles(self, smallest_share: float) -> dict[str, Profile]:
        """Return every exercise's profile, with the rows that carry at least `smallest_share` of its number."""
        profiles = {}
        for place, exercise in enumerate(self.exercises):
            named = [row for row, share in self.row_shares(exercise).items() if share >= smallest_share > 0]
            error = math.sqrt(max(0.0, self.covariance[place, place]))
            profiles[exercise] = Profile(math.exp(self.theta[place]), error, tuple(named))
        return profiles


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


def pool_head(
    head: str, anchor: str, exercises: Sequence[str], rows: Sequence[EvidenceRow],
    settings: PoolSettings = DEFAULTS,
) -> PooledHead:  # fmt: skip
    """Pool the rows of one head, in the order of `exercises`; raises FaultyInput naming each that nothing ties."""
    dropped = echoes(rows)
    used = [row for row in rows if not row.left_out and row.id not in dropped]
    _refuse_untied(head, anchor, used)
    named = {name for row in used for name in (row.exercise, row.against)} | {anchor}
    order = tuple(name for name in exercises if name in named)
    groups = dict.fromkeys(row.group for row in used if row.against is None)
    column: dict[object, int] = {item: place for place, item in enumerate([*order, *groups])}
    design = np.zeros((len(used), len(column)))  # rows × exercises without the anchor, and groups
    for line, row in enumerate(used):
        design[line, column[row.exercise]] = 1.0
        design[line, column[row.against or row.group]] = -1.0 if row.against else 1.0
    design, values = np.delete(design, column[anchor], axis=1), np.log([row.mean for row in used])
    variances, factors = np.array([_variance(row, settings) for row in used]).reshape(len(used), 2).T
    published = factors > 0
    spread = moment_spread(values[published], design[published], variances[published], factors[published])
    enough = spread.degrees_of_freedom >= settings.degrees_for_tau
    tau = spread.tau_squared**0.5 if enough else settings.tau
    whole = variances + tau**2 * factors
    free, weighted = np.delete(np.arange(len(order)), order.index(anchor)), design.T / whole
    inverse = np.linalg.inv(weighted @ design)[: len(free)]
    influence, covariance = np.zeros((len(order), len(used))), np.zeros((len(order), len(order)))
    influence[free], covariance[np.ix_(free, free)] = inverse @ weighted, inverse[:, : len(free)]
    about = (tau, tuple(row.id for row in used), influence, tuple(np.sqrt(whole).tolist()), spread)
    return PooledHead(head, anchor, order, influence @ values, covariance, *about)


def echoes(rows: Sequence[EvidenceRow]) -> dict[str, str]:
    """Return practice rows whose pair a read row not in doubt gives, id -> study: they would count it twice."""
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
        for name in (row.exercise, row.against) if row.against else (row.exercise,):
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


def tied_to(anchor: str, groups: Iterable[Iterable[str]]) -> set[str]:
    """Return everything that chains of groups tie to `anchor`, the anchor with it."""
    tied, left = {anchor}, [set(group) for group in groups]
    while near := [group for group in left if group & tied]:
        left = [group for group in left if not group & tied]
        tied.update(*near)
    return tied


def _variance(row: EvidenceRow, settings: PoolSettings) -> tuple[float, float]:
    """Return the variance of a row's logarithm at tau = 0, and what tau² is multiplied with in it; practice carries no tau."""
    if row.against is not None:
        return settings.practice_error**2, 0.0
    known = {"remembered": settings.remembered_factor, "second-hand": settings.second_hand_factor}
    factor = known.get(row.status, 1.0) * settings.doubt_factor ** len(row.doubts)
    variation = row.sd / row.mean if row.sd else settings.variation
    sampling = (1 - settings.common_share) * variation**2 / (row.subjects or settings.subjects)
    return factor * sampling, factor / 2


def moment_spread(values: Floats, design: Floats, variances: Floats, factors: Floats | float = 1.0) -> Spread:
    """Estimate tau² in values = design·b + error, var error = variances + tau²·factors.

        tau² = (Q − df) / (tr WF − tr[(X'WX)⁻¹ X'WFW X]),   W = 1/variances, F = factors

    values (n,), design (n, p) of any rank, variances (n,) > 0. With F = 1: R. DerSimonian and N. Laird, Controlled
    Clinical Trials 1986;7:177, with regressors. An orthonormal basis of √W·X keeps collinear columns harmless.
    """
    roots = 1 / np.sqrt(variances)
    left, sizes, _ = np.linalg.svd(roots[:, None] * design, full_matrices=False)
    basis = left[:, sizes > sizes.max(initial=0.0) * 1e-10]
    scaled = roots * values
    residuals = scaled - basis @ (basis.T @ scaled)
    q, degrees = float(residuals @ residuals), len(values) - basis.shape[1]
    slope = float((roots**2 * factors * (1 - (basis**2).sum(axis=1))).sum())
    return Spread(max(0.0, (q - degrees) / slope) if degrees > 0 else 0.0, q, degrees)


def for_athlete(pooled: Heads, library: Library, own_rows: Iterable[OwnRow] = ()) -> dict[str, PooledHead]:
    """Return one athlete's ratios by head: what is pooled, how persons differ, and the athlete's own recordings."""
    families = {key: exercise.family for key, exercise in library.exercises.items()}
    rows = list(own_rows)
    return {head: update_with_own_rows(one, rows, families) for head, one in pooled.items()}


def own_row_variance(row: OwnRow) -> float:
    """Squared scale of an own row's log error: spread over k repetitions, and SEM² = (4·12² + df·s²)/(4 + df) over its sets."""
    measured, degrees = (0.0, 0) if row.sem is None else (row.sem, row.sem_degrees)
    weight = OWN.repeat_error_degrees
    sem_squared = (weight * OWN.repeat_error**2 + degrees * measured**2) / (weight + degrees)
    return float((row.sd or 0.0) ** 2 / row.repetitions + sem_squared / row.sets) / row.mean**2


def error_variance(row: OwnRow) -> float:
    """Variance of an own row's error, itself an estimate: of Student's t, ν/(ν − 2) times its squared scale."""
    freedom = OWN.repeat_error_degrees + (0 if row.sem is None else row.sem_degrees)
    return own_row_variance(row) * float(freedom / (freedom - 2))


def update_with_own_rows(
    pooled: PooledHead, own_rows: Iterable[OwnRow], families: Mapping[str, str] | None = None
) -> PooledHead:
    """Return the athlete's own numbers of one head; `pooled` stays as it is. `families`: exercise -> family. Rows of
    other heads are passed over. An exercise without a pooled number gains one when a session ties it to an exercise
    that has one; otherwise it is named in `untied`."""
    measured = [row for row in own_rows if row.head == pooled.head]
    groups: dict[tuple[str, ...], set[str]] = {}
    for row in measured:
        groups.setdefault(_group(row), set()).add(row.exercise)
    tied = tied_to(pooled.anchor, [pooled.exercises, *groups.values()])
    mine = [row for row in measured if row.exercise in tied]
    untied = tuple(dict.fromkeys(row.exercise for row in measured if row.exercise not in tied))
    spread = _between_persons(pooled, families or {})
    if not mine:
        return replace(pooled, covariance=spread, untied=untied)
    exercises = tuple(dict.fromkeys([*pooled.exercises, *(row.exercise for row in mine)]))
    known, count = len(pooled.exercises), len(exercises)
    free = np.flatnonzero([name != pooled.anchor for name in exercises])
    prior, inner = np.ix_(free[free < known], free[free < known]), np.ix_(free, free)
    precision, covariance = np.zeros((count, count)), np.zeros((count, count))
    precision[prior] = np.linalg.inv(spread[prior])  # of exercises gained: 0
    errors = np.array([error_variance(row) for row in mine])
    design = np.array([[float(row.exercise == name) for name in exercises] for row in mine])
    same = np.array([[float(_group(row) == _group(other)) for other in mine] for row in mine])
    weight = np.diag(1 / errors) - same / np.outer(errors, errors) / (same @ (1 / errors))  # betas swept out
    covariance[inner] = np.linalg.inv((precision + design.T @ weight @ design)[inner])
    kept, own = (covariance @ precision)[:, :known], covariance @ design.T @ weight
    ids = tuple(":".join(filter(None, ("own", row.session, row.exercise, row.side))) for row in mine)
    moved: dict[str, Any] = {"theta": kept @ pooled.theta + own @ np.log([row.mean for row in mine])}
    moved |= {"influence": np.hstack([kept @ pooled.influence, own]), "rows": pooled.rows + ids}
    moved |= {"errors": pooled.errors + tuple(np.sqrt(errors).tolist()), "untied": untied}
    return replace(pooled, exercises=exercises, covariance=covariance, **moved)


def _between_persons(pooled: PooledHead, families: Mapping[str, str]) -> Floats:
    """Return the covariance of one athlete's ratios before any recording: Cov + person_spread²·P."""
    names = np.array([families.get(name, name) for name in pooled.exercises])
    together = np.where(names[:, None] == names, OWN.family_share, 0.0)
    np.fill_diagonal(together, 1.0)
    anchor = pooled.exercises.index(pooled.anchor)
    together[anchor, :] = together[:, anchor] = 0.0
    return pooled.covariance + OWN.person_spread**2 * together


def _group(row: OwnRow) -> tuple[str, ...]:
    return (row.session, row.metric, row.unit, row.side)
