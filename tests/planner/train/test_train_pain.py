"""What pain changes, and what it does not."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from library.errors import FaultyInput
from planner.athlete.brief import Block
from planner.athlete.targets import HeadTarget
from planner.log.record import LoggedSet, clearance
from planner.method import TRAIN
from planner.train.block import block_week, for_skill, marks_of, next_target, reserve_of
from planner.train.pain import PainState, is_rising, pain_rules

PRESS = "seated_dumbbell_overhead_press"
RAISE = "standing_dumbbell_lateral_raise"
MONDAY = datetime.date(2026, 11, 2)
LATER = datetime.date(2026, 12, 31)


def day(offset):
    return MONDAY + datetime.timedelta(days=offset)


def a_set(exercise=PRESS, days=0, number=1, **fields):
    return LoggedSet(date=day(days), session="Mon", exercise=exercise, set_number=number, reps=10, **fields)


def state(library, *rows):
    return pain_rules(rows, library, LATER)


def test_a_little_pain_soreness_or_pain_after_the_day_changes_nothing(library):
    for pain in (None, 0, 1, 2):
        assert state(library, a_set(pain=pain, kind="joint")) == PainState()
    assert pain_rules([a_set(pain=7)], library, MONDAY) == PainState()
    sore = [a_set(days=7 * w, pain=5 + w, kind="muscle", next_morning="not settled") for w in range(3)]
    assert state(library, *sore) == PainState()


@pytest.mark.parametrize("pain", [2.5, 3, 4, 5])
def test_three_to_five_eases_until_a_better_day(library, pain):
    sore = [a_set(pain=1), a_set(number=2, pain=pain, kind="joint"), a_set(number=3, pain=0)]
    found = state(library, *sore)
    assert (found.load_share(PRESS), found.load_share(RAISE)) == (0.8, 1.0)
    assert not found.out and not found.regions
    assert "20 % less load" in found.sheet_lines[0] and "1 set less" in found.sheet_lines[0]
    assert state(library, *sore, a_set(days=7, pain=1)).load_share(PRESS) == 1.0
    assert state(library, *sore, clearance(PRESS, day(1))).load_share(PRESS) == 1.0


@pytest.mark.parametrize("complaint", [
    {"pain": 6}, {"pain": 1, "kind": "sharp"}, {"kind": "numb"}, {"pain": 0, "kind": "slips"},
    {"pain": 2, "kind": "joint", "next_morning": "not settled"}, {"next_morning": "not settled"},
])  # fmt: skip
def test_out_until_cleared(library, complaint):
    sick = a_set(**complaint)
    found = state(library, sick, a_set(days=7, pain=0))
    assert found.is_out(PRESS) and found.load_share(PRESS) == 1.0  # out is not eased
    assert "See a doctor or physiotherapist" in found.sheet_lines[0]
    assert [line.exercise for line in found.lines] == ["", PRESS]  # on no sheet: the first one says it
    weeks_monday = [sick, clearance(PRESS, day(7))]
    assert not pain_rules(weeks_monday, library, day(7)).out and pain_rules(weeks_monday, library, day(6)).out
    cleared = state(library, sick, clearance(PRESS, day(3)))
    assert not cleared.out and not cleared.regions


def test_a_clearance_is_one_persons_and_the_named_region_falls_one_level(library):
    rows = [a_set(pain=7), clearance(RAISE, day(2)), a_set(RAISE, days=3, kind="sharp")]
    assert [item.exercise for item in state(library, *rows).out] == [PRESS, RAISE]
    # on the same day it counts after the lines above it
    assert not state(library, a_set(pain=7), clearance(PRESS, day(0))).out
    assert state(library, clearance(PRESS, day(0)), a_set(pain=7)).out
    found = state(library, a_set(pain=7, kind="joint", where="elbow"))
    assert list(found.regions) == ["elbow"]
    levels = ("clear", "careful", "avoid")
    assert [found.allowance("elbow", level) for level in levels] == ["careful", "avoid", "avoid"]
    assert found.allowance("neck", "clear") == "clear"


@pytest.mark.parametrize("where", ["", "somewhere in the shoulder"])
def test_unknown_where_lowers_every_region_stressed_enough(library, where):
    known = library.exercises.items()
    key = next(key for key, item in known if any(of.grade >= 2 for of in item.stress.values()))
    stressed = {region for region, item in library.exercises[key].stress.items() if item.grade >= 2}
    assert set(state(library, a_set(key, pain=7, where=where)).regions) == stressed


@pytest.mark.parametrize(("maxima", "rises"), [
    ((0, 1, 3), True), ((1, 2, 4), True), ((0, 1, 2), False), ((2, 2, 4), False), ((3, 4, 4), True),
    ((3, 3, 3), True), ((2, 3, 3), True), ((3, 4), True), ((2, 4), False), ((4, 3), False), ((4,), False),
    ((5, 3, 4), True), ((3, 4, 3), True), ((5, 4, 3), False), ((), False),
])  # fmt: skip
def test_rising_means_two_rises_and_three_at_last_or_two_weeks_that_do_not_ease(maxima, rises):
    assert is_rising(maxima) is rises


def test_rising_pain_of_an_exercise_or_a_region_is_told(library):
    rows = [a_set(days=7 * week, pain=pain, kind="joint") for week, pain in enumerate((1, 2, 4))]
    found = state(library, *rows)
    assert [(item.key, item.maxima) for item in found.rising] == [(PRESS, (1, 2, 4))]
    assert any("builds week on week (1, 2, 4)" in line for line in found.sheet_lines)
    # it rests until it was seen, with its family alone; cleared, it begins anew
    assert [(line.exercise, line.first_sheet, line.kind) for line in found.lines] == [
        ("", True, "out"), (PRESS, True, "out"),
    ]  # fmt: skip
    presses = {key for key, one in library.exercises.items() if one.family == library.exercises[PRESS].family}
    assert set(found.barred) == presses and not found.regions
    assert set(state(library, *rows, a_set(RAISE, days=21, pain=0)).barred) == presses  # and rests on
    again = state(library, *rows, a_set(days=21, pain=1))  # done all the same, better: nobody has cleared it
    assert set(again.barred) == presses and "done again on 2026-11-23" in again.sheet_lines[1]
    cleared = state(library, *rows, clearance(PRESS, day(20)))
    assert not cleared.barred and set(cleared.returning) == presses
    elbow = [a_set(RAISE, days=7, pain=2, where="elbow"), a_set(days=14, pain=3, where="elbow")]
    found = state(library, a_set(days=0, pain=0), *elbow)
    assert [item.key for item in found.rising] == ["elbow"]
    assert [line.exercise for line in found.lines if "builds" in line.text] == [""]


@pytest.mark.parametrize("rows", [
    [a_set(days=7 * week, pain=4, kind="joint") for week in (0, 1)], [a_set(days=7, pain=7, kind="sharp")],
])  # fmt: skip
def test_after_a_week_without_pain_the_day_of_the_last_and_how_it_is_cleared_are_said(library, rows):
    doctor, line = state(library, *rows).sheet_lines
    assert "on 2026-11-09" in line and "--cleared" not in doctor + line
    doctor, line = state(library, *rows, a_set(RAISE, days=16, pain=0)).sheet_lines
    assert "on 2026-11-09" in line and "up to 2026-11-18" in doctor and f"--cleared {PRESS}" in doctor
    hurts = state(library, *rows, a_set(RAISE, days=16, pain=0), a_set(RAISE, days=17, pain=4))
    assert "--cleared" not in hurts.sheet_lines[0]


def test_whom_to_see_is_said_once_and_small_pain_that_stays_is_told(library):
    sharp = {"pain": 6, "where": "elbow", "kind": "sharp", "next_morning": "not settled"}
    doctor, *lines = state(library, a_set(**sharp), a_set(RAISE, pain=8)).sheet_lines
    assert "doctor" in doctor and len(lines) == 2 and not any("doctor" in line for line in lines)
    for words in (
        library.regions["elbow"].name,
        "sharp pain, 6 of 10, not settled",
        "2026-11-02",
        "left out",
    ):
        assert words in lines[0]
    rows = [a_set(days=7 * week, pain=2, kind="joint") for week in range(3)]
    found = state(library, *rows)
    assert [of.maxima for of in found.small] == [(2, 2, 2)] and not found.barred and not found.rising
    assert not state(library, *rows[:2], a_set(days=14, pain=1)).small


pains = st.one_of(st.none(), st.integers(0, 10))
kinds = st.sampled_from(["", "muscle", "joint", "sharp", "numb", "slips"])


@given(st.lists(st.tuples(st.sampled_from([PRESS, RAISE]), st.integers(0, 40), pains, kinds), max_size=12))
def test_clearing_everything_leaves_nothing_out(library, rows):
    sets = [a_set(key, days=days, pain=pain, kind=kind) for key, days, pain, kind in rows]
    found = state(library, *sets, clearance(PRESS, day(41)), clearance(RAISE, day(41)))
    assert not found.out and not found.regions


# --- The weeks of a block: names, targets, effort, and which are lighter
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


def test_all_is_steady_unless_the_brief_names_reserve_lighter_weeks_and_weeks_away():
    weeks = laid_out(8)
    assert {(week.targets["side"].target, week.rir, week.lighter) for week in weeks} == {(10, 2, False)}
    block = Block(reserve=(3, 2, 2, 1), lighter=("2026-W43",), away=("2026-W41",))
    assert list(marks_of(FIRST, 4, 0.0, block)) == ["2026-W40", "2026-W42", "2026-W43", "2026-W44"]
    weeks = laid_out(4, block=block)
    assert [week.rir for week in weeks] == [3, 2, 4, 1]
    assert [week.targets["side"].target for week in weeks] == [10, 10, 5, 10]
    marks = marks_of(FIRST, 2, 0.0, Block(away=(FIRST,)))  # a block never begins with a week away
    assert [(name, of.first) for name, of in marks.items()] == [(f"2026-W{n}", "2026-W41") for n in (41, 42)]
    with pytest.raises(FaultyInput) as refused:
        marks_of(FIRST, 3, 0.0, Block(reserve=(2, 2)))
    (fault,) = refused.value.faults
    assert (fault.file, fault.where) == ("brief.toml", "block.reserve")


def test_a_step_holds_two_hard_weeks_and_one_in_reserve_is_not_for_a_novice():
    # a lighter week halves the step before it
    assert targets(9, 0.20, SIXTH) == [10, 10, 12, 12, 14, 7, 14, 16, 16]
    assert max(targets(26, 0.20)) == 19
    # a head that is not trained stays so
    assert {week.targets["side"].target for week in laid_out(5, 0.2, side(0, 0, 0))} == {0}
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
