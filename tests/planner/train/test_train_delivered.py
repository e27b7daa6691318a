"""Delivered dose against planned."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_document import head_dose, line, small_document

from planner.log.record import LoggedSet, clearance
from planner.train.delivered import delivered_block, delivered_week, done_otherwise, left_open

PRESS, RAISE = "press", "raise"
CREDITS = {PRESS: {"front": 1.0, "side": 0.5}, RAISE: {"front": 0.2, "side": 1.0}}


def document(week="2026-W45"):
    """Monday: press 3, raise 2. Thursday: raise 4."""
    monday = [line(key, sets, credits=CREDITS[key]) for key, sets in ((PRESS, 3), (RAISE, 2))]
    thursday = [line(RAISE, 4, credits=CREDITS[RAISE])]
    dose = [head_dose("front", planned=4.2), head_dose("side", planned=7.5)]
    return small_document({"Mon": monday, "Thu": thursday}, week, dose=dose)


def done(exercise, count, day=2, reps=10):
    date = datetime.date(2026, 11, day)
    return [LoggedSet(date, "Mon", exercise, number, reps=reps) for number in range(1, count + 1)]


def test_what_a_week_left_open_is_said():
    found = delivered_week(document(), done(PRESS, 3) + done(RAISE, 3), {})
    assert found.adherence == pytest.approx(6 / 9)
    said = left_open(found, {"side": "side head"})
    assert "6 of 9" in said and "side head 4.5 of 7.5" in said and "not added" in said


def test_what_was_done_in_place_of_what_is_said_by_day(library):
    plan = small_document({"Mon": [line("seated_dumbbell_overhead_press", 3, trains="front")], "Thu": []})
    monday = datetime.date.fromisoformat(plan.week_start)
    keys = ("seated_barbell_overhead_press", "standing_dumbbell_lateral_raise")
    rows = [LoggedSet(monday, "Mon", key, 1, reps=8) for key in keys]
    assert list(done_otherwise(plan, rows, library)) == [
        "Mon: Seated barbell overhead press in place of seated_dumbbell_overhead_press",
        "Mon: Standing dumbbell lateral raise was not planned",
    ]
    earlier = rows[0]._replace(date=monday - datetime.timedelta(days=7))
    again = list(done_otherwise(plan, [*rows, earlier], library))
    assert [f'prefer = ["{keys[0]}"]' in line for line in again] == [True, False]


def test_which_sets_count_and_what_other_exercises_give(library):
    assert delivered_week(document(), done(PRESS, 3, day=8), {}).done_as_planned == 3  # on another day
    rows = [*done(PRESS, 1, reps=0), *done(PRESS, 2, day=3, reps=None)]  # stopped, not written
    rows += [*done(PRESS, 3, day=9), clearance(PRESS, datetime.date(2026, 11, 4))]  # the week after
    found = delivered_week(document(), rows, {})
    assert (found.done_as_planned, found.other_sets) == (0, 0)
    found = delivered_week(document(), done("fly", 2) + done("juggling", 1), {"fly": {"side": 0.25}})
    assert found.heads[1].delivered == pytest.approx(0.5) and found.other_sets == 3
    # a press in place of another is no help that is beyond its share
    plan = small_document({"Mon": [line(PRESS, 3, credits=CREDITS[PRESS], trains="front")]}, "2026-W45")
    over = head_dose("front", planned=3).model_copy(update={"beyond": 1.0})
    key = "seated_barbell_overhead_press"
    rows, credits = done(key, 3), {key: {"front": 1.0}}
    (front,) = delivered_week(plan.model_copy(update={"dose": (over,)}), rows, credits, library).heads
    assert front.delivered == 3


def test_a_block_adds_its_weeks():
    second = delivered_week(document("2026-W46"), done(PRESS, 3, day=9), {})
    both = delivered_block([delivered_week(document(), done(PRESS, 3), {}), second])
    assert both.weeks == ("2026-W45", "2026-W46")
    assert (both.planned_sets, both.done_as_planned) == (18, 6)
    assert both.heads[0].delivered == pytest.approx(6.0)


@given(press=st.integers(0, 8), raises=st.integers(0, 12))
def test_sets_are_dealt_once(press, raises):
    found = delivered_week(document(), done(PRESS, press) + done(RAISE, raises), {})
    assert found.done_as_planned + found.other_sets == press + raises
    assert found.done_as_planned == min(press, 3) + min(raises, 6)
    assert found.heads[1].delivered == pytest.approx(0.5 * press + raises)


def test_help_beyond_its_share_does_not_make_up_for_what_was_missed():
    lines = [line(PRESS, 4, credits=CREDITS[PRESS]), line(RAISE, 4, credits=CREDITS[RAISE], trains="side")]
    dose = head_dose("side", planned=5).model_copy(update={"beyond": 1.0})  # presses give 2, 1 counts
    week = small_document({"Mon": lines}, "2026-W45", dose=[dose])
    (side,) = delivered_week(week, done(PRESS, 4), {}).heads
    assert (side.planned, side.delivered) == (5, 1)
