"""Load steps, effort steps, volume steps and the lighter week against published worked cases."""

import datetime

import pytest

from library.schema import EccentricShare, Exercise, Stress, Tempo
from planner.athlete.brief import Block
from planner.athlete.gym import Gym
from planner.athlete.targets import HeadTarget
from planner.document import BlockMark
from planner.log.record import LoggedSet
from planner.train.block import block_week, next_target
from planner.train.progression import next_load


def press():
    return Exercise(
        key="press", name="press", family="overhead_press", implement="barbell", needs=("barbell",),
        position="standing", multi_joint=True, load_is="total", load_from="barbell",
        tempo=Tempo(lift=1, lower=2), reps=(8, 12), rest_seconds=120, setup_seconds=60, warmup_sets=1,
        eccentric_share=EccentricShare(value=0.5, basis="not measured"), cues=("Ribs down.",),
        stress={"subacromial": Stress(grade=2, reason="overhead", source="coaching convention, no source")},
    )  # fmt: skip


def done(load, reps, rir):
    return [
        LoggedSet(datetime.date(2026, 11, 2), "Mon", "press", number, load, "kg", reps, rir, gym="club")
        for number in (1, 2, 3)
    ]


def gym_with(*loads):
    return Gym.model_construct(unit="kg", equipment=("barbell",), loads={"barbell": loads})


# ACSM 2009: raise 2-10 %; Helms et al. 2018: 4 % for each RPE point off
@pytest.mark.parametrize(("last", "loads", "reserve", "load", "reps"), [
    ((20, 12, 2), (20, 22, 24), 2, 22, (8, 12)),  # +10 % is allowed
    ((10, 12, 0), (8, 10, 12), 0, 10, (12, 15)),  # +20 %: more repetitions first
    ((100, 12, 2), (100, 101, 102.5), 2, 102.5, (8, 12)),  # +1 % is no step
    ((60, 8, 0), (55, 57.6, 60), 1, 57.6, (8, 12)),  # asked RPE 9, rated 10: 4 % less
])  # fmt: skip
def test_a_step_of_load(last, loads, reserve, load, reps):
    answer = next_load(done(*last), press(), gym_with(*loads), (8, 12), reserve)
    assert (answer.load, answer.reps) == (pytest.approx(load), reps)


# Scarpelli et al. 2022: at most 20 % above what is done; always one set (our choice), whole sets
@pytest.mark.parametrize(("now", "then"), [(10, 12), (4, 5), (15, 18), (16, 19)])
def test_twenty_percent_a_step(now, then):
    assert next_target(now, 0.20) == then


def test_lighter_week_halves_sets_and_leaves_two_more_in_reserve():
    # Rogerson et al. 2024 (every 5.6 weeks, same exercises); the cut is taper practice: 16 sets at 2 → 8 at 4
    side = HeadTarget("side", 6, 16, 20, priority=1, sessions=None, must=False)
    mark = BlockMark(first="2026-W40", number=6, of=6, lighter=True)
    week = block_week({"side": side}, mark, Block(lighter=("2026-W45",)), 2, 2)
    lighter = week.targets["side"]
    assert (lighter.floor, lighter.target, lighter.ceiling) == (3, 8, 20)
    assert (week.rir, week.smallest_block) == (4, 1)
