"""Credit: ratios paid as direct sets, by the design's numbers, by draws and by published formulas."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from library.credit import expected_credit, movers_credit
from library.method import CreditSettings

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
