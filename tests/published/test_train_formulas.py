"""One-repetition maxima against published values."""

import pytest

from planner.train.loads import FORMULAS

# 50 kg x 8: printed by https://www.easycalculation.com/health/rm-calculator.php as whole kilograms (it cuts
# Wathan's 63.84 to 63); the decimals are the formulas' own arithmetic. Lander: form read in a forum list.
FIFTY_FOR_EIGHT = {
    "epley": (63.33, 63), "brzycki": (62.07, 62), "lombardi": (61.56, 62), "lander": (62.55, None),
    "mayhew": (63.14, 63), "oconner": (60.00, 60), "wathan": (63.84, 64),
}  # fmt: skip


@pytest.mark.parametrize("formula", FORMULAS)
def test_fifty_for_eight(formula):
    exact, printed = FIFTY_FOR_EIGHT[formula]
    value = 50 * FORMULAS[formula](8)
    assert value == pytest.approx(exact, abs=0.005)
    assert printed is None or round(value) == printed


# multiplier tables of the seven formulas; rows 3, 5, 8, 10, 12 agree with a secondary copy to four decimals
MULTIPLIERS = {
    3: (1.1000, 1.0588, 1.1161, 1.0720, 1.1399, 1.0750, 1.0898),
    5: (1.1667, 1.1250, 1.1746, 1.1371, 1.1901, 1.1250, 1.1658),
    8: (1.2667, 1.2414, 1.2311, 1.2511, 1.2629, 1.2000, 1.2767),
    10: (1.3333, 1.3333, 1.2589, 1.3407, 1.3093, 1.2500, 1.3475),
    12: (1.4000, 1.4400, 1.2821, 1.4441, 1.3540, 1.3000, 1.4150),
}
ORDER = ("epley", "brzycki", "lombardi", "lander", "mayhew", "oconner", "wathan")


@pytest.mark.parametrize("repetitions", MULTIPLIERS)
def test_multiplier_table(repetitions):
    got = [FORMULAS[name](repetitions) for name in ORDER]
    assert got == pytest.approx(MULTIPLIERS[repetitions], abs=5e-5)
