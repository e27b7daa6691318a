"""How sure the dose is: seeded draws of activation ratios through the same set credit."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from planner.week.filed import library_ratios
from planner.week.sure import draw_doses, draw_ratios, how_sure

from library.method import CreditSettings
from library.pool import pool_library
from library.pooled_head import PooledHead
from library.read import Library
from planner.athlete.brief import Brief
from planner.athlete.targets import weekly_targets
from planner.method import AthleteSettings, WeekSettings
from planner.model.build import credits_of
from planner.model.inputs import Inputs

ANCHOR, FACE_PULL = "standing_dumbbell_lateral_raise", "cable_face_pull"


@pytest.fixture(scope="module")
def pooled(library: Library) -> dict[str, PooledHead]:
    return dict(pool_library(library))


def inputs(library: Library, draws: int = 4000, **brief: Any) -> Inputs:
    facts: dict[str, Any] = {
        "athlete": {"name": "Somebody"},
        "session": [{"day": "Mon", "minutes": 40, "gym": "club"}],
    }
    asked = Brief.model_validate(facts | brief)
    targets, _ = weekly_targets(asked, library, AthleteSettings())
    week = WeekSettings(draws=draws, counting=asked.method.get("counting", "activation"))
    return Inputs(library, asked, {}, targets, library_ratios(library), week, CreditSettings())


def test_the_anchor_is_sure(library: Library, pooled: dict[str, PooledHead]) -> None:
    side = how_sure(inputs(library), pooled, {ANCHOR: 8})["side"]
    assert (side.low90, side.high90) == pytest.approx((8.0, 8.0))
    assert (side.chance_floor, side.chance_target90) == (1.0, 1.0)


def test_draws_have_the_pooled_mean_and_spread(library: Library, pooled: dict[str, PooledHead]) -> None:
    rear = pooled["rear"]
    at = list(rear.exercises).index(FACE_PULL)
    logs = np.log(draw_ratios(rear, [FACE_PULL], 40_000, seed=1))[:, 0]
    spread = float(np.sqrt(rear.covariance[at, at]))
    assert np.mean(logs) == pytest.approx(float(rear.theta[at]), abs=4 * spread / 200)
    assert np.std(logs) == pytest.approx(spread, rel=0.02)


def test_draws_keep_what_exercises_share(library: Library, pooled: dict[str, PooledHead]) -> None:
    keys = ["machine_reverse_fly", "seated_bent_over_rear_raise"]
    side = pooled["side"]
    logs = np.log(draw_ratios(side, keys, 40_000, seed=1))
    at = [list(side.exercises).index(key) for key in keys]
    assert np.cov(logs.T) == pytest.approx(side.covariance[np.ix_(at, at)], abs=0.003)


def test_the_same_seed_gives_the_same_draws(library: Library, pooled: dict[str, PooledHead]) -> None:
    first, second = (draw_ratios(pooled["rear"], [FACE_PULL], 50, seed=7) for _ in range(2))
    assert (first == second).all()
    assert (first != draw_ratios(pooled["rear"], [FACE_PULL], 50, seed=8)).any()


def test_no_set_is_worth_more_than_one_or_less_than_none(
    library: Library, pooled: dict[str, PooledHead]
) -> None:
    doses = draw_doses(inputs(library), pooled["rear"], {FACE_PULL: 4})
    assert doses.shape == (4000,)
    assert doses.min() >= 0.0 and doses.max() == pytest.approx(4.0)
    # below the credit floor of 0.30 a neighbour's signal could have made it: nothing
    assert not ((doses > 0) & (doses < 4 * 0.30)).any()


def test_interval_and_chances_surround_the_point(library: Library, pooled: dict[str, PooledHead]) -> None:
    given = inputs(library)
    sure = how_sure(given, pooled, {FACE_PULL: 8})["rear"]
    point = 8 * credits_of(given, library.exercises[FACE_PULL])["rear"]
    assert sure.low90 < point < sure.high90
    assert 0 < sure.chance_target90 < sure.chance_floor <= 1


def test_elsewhere_is_drawn_too_and_capped_alike(library: Library, pooled: dict[str, PooledHead]) -> None:
    done: dict[str, Any] = {"elsewhere": {FACE_PULL: {"sets": 20}}}
    doses = draw_doses(inputs(library, **done), pooled["rear"], {})
    assert doses.max() == pytest.approx(4.0)  # half of the novice's 8
    whole: dict[str, Any] = {"elsewhere": {FACE_PULL: {"sets": 20, "whole": True}}}
    assert draw_doses(inputs(library, **whole), pooled["rear"], {}).max() == pytest.approx(20.0)


def test_movers_draw_ones_halves_and_nothing(library: Library, pooled: dict[str, PooledHead]) -> None:
    movers = inputs(library, method={"counting": "movers"})
    assert set(draw_doses(movers, pooled["rear"], {FACE_PULL: 2}).tolist()) <= {0.0, 1.0, 2.0}


def test_an_empty_week_gives_nothing(library: Library, pooled: dict[str, PooledHead]) -> None:
    sure = how_sure(inputs(library), pooled, {})
    assert {(one.low90, one.high90, one.chance_floor) for one in sure.values()} == {(0.0, 0.0, 0.0)}
