"""A cautious week under recheck: sound as it stands, drawn anew, and what chance and few draws excuse."""

from dataclasses import replace

import numpy as np
import pytest
from cautious_week import RATIOS, cautious, sure_heads

from planner.method import Redraws
from planner.verify import caution
from planner.verify.caution import Redrawn, mean, worst_mean


def test_a_sound_cautious_week_passes(make_week):
    week = make_week().change(cautious())
    assert [str(finding) for finding in week.recheck()] == []


def test_its_dose_need_not_be_the_best_but_is_still_summed(make_week):
    week = make_week().change(cautious() | {"document.dose.0.planned": 9.0})
    assert any("planned dose of front" in str(finding) for finding in week.recheck())


def test_pairs_may_make_the_plain_week_shorter(make_week):
    changes = cautious(plain__minutes=25.0) | {"brief.preferences.paired": True}
    assert not list(caution.figures_stated(make_week().change(changes).case()))
    changes |= {"document.cautious.plain.minutes": 29.5}
    assert list(caution.figures_stated(make_week().change(changes).case()))


def test_a_bad_case_that_few_draws_make_is_held_to_nothing(make_week):
    changes = cautious(level=0.999, plain__judged_shortfall=1.0)
    assert not list(caution.draws_agree(make_week().change(changes).case()))


def redrawn(make_week, spread, redraws=1000, **more):
    week = make_week().change(cautious() | more)
    return Redrawn(week.case(), sure_heads(RATIOS, spread), Redraws(redraws=redraws))


def test_draws_are_lognormal_around_the_ratios_and_end_at_one(make_week):
    drawn = redrawn(make_week, 0.1, 50_000, **{"brief.elsewhere": {}})
    side = drawn.doses("side", 1, {"press": 2})
    assert np.median(side) == pytest.approx(1.0, abs=0.01)
    assert np.log(side / 2).std() == pytest.approx(0.1, abs=0.003)
    assert drawn.doses("side", 1, {"raise": 3}).max() == pytest.approx(3.0)
    faint = drawn.doses("front", 0, {"cable_fly": 3})  # a ratio of 0.1: a neighbour's signal
    assert faint.max() == 0.0


def test_movers_count_whole_half_or_nothing(make_week):
    drawn = redrawn(make_week, 0.3, **{"brief.elsewhere": {}, "document.made_with.counting": "movers"})
    assert set(drawn.doses("side", 1, {"press": 2}).tolist()) == {0.0, 1.0, 2.0}


def test_elsewhere_is_drawn_too_as_far_as_helping_counts_or_whole(make_week):
    part = redrawn(make_week, 0.3, **{"brief.elsewhere": {"bench_press": {"sets": 12}}})
    assert part.doses("front", 0, {}).max() == pytest.approx(4.0)  # 0.4·10
    whole = redrawn(make_week, 0.3, **{"brief.elsewhere": {"bench_press": {"sets": 12, "whole": True}}})
    assert whole.doses("front", 0, {}).max() == pytest.approx(12.0)


def test_missed_sets_are_priced_draw_by_draw(make_week):
    drawn = redrawn(make_week, 0.0)
    assert set(drawn.shortfalls({"press": 4, "raise": 3, "cable_fly": 3}).round(6).tolist()) == {19.35}
    # nothing at all: front has 2.4 elsewhere, so 3 + 2·3 + 4·1.6; side 2 + 2·2 + 4·4; rear 1.5 times that
    assert drawn.shortfalls({})[0] == pytest.approx(3 + 6 + 6.4 + 22 + 1.5 * 22)


def test_errors_are_those_of_means_of_draws():
    draws = np.random.default_rng(1).standard_normal((400, 1000))
    means, tails = [mean(one) for one in draws], [worst_mean(one, 0.8, 40) for one in draws]
    for found, value in ((means, 0.0), (tails, 1.39981)):  # phi(0.8416) / 0.2
        values = np.array([one[0] for one in found])
        assert values.mean() == pytest.approx(value, abs=0.01)
        assert np.mean([one[1] for one in found]) == pytest.approx(values.std(), rel=0.15)


def test_fewer_draws_than_asked_bear_no_figure():
    found = worst_mean(np.arange(100.0), 0.8, 21)
    assert np.isnan(found[0]) and np.isnan(found[1])
    assert worst_mean(np.arange(100.0), 0.8, 20)[0] == pytest.approx(89.5, abs=0.3)


def test_a_figure_may_lie_as_far_off_as_chance_allows(make_week):
    """With scattered ratios, the mean of 10,000 draws is not 6.2 to the last digit, and need not be."""
    week = make_week().change(cautious())
    case = replace(week.case(), pooled=sure_heads(RATIOS, 0.001))
    assert not [str(one) for one in caution.draws_agree(case) if "expected" not in str(one)]
    case = replace(week.case(), pooled=sure_heads(RATIOS, 0.4))
    assert any("bad case" in str(one) for one in caution.draws_agree(case))
