"""The sums themselves, at points worked out by hand or printed elsewhere."""

import math

import pytest

from planner.verify.asked import Asked
from planner.verify.case import once
from planner.verify.printed import missed_price
from planner.verify.sums import by_activation, by_movers, exercise_seconds, expected, lowering_weight

# floor 4, target 10: midway is 7
PRICES = ((10, 0), (12, 0), (9, 1), (7, 3), (6, 5), (4, 9), (3, 13), (0, 25))


@pytest.mark.parametrize("priority", [1, 2.5])
@pytest.mark.parametrize(("total", "price"), PRICES)
def test_a_missed_set_costs_more_the_lower_the_dose_times_its_priority(total, price, priority, make_week):
    wish = Asked(floor=4, target=10, ceiling=20, priority=priority, sessions=2, must=False)
    assert missed_price(make_week().case(), total, wish) == pytest.approx(priority * price)


def test_minutes_of_the_published_example_and_of_two_warmed_up_sides(make_week):
    """Training facts §14: set-up 60, one warm-up set of 65 s, 4 × 10 × 4 s, rest 120: 645 s = 10.75 min.

    One warm-up set of 65 s a side: 3·142 + 54 + 2·65 − 60 = 550 s.
    """
    case = make_week().change({"document.sessions.0.exercises.2.warmup_sets": 1}).case()
    assert [exercise_seconds(case, case.document.sessions[0].exercises[n]) for n in (0, 2)] == [645, 550]


# golden values of the closed form, where the recheck integrates
GOLDEN = ((1.0, 0.35, 0.886029), (0.92, 0.35, 0.851197), (0.634, 0.229, 0.648525), (0.4, 0.35, 0.373437))


@pytest.mark.parametrize(("ratio", "s", "worth"), [*GOLDEN, (0.3, 0.35, 0.203088)])
def test_a_set_is_worth_what_is_expected_of_it(ratio, s, worth):
    assert expected(math.log(ratio), s, 0.3) == pytest.approx(worth, abs=1e-6)


def test_the_limited_expected_value_of_a_lognormal():
    """E[min(X, 10)] of ln X ~ N(3, 4²) is 6.586682 (from memory); here in units of 10, and from near 0 on."""
    assert 10 * expected(3 - math.log(10), 4, 1e-9) == pytest.approx(6.586682, abs=0.02)


def test_a_sure_ratio_gives_itself_never_more_than_one_nothing_below_its_floor():
    assert [expected(math.log(r), 0.0, 0.3) for r in (1.4, 0.5, 0.3, 0.29)] == pytest.approx([1, 0.5, 0.3, 0])


def test_lowering_weighs_what_the_coach_says(make_week):
    """w = ((1 − 0.7) + 1.25·0.7) / (0.5 + 1.25·0.5) = 1.175 / 1.125."""
    week = make_week()
    assert lowering_weight(week.case(), "slow_raise") == pytest.approx(1)
    week.document["made_with"]["method"]["eccentric_weight"] = 1.25
    assert lowering_weight(week.case(), "slow_raise") == pytest.approx(1.175 / 1.125)
    assert lowering_weight(week.case(), "press") == pytest.approx(1)
    assert by_activation(week.case(), "slow_raise", "side") == pytest.approx(0.9 * 1.175 / 1.125)


def test_movers_count_whole_half_or_nothing(make_week):
    week = make_week()
    week.ratios = {"side": {"press": 0.7, "raise": 0.4, "cable_fly": 0.39}}
    assert [by_movers(week.case(), key, "side") for key in ("press", "raise", "cable_fly")] == [1, 0.5, 0]


def test_a_sum_is_done_once_for_a_case_and_its_kin(make_week):
    done = []

    @once
    def doubled(case, word):
        done.append((case.document.athlete, word))
        return word * 2

    case, other = make_week().case(), make_week().change({"document.athlete": "Other"}).case()
    for one in (case, case, case.with_sessions({}), other):
        assert [doubled(one, "a"), doubled(one, "b")] == ["aa", "bb"]
    assert done == [("Test Athlete", "a"), ("Test Athlete", "b"), ("Other", "a"), ("Other", "b")]
