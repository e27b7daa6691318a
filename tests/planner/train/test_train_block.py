"""The weeks of a block: names, targets, effort, and which are lighter."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from library.errors import FaultyInput
from planner.athlete.brief import Block
from planner.athlete.targets import HeadTarget
from planner.method import TRAIN
from planner.train.block import block_week, for_skill, marks_of, next_target, reserve_of

FIRST = "2026-W40"
STEADY = Block()
SIXTH = TRAIN.but(lighter_every_weeks=6)


def side(floor, target, ceiling):
    return HeadTarget("side", floor, target, ceiling, priority=1, sessions=None, must=False)


def laid_out(weeks, ramp=0.0, dose=None, block=STEADY, settings=TRAIN):
    marks = marks_of(FIRST, weeks, ramp, block, settings).values()
    targets = {"side": dose or side(6, 10, 20)}
    return [block_week(targets, mark, block, 2, 2, settings) for mark in marks]


def targets(weeks, ramp, settings=TRAIN):
    return [week.targets["side"].target for week in laid_out(weeks, ramp, settings=settings)]


def test_all_is_steady_unless_the_coach_asks():
    weeks = laid_out(8)
    assert {(week.targets["side"].target, week.rir, week.lighter) for week in weeks} == {(10, 2, False)}


def test_the_brief_names_reserve_lighter_weeks_and_weeks_away():
    block = Block(reserve=(3, 2, 2, 1), lighter=("2026-W43",), away=("2026-W41",))
    assert list(marks_of(FIRST, 4, 0.0, block)) == ["2026-W40", "2026-W42", "2026-W43", "2026-W44"]
    weeks = laid_out(4, block=block)
    assert [week.rir for week in weeks] == [3, 2, 4, 1]
    assert [week.targets["side"].target for week in weeks] == [10, 10, 5, 10]
    marks = marks_of(FIRST, 2, 0.0, Block(away=(FIRST,)))  # a block never begins with a week away
    assert [(name, of.first) for name, of in marks.items()] == [(f"2026-W{n}", "2026-W41") for n in (41, 42)]


def test_a_reserve_list_shorter_than_the_block_is_refused_by_name():
    with pytest.raises(FaultyInput) as refused:
        marks_of(FIRST, 3, 0.0, Block(reserve=(2, 2)))
    (fault,) = refused.value.faults
    assert (fault.file, fault.where) == ("brief.toml", "block.reserve")


def test_a_step_holds_two_hard_weeks_and_the_ramp_ends_below_the_ceiling():
    # a lighter week halves the step before it
    assert targets(9, 0.20, SIXTH) == [10, 10, 12, 12, 14, 7, 14, 16, 16]
    assert max(targets(26, 0.20)) == 19
    # a head that is not trained stays so
    assert {week.targets["side"].target for week in laid_out(5, 0.2, side(0, 0, 0))} == {0}


def test_one_in_reserve_is_not_for_who_has_not_practised():
    assert [for_skill(rir, skill) for rir, skill in ((1, 1), (1, 2), (1, 3), (3, 1))] == [2, 1, 1, 3]


@given(target=st.floats(1, 40), share=st.floats(0, 0.5))
def test_a_step_is_whole_and_never_above_twenty_percent_or_one_set(target, share):
    assert target - 1 < next_target(target, share) <= max(target + 1, 1.2 * target) + 1e-9


@given(target=st.floats(1, 30), room=st.floats(0, 20), weeks=st.integers(1, 24), share=st.floats(0, 0.2))
def test_hard_weeks_never_fall_and_never_come_to_the_ceiling(target, room, weeks, share):
    dose = side(target / 2, target, target + room)
    laid = laid_out(weeks, share, dose, settings=SIXTH)
    hard = [week.targets["side"].target for week in laid if not week.lighter]
    assert hard == sorted(hard)
    assert max(hard) <= max(dose.ceiling - 1, target)


@pytest.mark.parametrize(("named", "asked"), [
    ((), [2, 2, 2, 2, 2, 4]),
    ((3, 3, 2, 2, 1, 4), [3, 3, 2, 2, 1, 4]),
    ((3, 3, 2, 2, 1, 1), [3, 3, 2, 2, 1, 4]),
])  # fmt: skip
def test_what_each_week_of_a_block_asked_in_reserve(named, asked):
    marks = marks_of(FIRST, 6, 0.0, STEADY, SIXTH)
    assert [reserve_of(mark, Block(reserve=named), 2) for mark in marks.values()] == asked
