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


def test_ten_percent_up_is_allowed():
    # ACSM 2009: raise 2-10 %; 20 → 22 kg is +10 %
    answer = next_load(done(20, 12, 2), press(), gym_with(20, 22, 24), (8, 12), 2)
    assert (answer.load, answer.reps) == (22, (8, 12))


def test_twenty_percent_up_waits_for_repetitions():
    # ACSM 2009: 10 → 12 kg is +20 %: more repetitions first
    answer = next_load(done(10, 12, 0), press(), gym_with(8, 10, 12), (8, 12), 0)
    assert (answer.load, answer.reps) == (10, (12, 15))


def test_less_than_two_percent_is_no_step():
    # ACSM 2009: raise 2-10 %; 100 → 101 kg is +1 %
    assert next_load(done(100, 12, 2), press(), gym_with(100, 101, 102.5), (8, 12), 2).load == 102.5


def test_four_percent_for_a_point_too_hard():
    # Helms et al. 2018: 4 % for each RPE point off; asked RPE 9, rated 10 at 60 kg → 57.6 kg
    answer = next_load(done(60, 8, 0), press(), gym_with(55, 57.6, 60), (8, 12), 1)
    assert answer.load == pytest.approx(57.6)


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
