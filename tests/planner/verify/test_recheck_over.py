"""Sessions that are over: what was done counts and breaks no limit, what was missed gives none."""

import pytest
from cautious_week import default

from planner.verify import limits, recheck

MON, THU = "document.sessions.0", "document.sessions.1"
DONE = {f"{MON}.state": "done"}

# each breaks Monday's plan (all of it or its press), and nothing of Thursday's
BROKEN_LATER = [
    (limits.within, {"brief.session.0.minutes": 20}),
    (limits.blocks, {f"{MON}.exercises.0.sets": 7}),
    (limits.admitted, {f"{MON}.exercises.0.exercise": "high_pull"}),
    (limits.admitted, {f"{MON}.exercises.0.exercise": "swung_raise"}),
    (limits.admitted, {f"{MON}.exercises.0.exercise": "slow_raise"}),
    (limits.pins, {"brief.preferences.pin": {"raise": {"day": "Mon", "sets": 4}}}),
    (recheck.replacements, {f"{MON}.exercises.0.instead.0.exercise": "high_pull"}),
]


@pytest.mark.parametrize(("check", "changes"), BROKEN_LATER, ids=lambda value: getattr(value, "__name__", ""))
def test_what_was_done_breaks_no_limit(check, changes, make_week):
    week = make_week().change(changes)
    assert list(check(week.case()))
    week.change(DONE)
    assert not list(check(week.case()))


def test_what_was_done_stands_above_a_budget_but_nothing_loud_is_added(make_week):
    week = make_week().change(default("joint_budget_careful", 10))
    week.change(DONE)
    assert list(limits.within(week.case()))  # Thursday adds to what is above it already
    week.change({THU + ".exercises": []})
    assert not list(limits.within(week.case()))
    week = make_week().change(default("trapezius_level", 0.4))
    assert list(limits.within(week.case()))
    week.change(DONE)
    week.change({THU + ".exercises": [week.first("cable_fly", 1)]})  # 0.3 of a shrug, under the level
    assert not list(limits.within(week.case()))


def test_limits_of_a_session_that_is_over_are_not_told(make_week):
    week = make_week().change(DONE)
    told = {str(finding) for finding in limits.limits_stated(week.case())}
    assert any("time:Mon" in text for text in told)
    assert not any("time:Thu" in text for text in told)


@pytest.mark.parametrize(("words", "changes", "over"), [
    # a missed session is no day to spread over
    ("spread", {THU + ".exercises": []}, {f"{THU}.state": "missed"}),
    # all sessions are over: what was not trained cannot be asked for any more
    ("family:push_up", {"brief.variety.families": ["push_up"]}, DONE | {f"{THU}.state": "done"}),
])  # fmt: skip
def test_a_goal_that_a_session_that_is_over_owes_no_more(words, changes, over, make_week):
    week = make_week().change(changes)
    assert any(words in str(finding) for finding in recheck.misses_stated(week.case()))
    week.change(over)
    assert not any(words in str(finding) for finding in recheck.misses_stated(week.case()))
