from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from library.method import OwnRowSettings
from library.pool import for_athlete, pool_head
from library.pooled_head import PooledHead, own_row_variance, update_with_own_rows
from library.read import Library
from library.schema import EvidenceRow, OwnRow

SURE = {"sd": None, "sem": 0.1, "sem_degrees": 999}
KIN = {"press": "presses", "fly": "presses", "push": "presses", "raise": "raises"}
SHELF = cast(
    "Library", SimpleNamespace(exercises={key: SimpleNamespace(family=of) for key, of in KIN.items()})
)
# 0.25² on the diagonal, half of it between kin, nothing for the anchor or between families
PERSONS = 0.0625 * np.array([[0, 0, 0, 0], [0, 1, 0.5, 0], [0, 0.5, 1, 0], [0, 0, 0, 1]])


def own(exercise: str, mean: float, **given: Any) -> OwnRow:
    fields = {"session": "s1", "head": "front", "side": "left", "metric": "mean", "unit": "percent_MVIC"}
    fields |= {"sd": 6.0, "repetitions": 8, "sem": 5.0, "sem_degrees": 1}
    return OwnRow.model_validate({**fields, "exercise": exercise, "mean": mean, **given})


def athlete(pooled: PooledHead, *rows: OwnRow) -> PooledHead:
    return for_athlete({"front": pooled}, SHELF, rows)["front"]


@pytest.fixture(scope="module")
def pooled(make_row: Callable[..., EvidenceRow]) -> PooledHead:
    means = [("a", "press", 60), ("a", "fly", 30), ("a", "push", 40), ("a", "raise", 20)]
    means += [("b", "press", 50), ("b", "raise", 30)]
    return pool_head("front", "press", tuple(KIN), [make_row(*row) for row in means])


def test_variance_is_spread_over_repetitions_and_error_of_measurement() -> None:
    """(d0·s0² + d·s²)/(d0 + d): Smyth 2004, doi 10.2202/1544-6115.1027; one repeated pair weighs a fifth."""
    shrunk = (4 * 144 + 25) / 5
    assert own_row_variance(own("fly", 40)) == pytest.approx(36 / (8 * 1600) + shrunk / 1600)
    assert own_row_variance(own("fly", 40, sem=None, sd=None)) == pytest.approx(144 / 1600)
    assert own_row_variance(own("fly", 40, sd=None, sem_degrees=10**9)) == pytest.approx(25 / 1600)


def test_two_rows_against_the_anchor_by_hand(pooled: PooledHead) -> None:
    """One session with the anchor is one normal contrast: the posterior is the weighted mean."""
    rows = [own("press", 50), own("fly", 45)]
    prior, noise = pooled.covariance[1, 1] + 0.25**2, sum(own_row_variance(row) for row in rows)
    weight = prior / (prior + noise)
    after = athlete(pooled, *rows)
    assert after.theta[1] == pytest.approx((1 - weight) * pooled.theta[1] + weight * np.log(45 / 50))
    assert after.covariance[1, 1] == pytest.approx(prior * noise / (prior + noise))
    # the raise was not measured, but shares the pooled error of the anchor with the fly
    assert after.theta[3] > pooled.theta[3]


def test_posterior_equals_the_dense_formula(pooled: PooledHead) -> None:
    """Independent route: one joint normal of theta and the session means, beta with a very wide prior."""
    rows = [
        own("press", 55),
        own("fly", 44, sd=9),
        own("raise", 30, session="s2", sem=None),
        own("fly", 41, session="s2"),
        own("fly", 39, session="s2", side="right", repetitions=5),
        own("raise", 29, session="s2", side="right"),
    ]
    prior = np.diag([0.0] * 4 + [1e6] * 3)  # exercises, three betas
    prior[:4, :4] = pooled.covariance + PERSONS
    mean = np.concatenate([pooled.theta, np.zeros(3)])
    design = np.zeros((6, 7))
    for line, (exercise, beta) in enumerate([(0, 4), (1, 4), (3, 5), (1, 5), (1, 6), (3, 6)]):
        design[line, [exercise, beta]] = 1.0
    noise = np.diag([own_row_variance(row) for row in rows])
    values = np.log([row.mean for row in rows])
    gain = prior @ design.T @ np.linalg.inv(design @ prior @ design.T + noise)
    after = athlete(pooled, *rows)
    assert after.theta == pytest.approx((mean + gain @ (values - design @ mean))[:4], abs=1e-5)
    assert after.covariance == pytest.approx((prior - gain @ design @ prior)[:4, :4], abs=1e-5)


