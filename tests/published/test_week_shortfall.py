"""Expected shortfall against closed forms, and against the definition as the least over eta. R. T. Rockafellar, S.
Uryasev: Optimization of conditional value-at-risk. Journal of Risk 2 (2000) 21-41: the mean beyond a quantile is min
over eta of eta + E[max(0, X - eta)] / (1 - a). R. T. Rockafellar, S. Uryasev: Conditional value-at-risk for general
loss distributions. Journal of Banking & Finance 26 (2002) 1443-1471: where an atom stands at the quantile, a part of
it counts. Closed forms, by integrating the quantile function: normal mu + sigma·phi(z_a)/(1 - a), uniform on [0, 1]
(1 + a)/2, exponential with mean 1: 1 - ln(1 - a)."""

import math

import numpy as np
import pytest

from planner.week.interval import expected_shortfall

DRAWS = 200_000
LEVELS = (0.0, 0.2, 0.5, 0.8, 0.95, 0.99)


def test_normal_and_the_tables_at_95_and_99_per_cent():
    """2.063 and 2.665 standard deviations: phi(1.645)/0.05 and phi(2.326)/0.01."""
    from scipy.stats import norm

    values = 3 + 2 * norm.ppf((np.arange(DRAWS) + 0.5) / DRAWS)  # its quantiles, no dice
    for level in LEVELS[1:]:
        closed = 3 + 2 * norm.pdf(norm.ppf(level)) / (1 - level)
        assert expected_shortfall(values, level) == pytest.approx(closed, abs=0.002)
    assert (expected_shortfall(values, 0.95) - 3) / 2 == pytest.approx(2.063, abs=0.001)
    assert (expected_shortfall(values, 0.99) - 3) / 2 == pytest.approx(2.665, abs=0.001)


@pytest.mark.parametrize("level", LEVELS)
def test_uniform_and_exponential(level):
    places = (np.arange(DRAWS) + 0.5) / DRAWS
    assert expected_shortfall(places, level) == pytest.approx((1 + level) / 2, abs=1e-4)
    waits = -np.log(1 - places)
    assert expected_shortfall(waits, level) == pytest.approx(1 - math.log(1 - level), abs=0.01)


def test_a_part_of_an_atom_counts_as_in_the_worked_example():
    """Half of the draws are 0 and half are 1: the worst 80 % hold all the ones and three zeros of five."""
    values = np.array([0.0, 1.0] * 50)
    assert expected_shortfall(values, 0.2) == pytest.approx(0.5 / 0.8)
    assert expected_shortfall(values, 0.5) == pytest.approx(1.0)
    # losses 0, 10, 100 with chances 0.90, 0.06, 0.04: at 0.95 a fifth of the atom at 10 counts: (1 + 4) / 0.05
    values = np.array([0.0] * 90 + [10.0] * 6 + [100.0] * 4)
    assert expected_shortfall(values, 0.95) == pytest.approx((0.01 * 10 + 0.04 * 100) / 0.05)
