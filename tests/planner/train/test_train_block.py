"""The weeks of a block."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.document import BlockMark
from planner.method import TRAIN
from planner.train.block import Dose, asked_reserve, block_weeks, is_lighter, next_target

SIDE = {"side": Dose(6, 10, 20)}


def targets(weeks: int, ramp: float) -> list[float]:
    return [week.doses["side"].target for week in block_weeks(SIDE, weeks, ramp_share=ramp)]


def test_steady_by_default_with_every_sixth_week_lighter() -> None:
    assert targets(8, 0.0) == [10, 10, 10, 10, 10, 5, 10, 10]


def test_a_step_holds_two_hard_weeks_and_a_lighter_week_halves_the_step_before_it() -> None:
    assert targets(9, 0.20) == [10, 10, 12, 12, 14, 7, 14, 16, 16]


def test_the_ceiling_ends_the_ramp() -> None:
    assert max(targets(30, 0.20)) == 20


def test_a_head_that_is_not_trained_stays_so() -> None:
    weeks = block_weeks({"front": Dose(0, 0, 0)}, 5, ramp_share=0.2)
    assert {week.doses["front"].target for week in weeks} == {0}


def test_effort_and_repetitions_by_week() -> None:
    weeks = block_weeks(SIDE, 7)
    assert [week.rir(2) for week in weeks] == [3, 2, 2, 2, 1, 4, 2]  # the last run is one week long
    assert [week.rir(0) for week in weeks] == [1, 0, 0, 0, 0, 2, 0]
    assert {week.reps((8, 12)) for week in weeks} == {(8, 12)}


def test_repetitions_may_fall_by_week() -> None:
    falling = replace(TRAIN, reps_less_each_week=2)
    weeks = block_weeks(SIDE, 7, settings=falling)
    assert [week.reps((8, 12)) for week in weeks][:3] == [(8, 12), (6, 10), (4, 8)]
    assert weeks[5].reps((8, 12)) == (8, 12)
    assert weeks[6].reps((8, 12)) == (8, 12)  # a new run begins anew
    assert weeks[4].reps((8, 12)) == (1, 4)


def test_no_lighter_week_if_the_coach_says_so() -> None:
    assert not any(is_lighter(number, replace(TRAIN, lighter_every_weeks=0)) for number in range(1, 20))


@pytest.mark.parametrize("ramp", [-0.1, 0.21])
def test_a_ramp_beyond_the_cap_is_refused(ramp: float) -> None:
    with pytest.raises(ValueError, match="20 %"):
        block_weeks(SIDE, 4, ramp_share=ramp)


def test_no_weeks_are_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        block_weeks(SIDE, 0)


@given(target=st.floats(1, 40), share=st.floats(0, 0.5))
def test_a_step_is_whole_and_never_above_twenty_percent_or_one_set(target: float, share: float) -> None:
    then = next_target(target, share)
    assert target < then + 1
    assert then <= max(target + 1, 1.2 * target) + 1e-9


@given(
    target=st.floats(1, 30),
    room=st.floats(0, 20),
    weeks=st.integers(1, 24),
    share=st.floats(0, 0.2),
)
def test_hard_weeks_never_fall_and_never_pass_the_ceiling(
    target: float, room: float, weeks: int, share: float
) -> None:
    dose = Dose(target / 2, target, target + room)
    laid = block_weeks({"side": dose}, weeks, ramp_share=share)
    hard = [week.doses["side"].target for week in laid if not week.lighter]
    assert hard == sorted(hard)
    assert max(hard) <= dose.ceiling
    assert [week.number for week in laid] == list(range(1, weeks + 1))


def test_what_each_week_of_a_block_asked_in_reserve() -> None:
    marks = {
        f"2026-W{39 + number}": BlockMark(first="2026-W40", number=number, of=7, lighter=number == 6)
        for number in range(1, 8)
    }
    assert list(asked_reserve(marks, 2).values()) == [3, 2, 2, 2, 1, 4, 2]
