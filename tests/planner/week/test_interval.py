"""How sure the dose is: seeded draws of this athlete's ratios through the same set credit, the plan held fixed."""

from dataclasses import replace

import numpy as np
import pytest
from small_athlete import BRIEF, TODAY, WEEK, make_folder, planned

from planner.model.build import build_problem
from planner.week.gather import gather
from planner.week.interval import draw_doses, draw_ratios, how_sure

ANCHOR, FACE_PULL, FLY = "standing_dumbbell_lateral_raise", "cable_face_pull", "machine_reverse_fly"
ELSEWHERE = '\n[elsewhere]\ncable_face_pull = 20\nbarbell_bench_press = { sets = 6, day = "Tue" }\n'


@pytest.fixture(scope="module")
def week(tmp_path_factory):
    return planned(make_folder(tmp_path_factory.mktemp("sure") / "kim", BRIEF + ELSEWHERE))


@pytest.fixture(scope="module")
def inputs(week):
    return week[0].inputs


def doses_of(inputs, head, sets):
    goal = next(one for one in build_problem(inputs).heads if one.head == head)
    return draw_doses(inputs, goal, sets)


def printed(document, head):
    return next(dose for dose in document.dose if dose.head == head)


def without_elsewhere(inputs):
    return replace(inputs, brief=inputs.brief.model_copy(update={"elsewhere": {}}))


@pytest.mark.parametrize("head", ["front", "side", "rear"])
def test_the_printed_dose_is_the_mean_of_its_draws(week, head):
    asked, document = week
    sets = {}
    for session in document.sessions:
        for line in session.exercises:
            sets[line.exercise] = sets.get(line.exercise, 0) + line.sets
    doses, dose = doses_of(asked.inputs, head, sets), printed(document, head)
    mean, error = float(doses.mean()), float(doses.std()) / len(doses) ** 0.5
    assert len(doses) == 10_000
    assert dose.planned + dose.elsewhere == pytest.approx(mean, rel=0.02)
    assert abs(dose.planned + dose.elsewhere - mean) <= 4 * error + 0.005
    assert dose.low90 == pytest.approx(float(np.quantile(doses, 0.05)), abs=1e-3)
    assert dose.high90 == pytest.approx(float(np.quantile(doses, 0.95)), abs=1e-3)
    assert dose.chance_floor == pytest.approx(float((doses >= dose.floor - 1e-6).mean()), abs=1e-4)


def test_the_anchor_is_sure_and_no_drawn_set_is_worth_more_than_one_or_a_neighbours_signal(inputs):
    alone = without_elsewhere(inputs)
    problem = build_problem(alone)
    side = how_sure(alone, problem, {ANCHOR: 8})["side"]
    assert (side.low90, side.high90, side.chance_floor) == pytest.approx((8.0, 8.0, 1.0))
    none = how_sure(alone, problem, {})
    assert {(one.low90, one.high90, one.chance_floor) for one in none.values()} == {(0.0, 0.0, 0.0)}
    alone = without_elsewhere(inputs)
    doses = doses_of(alone, "rear", {FACE_PULL: 4})
    assert doses.min() >= 0.0 and doses.max() == pytest.approx(4.0)
    assert not ((doses > 0) & (doses < 4 * 0.30)).any()


def test_draws_have_the_mean_spread_and_kinship_of_this_athletes_ratios(inputs):
    side, keys = inputs.profiles["side"], [FLY, "seated_bent_over_rear_raise"]
    at = [list(side.exercises).index(key) for key in keys]
    logs = np.log(draw_ratios(side, keys, 40_000, seed=1))
    assert np.cov(logs.T) == pytest.approx(side.covariance[np.ix_(at, at)], abs=0.004)
    assert logs.mean(axis=0) == pytest.approx(side.theta[at], abs=0.01)


def test_helping_counts_up_to_its_share_and_own_sets_elsewhere_cover_half_unless_whole(inputs, tmp_path):
    """Face pulls help the side: 20 sets elsewhere count for 0.4 of its 8 sets and no more."""
    doses = doses_of(inputs, "side", {})
    assert float(doses.mean()) == pytest.approx(0.4 * 8, rel=0.02)
    assert float(doses_of(inputs, "rear", {}).mean()) == pytest.approx(3.0, rel=0.02)  # half of 6
    whole = ELSEWHERE.replace("= 20", "= { sets = 20, whole = true }")
    free = gather(make_folder(tmp_path / "kim", BRIEF + whole), WEEK, TODAY).inputs
    credit = free.credit_of(free.library.exercises[FACE_PULL], "rear")
    assert float(doses_of(free, "rear", {}).mean()) == pytest.approx(20 * credit, rel=0.02)


def with_spread(profile, key, spread):
    at, wide = list(profile.exercises).index(key), profile.covariance.copy()
    wide[at, :], wide[:, at] = 0.0, 0.0
    wide[at, at] = spread**2
    return replace(profile, covariance=wide)


def test_an_exercise_of_which_nothing_is_known_changes_nothing_of_the_others(inputs):
    """A huge error of one ratio widens what it gives itself; a week without it stays as sure as it was."""
    wide = with_spread(inputs.profiles["rear"], FLY, 3.0)
    vague = replace(inputs, profiles={**inputs.profiles, "rear": wide})
    sets = {FACE_PULL: 4}
    before, after = (how_sure(of, build_problem(of), sets)["rear"] for of in (inputs, vague))
    assert (before.low90, before.high90) == pytest.approx((after.low90, after.high90))
    with_fly = how_sure(vague, build_problem(vague), {**sets, FLY: 4})["rear"]
    assert with_fly.low90 >= before.low90 - 0.05  # it may give nothing, and takes nothing away
    assert with_fly.high90 - with_fly.low90 > before.high90 - before.low90


def test_movers_draw_ones_halves_and_nothing(inputs):
    alone = without_elsewhere(inputs)
    movers = replace(alone, week=alone.week.but(counting="movers"))
    assert set(doses_of(movers, "rear", {FACE_PULL: 2}).round(6).tolist()) <= {0.0, 1.0, 2.0}
