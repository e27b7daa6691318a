"""Ratios paid as credit, by the design's numbers and by draws; own rows against a dense formula."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from library.credit import expected_credit, movers_credit
from library.method import CreditSettings, PoolSettings
from library.pool import error_variance, for_athlete, own_row_variance, pool_head, update_with_own_rows
from library.schema import OwnRow

FREE = CreditSettings().but(credit_floor=1e-300, least_credit=0.0)  # no edge below


def paid(ratios):
    """Pay by the rule itself, draw by draw."""
    return np.where(ratios < 0.30, 0.0, np.minimum(1.0, ratios))


@pytest.mark.parametrize(("ratio", "share", "weight", "credit"), [
    (0.29, 0.5, 1.0, 0.0),  # a neighbour's signal could make it
    (0.30, 0.5, 1.0, 0.30),
    (0.85, 0.7, 1.0, 0.85),  # lowering is not priced by default
    (1.20, 0.5, 1.0, 1.0),  # a set is at most one direct set …
    (1.20, 0.6, 1.25, 1.0 * (0.4 + 0.75) / (0.5 + 0.625)),  # … before lowering is priced
    (0.80, 0.4, 1.25, 0.8 * (0.6 + 0.5) / 1.125),
])  # fmt: skip
def test_a_known_ratio_is_paid_by_the_plain_rule(ratio, share, weight, credit):
    rule = CreditSettings().but(eccentric_weight=weight)
    assert expected_credit(math.log(ratio), 0.0, share, rule) == pytest.approx(credit)


@pytest.mark.parametrize(("ratio", "error", "credit"), [
    (1.00, 0.35, 0.886029), (0.92, 0.35, 0.851197), (0.634, 0.229, 0.648525), (0.40, 0.35, 0.373437),
    (0.30, 0.35, 0.203088),
])  # fmt: skip
def test_the_numbers_of_the_design(ratio, error, credit):
    assert expected_credit(math.log(ratio), error, 0.5) == pytest.approx(credit, abs=1e-6)


def test_limited_expected_value_of_a_lognormal():
    """R package actuar, levlnorm(10, 3, 4) = 6.586682: a loss limited at 10, log mean 3, log SD 4."""
    assert 10 * expected_credit(3 - math.log(10), 4.0, 0.5, FREE) == pytest.approx(6.586682, abs=1e-6)


def test_the_best_of_three_disappoints_unless_expected():
    """Smith & Winkler 2006, doi 10.1287/mnsc.1050.0451: three equal alternatives, errors N(0, 1), 0.846. What a plan
    promises for the best of three is the mean of what it then gets, if it pays expectations."""
    noise = np.random.default_rng(7).standard_normal((40_000, 3))
    assert noise.max(axis=1).mean() == pytest.approx(3 / (2 * math.sqrt(math.pi)), abs=0.02)
    assert 3 / (2 * math.sqrt(math.pi)) == pytest.approx(0.846, abs=5e-4)
    error = 0.35
    read = noise[:2_000] * 0.3  # log ratios, as they are read
    best = read.argmax(axis=1)
    truth = np.exp(read.max(axis=1)[:, None] + error * np.random.default_rng(8).standard_normal((2_000, 50)))
    promised = np.array([expected_credit(row[at], error, 0.5) for row, at in zip(read, best, strict=True)])
    likeliest = paid(np.exp(read.max(axis=1)))
    assert promised.mean() == pytest.approx(paid(truth).mean(), abs=0.005)
    assert likeliest.mean() > paid(truth).mean() * 1.02


@settings(max_examples=25, deadline=None)
@given(st.floats(-1.5, 0.8), st.floats(0.0, 0.9))
def test_it_is_the_mean_of_its_own_draws(log_ratio, error):
    drawn = np.random.default_rng(1).standard_normal(200_000)
    mean = paid(np.exp(log_ratio + error * drawn)).mean()
    rule = CreditSettings().but(least_credit=0.0)
    if abs(log_ratio - math.log(0.30)) > 1e-9:
        assert expected_credit(log_ratio, error, 0.5, rule) == pytest.approx(mean, abs=0.004)


def test_next_to_nothing_is_nothing_and_movers_count_whole_half_and_nothing():
    few, some = (expected_credit(math.log(ratio), 0.3, 0.5) for ratio in (0.19, 0.22))
    assert few == 0 and some >= 0.05
    assert [movers_credit(profile) for profile in (0.39, 0.40, 0.69, 0.70, 1.3)] == [0, 0.5, 0.5, 1, 1]
    mine = CreditSettings().but(credit_floor=0.5, movers_direct=0.9, movers_indirect=0.8, movers_part=0.32)
    assert expected_credit(math.log(0.49), 0.0, 0.5, mine) == 0
    assert [movers_credit(profile, mine) for profile in (0.79, 0.85, 0.95)] == [0, 0.32, 1]


@given(st.floats(-3, 3), st.floats(0, 1), st.floats(0, 2))
def test_an_even_repetition_has_no_eccentric_correction(mean, error, weight):
    priced = CreditSettings().but(eccentric_weight=weight)
    assert expected_credit(mean, error, 0.5, priced) == pytest.approx(expected_credit(mean, error, 0.5))


@given(st.floats(-3, 3), st.floats(-3, 3), st.floats(0, 1.5), st.floats(0, 1))
def test_more_activation_is_never_worth_less(one, other, error, share):
    low, high = sorted((one, other))
    assert expected_credit(low, error, share) <= expected_credit(high, error, share) + 1e-12
    assert movers_credit(math.exp(low)) <= movers_credit(math.exp(high))


# ---
USUAL = {"session": "s1", "head": "front", "side": "left", "metric": "mean activation"}
USUAL |= {"unit": "percent_MVIC", "sd": 6.0, "repetitions": 8, "sets": 1, "sem": 5.0, "sem_degrees": 1}


def Own(exercise, mean, **more):
    return OwnRow.model_construct(exercise=exercise, mean=mean, **{**USUAL, **more})


@pytest.fixture(scope="module")
def pooled(make_row):
    rows = [
        make_row("a", "press", 60), make_row("a", "fly", 30), make_row("a", "raise", 20),
        make_row("b", "press", 50), make_row("b", "raise", 30),
    ]  # fmt: skip
    return pool_head("front", "press", ("press", "fly", "raise"), rows, PoolSettings())


def test_variance_is_spread_over_repetitions_and_an_estimated_error_has_students_t():
    """One repeated pair (one degree of freedom) weighs a fifth beside the usual 12 points."""
    shrunk = (4 * 144 + 25) / 5
    assert own_row_variance(Own("fly", 40)) == pytest.approx(36 / (8 * 1600) + shrunk / 1600)
    assert own_row_variance(Own("fly", 40, sem=None, sd=None)) == pytest.approx(144 / 1600)
    assert own_row_variance(Own("fly", 40, sd=None, sem_degrees=10**9)) == pytest.approx(25 / 1600)
    one, two = (own_row_variance(Own("fly", 50, sd=0, sem=None, sets=sets)) for sets in (1, 2))
    assert (one, two) == (pytest.approx((12 / 50) ** 2), pytest.approx(one / 2))  # of two sets their mean
    from scipy.stats import t

    for sem, degrees in ((None, 1), (5.0, 2), (5.0, 56)):
        row = Own("fly", 40, sem=sem, sem_degrees=degrees)
        wider = error_variance(row) / own_row_variance(row)
        assert wider == pytest.approx(t.var(4 + (degrees if sem else 0)))


def test_posterior_equals_the_dense_formula(pooled):
    """Independent route: one joint normal of theta and the session means, beta with a very wide prior."""
    own = [
        Own("press", 55), Own("fly", 44, sd=9), Own("raise", 30, session="s2", sem=None),
        Own("fly", 41, session="s2"), Own("fly", 39, session="s2", side="right", repetitions=5),
        Own("raise", 29, session="s2", side="right"),
    ]  # fmt: skip
    prior = np.zeros((5, 5))  # fly, raise, three betas
    prior[:2, :2] = pooled.covariance[1:, 1:] + 0.25**2 * np.eye(2)
    prior[2:, 2:] = 1e6 * np.eye(3)
    mean = np.concatenate([pooled.theta[1:], np.zeros(3)])
    lines = ["00100", "10100", "01010", "10010", "10001", "01001"]
    design = np.array([[float(cell) for cell in line] for line in lines])
    noise = np.diag([error_variance(row) for row in own])
    values = np.log([row.mean for row in own])
    gain = prior @ design.T @ np.linalg.inv(design @ prior @ design.T + noise)
    after = update_with_own_rows(pooled, own)
    assert after.theta[1:] == pytest.approx((mean + gain @ (values - design @ mean))[:2], abs=1e-5)
    assert after.covariance[1:, 1:] == pytest.approx((prior - gain @ design @ prior)[:2, :2], abs=1e-5)


@pytest.fixture(scope="module")
def shelf():
    """Press and fly of one family, the raise of another; nothing else of a library is needed here."""
    kin = {"press": "presses", "fly": "presses", "push": "presses", "raise": "raises"}
    return SimpleNamespace(exercises={key: SimpleNamespace(family=family) for key, family in kin.items()})


@pytest.fixture(scope="module")
def with_kin(make_row):
    means = {"press": 60, "fly": 30, "push": 40, "raise": 20}
    rows = [make_row("a", name, mean) for name, mean in means.items()]
    return {"front": pool_head("front", "press", tuple(means), rows, PoolSettings())}


def test_persons_differ_recorded_or_not(with_kin, shelf):
    """By hand: 0.25² on the diagonal, half of it between kin, nothing for the anchor or between families."""
    before, after = with_kin["front"], for_athlete(with_kin, shelf)["front"]
    kin = 0.0625 * np.array([[0, 0, 0, 0], [0, 1, 0.5, 0], [0, 0.5, 1, 0], [0, 0, 0, 1]])
    assert after.covariance == pytest.approx(before.covariance + kin)
    assert after.theta == pytest.approx(before.theta)
    assert after.rows == before.rows


def test_what_a_session_ties_gains_a_number_with_its_weights_and_a_lone_row_says_nothing(pooled):
    own = [Own("fly", 40), Own("swim", 20), Own("crawl", 9, session="s9")]
    after = update_with_own_rows(pooled, own)
    assert after.exercises == ("press", "fly", "raise", "swim")
    assert after.theta[3] == pytest.approx(after.theta[1] + np.log(20 / 40))
    assert after.untied == ("crawl",)
    assert after.covariance[3, 3] > after.covariance[1, 1]
    shares = update_with_own_rows(pooled, [Own("press", 50), Own("fly", 45)]).row_shares("fly")
    assert sum(shares.values()) == pytest.approx(1)
    assert shares["own:s1:fly:left"] > 0 and shares["a-fly"] > 0
    # its beta is free: without a second exercise there is no ratio
    before = update_with_own_rows(pooled, [])
    after = update_with_own_rows(pooled, [Own("fly", 5), Own("press", 80, side="right")])
    assert after.theta == pytest.approx(before.theta)
    assert after.covariance == pytest.approx(before.covariance)


@given(st.floats(1e-3, 1e3), st.permutations(range(4)))
def test_unit_and_order_of_own_rows_change_nothing(pooled, factor, order):
    """The usual error is in points of %MVIC, so that the unit is free where repeats decide alone."""
    measured = [("press", 50), ("fly", 45), ("raise", 20), ("fly", 40)]
    own = [Own(name, mean, sem_degrees=10**15) for name, mean in measured]
    more = {"sd": 6 * factor, "sem": 5 * factor, "sem_degrees": 10**15}
    scaled = [Own(measured[at][0], measured[at][1] * factor, **more) for at in order]
    before, after = update_with_own_rows(pooled, own), update_with_own_rows(pooled, scaled)
    assert after.theta == pytest.approx(before.theta, abs=1e-6)
    assert after.covariance == pytest.approx(before.covariance, abs=1e-6)