@pytest.mark.parametrize(
    "rows",
    [
        [],
        [own("fly", 50, head="side")],  # another head
        [own("fly", 5), own("press", 80, side="right")],  # alone in their groups: no ratio
        [own("press", 50), own("fly", 99, sem=1e7, sem_degrees=99)],  # no information
    ],
)
def test_persons_differ_and_what_says_nothing_changes_nothing(pooled: PooledHead, rows: list[OwnRow]) -> None:
    after = athlete(pooled, *rows)
    assert after.theta == pytest.approx(pooled.theta, abs=1e-9)
    assert after.covariance == pytest.approx(pooled.covariance + PERSONS, abs=1e-9)


def test_a_measured_exercise_moves_its_kin_and_nobody_elses_numbers(pooled: PooledHead) -> None:
    """All share the pooled error of the press; beyond it only kin deviate together."""
    theta, covariance = pooled.theta.copy(), pooled.covariance.copy()
    after = athlete(pooled, own("press", 50, **SURE), own("fly", 50, **SURE))
    moved = after.theta - theta
    assert moved[1] > moved[2] > moved[3] + 0.1 > 0.1 and moved[0] == 0
    assert after.covariance[2, 2] < athlete(pooled).covariance[2, 2] and not after.covariance[0].any()
    assert (pooled.theta == theta).all() and (pooled.covariance == covariance).all()


def test_a_measured_exercise_without_pooled_number_gains_one_when_tied(pooled: PooledHead) -> None:
    after = athlete(pooled, own("fly", 40), own("swim", 20), own("crawl", 9, session="s9"))
    assert after.exercises == (*KIN, "swim")
    assert after.theta[4] == pytest.approx(after.theta[1] + np.log(20 / 40))
    assert after.untied == ("crawl",)
    assert after.covariance[4, 4] > after.covariance[1, 1]


def test_own_rows_stand_among_the_weights_and_add_up(pooled: PooledHead) -> None:
    once = athlete(pooled, own("press", 50), own("fly", 45))
    twice = athlete(pooled, own("press", 50), own("fly", 45), own("fly", 45))
    shares, more = once.row_shares("fly"), twice.row_shares("fly")
    assert sum(shares.values()) == pytest.approx(1)
    assert more["own:s1:fly:left"] > shares["own:s1:fly:left"] > shares["a-fly"] > 0
    assert twice.covariance[1, 1] < once.covariance[1, 1]


@given(st.floats(1e-3, 1e3), st.permutations(range(4)))
def test_unit_and_order_of_own_rows_change_nothing(
    pooled: PooledHead, factor: float, order: list[int]
) -> None:
    """The usual error is in points of %MVIC, so that the unit is free where repeats decide alone."""
    measured = [("press", 50), ("fly", 45), ("raise", 20), ("fly", 40)]

    def rows(scale: float) -> list[OwnRow]:
        errors = {"sd": 6 * scale, "sem": 5 * scale, "sem_degrees": 10**15}
        return [own(name, mean * scale, **errors) for name, mean in measured]

    before, after = athlete(pooled, *rows(1)), athlete(pooled, *(rows(factor)[at] for at in order))
    assert after.theta == pytest.approx(before.theta, abs=1e-6)
    assert after.covariance == pytest.approx(before.covariance, abs=1e-6)


def test_a_person_who_is_told_to_vary_little_moves_little(pooled: PooledHead) -> None:
    rows = [own("press", 50), own("fly", 90)]
    stiff, loose = (update_with_own_rows(pooled, rows, OwnRowSettings(person_spread=s)) for s in (1e-6, 2.0))
    assert pooled.theta[1] < stiff.theta[1] < loose.theta[1] < np.log(90 / 50)


@pytest.mark.parametrize("repeated", [0, 1, 3])
def test_ninety_percent_ranges_hold_nine_in_ten(pooled: PooledHead, repeated: int) -> None:
    """600 simulated athletes, four exercises, sets that differ by 12 points; none, one or three done twice."""
    draw, inside = np.random.default_rng(repeated), []
    truths = draw.multivariate_normal(pooled.theta, pooled.covariance + PERSONS, 600)
    for truth in truths:
        sets = 60 * np.exp(truth)[:, None] + 12 * draw.standard_normal((4, 2))
        twice = np.arange(4) < repeated
        sem = float(np.sqrt(np.var(sets[twice], axis=1, ddof=1).mean())) if repeated else None
        means = np.where(twice, sets.mean(axis=1), sets[:, 0]).clip(1)
        errors = {"sd": None, "sem": sem, "sem_degrees": repeated}
        after = athlete(pooled, *(own(name, mean, **errors) for name, mean in zip(KIN, means, strict=True)))
        distances = (truth - after.theta)[1:] / np.sqrt(np.diag(after.covariance)[1:])
        inside += list(np.abs(distances) <= 1.645)
    assert 0.86 <= np.mean(inside) <= 0.94
