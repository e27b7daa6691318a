"""One-repetition maxima, the load chart and load rules against published values."""

import pytest

from planner.method import TrainSettings
from planner.train.loads import FORMULAS, one_repetition_maximum, repetitions_at

MOST = TrainSettings().formula_reps_most

# 50 kg x 8: printed by https://www.easycalculation.com/health/rm-calculator.php as whole kilograms (it cuts
# Wathan's 63.84 to 63); the decimals are the formulas' own arithmetic. Lander: form read in a forum list.
FIFTY_FOR_EIGHT = {
    "epley": (63.33, 63), "brzycki": (62.07, 62), "lombardi": (61.56, 62), "lander": (62.55, None),
    "mayhew": (63.14, 63), "oconner": (60.00, 60), "wathan": (63.84, 64),
}  # fmt: skip


@pytest.mark.parametrize("formula", FORMULAS)
def test_fifty_for_eight(formula):
    exact, printed = FIFTY_FOR_EIGHT[formula]
    value = one_repetition_maximum(50, 8, formula, MOST)
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
    got = [one_repetition_maximum(1, repetitions, name, MOST) for name in ORDER]
    assert got == pytest.approx(MULTIPLIERS[repetitions], abs=5e-5)
    # read backwards (to its fourth decimal): what multiplies so is what so many repetitions allow
    for name, multiplier in zip(ORDER, MULTIPLIERS[repetitions], strict=True):
        assert repetitions_at(1, multiplier + 1e-4, name, 30) == repetitions, name


# 110 x 5 restated as the load for 12 repetitions (secondary worked example, recomputed)
@pytest.mark.parametrize(
    ("formula", "load"),
    [("epley", 91.67), ("brzycki", 85.94), ("lombardi", 100.78), ("oconner", 95.19), ("wathan", 90.63)],
)
def test_five_restated_at_twelve(formula, load):
    twelve = one_repetition_maximum(110, 5, formula, MOST) / one_repetition_maximum(1, 12, formula, MOST)
    assert twelve == pytest.approx(load, abs=0.01)


@pytest.mark.parametrize("formula", FORMULAS)
def test_one_repetition_is_the_load_itself_and_above_twelve_is_refused(formula):
    # the raw forms give 1.033 (Epley) or 1.089 (Mayhew) times the load at one repetition
    assert one_repetition_maximum(72.5, 1, formula, MOST) == 72.5
    with pytest.raises(ValueError, match="13 repetitions"):
        one_repetition_maximum(50, 13, formula, MOST)


def test_twelve_after_ten_by_ten():
    # 10 kg x 12 by Epley is 14.0; at 12 kg that leaves 30 (14/12 − 1) = 5 repetitions (arithmetic on Epley)
    assert one_repetition_maximum(10, 12, "epley", MOST) == pytest.approx(14.0)
    assert repetitions_at(12, 14.0, "epley", 30) == 5


def test_where_a_curve_has_no_end_nor_have_repetitions():
    # Mayhew's % of maximum falls to 52.2, Wathen's to 48.8: a load at or below that is lifted for ever
    assert repetitions_at(52.2, 100, "mayhew", 30) == 30
    assert repetitions_at(48.8, 100, "wathan", 30) == 30
    assert repetitions_at(101, 100, "epley", 30) == 0
