"""What stands exactly at its limit passes, and what no rule forbids is not found."""

from contextlib import suppress
from itertools import product

import pytest
from cautious_week import default
from pydantic import ValidationError

from planner.verify import limits, recheck

MON, THU = "document.sessions.0", "document.sessions.1"
PRESS, RAISE, FLY = (f"{MON}.exercises.{place}" for place in range(3))
IN_TURNS = {
    "brief.preferences.paired": True, f"{PRESS}.exercise": "raise", f"{RAISE}.exercise": "cable_fly",
    f"{RAISE}.block": "A", f"{FLY}.exercise": "front_lift",
}  # fmt: skip
# 2 sets of the fly are exactly enough to count Thursday as a session for the rear head
JUST_SPREAD = {f"{THU}.exercises.2.sets": 2}
WITHOUT_FLY = {f"{THU}.exercises.2": "<gone>"}
LIFT_SECOND = {f"{PRESS}.exercise": "raise", f"{RAISE}.exercise": "press"}
# raise and fly in turns: 84 + 3·(50 + 5 + 82 + 90) − 90 = 675 s = 11.25 min, so 27 min instead of 28.75
PAIRED = {"brief.preferences.paired": True, f"{FLY}.block": "B"}

# words of a finding, changes that do not bring it up
TABLE = [
    ("use of time:Mon", {"brief.session.0.minutes": 29}),
    ("use of time:Mon", default("general_warmup_minutes", 6.25)),  # 6.25 + 23.75 = 30
    ("use of time:Mon", PAIRED | {"brief.session.0.minutes": 27}),
    (": sets of", {f"{PRESS}.sets": 2, f"{RAISE}.sets": 4}),
    ("use of exercises:Mon", default("exercises_per_session", 3)),
    ("use of exercises:week:", default("exercises_per_week", 3)),
    ("pinned sets", {"brief.preferences.pin": {"press": {"day": "Thu", "sets": 4}}}),
    ("use of joints", default("joint_budget_careful", 22)),
    # what is done elsewhere is not ours to plan
    ("the athlete may do", {"brief.joints.anterior_capsule": "avoid"}),
    ("use of trapezius", {"brief.preferences.trapezius": False} | default("trapezius_level", 0.1)),
    ("use of trapezius", default("trapezius_level", 0.57)),  # 8·0.6 + 6·0.8 + 6·0.3 = 11.4 = 20·0.57
    ("use of session_hard_cap", default("session_hard_cap_sets", 6.2)),
    ("instead of press", {f"{PRESS}.instead.0.sets": 1}),
    ("use of pain", {"capped": {"press": 8}}),
    ("use of pain", {"capped": {"press": 7}, f"{MON}.state": "done", f"{THU}.exercises.0": "<gone>"}),
    ("slow_raise: found skill", {f"{RAISE}.exercise": "slow_raise", "brief.athlete.skill": 3}),
    ("raise: found arm", {"brief.joints.arm_at_most_degrees": 90}),
    ("subacromial grade 3",
        {"brief.joints": {}, "brief.preferences.prefer": ["high_pull"], f"{PRESS}.exercise": "high_pull"}),
    ("grade 2 above 1", {"gyms.club.equipment.+": "barbell", "brief.preferences.exclude": ["landmine"]}),
    ("adjustable_bench", {"gyms.club.equipment": ["dumbbells", "adjustable_bench", "cable_station"]}),
    # nothing is planned: there is no mean to print
    ("limit trapezius", {f"{day}.exercises": [] for day in (MON, THU)} | {"document.limits.7": "<gone>"}),
    ("limit time:Mon: found", {"document.limits.0.binds": True}),  # 1.25 min to spare: no block fits
    ("interval of", {"document.dose.2.low90": 0}),
    ("interval of", {"document.dose.2.low90": 6.0, "document.dose.2.high90": 6.0}),
    ("chance", {"document.dose.2.chance_floor": 1, "document.dose.2.chance_target90": 0}),
    ("chance", {"document.dose.2.chance_floor": 0.7, "document.dose.2.chance_target90": 0.7}),
    # floor 4 lies above nine tenths of target 4: the chances turn round
    ("chance",
        {"document.dose.2.target": 4, "document.dose.2.chance_floor": 0.5,
        "document.dose.2.chance_target90": 0.6}),
    ("of rear: found", {"brief.target.rear": 0, "document.dose.2": "<gone>"}),
    ("spread:side", {"brief.target.side": {"sessions": 3}}),  # there are two
    ("spread:rear", JUST_SPREAD),
    ("spread:rear", {"brief.target.rear": 3, "document.missed.0": "<gone>"} | WITHOUT_FLY),  # 3 < 2 × 2
    ("goal implements", {"brief.variety.implements": 3, "brief.preferences.exclude": ["push_up"]}),
    # the push-up is for nobody
    ("goal implements", {"brief.variety.implements": 3, "brief.target.front": 0}),
    ("goes back", IN_TURNS),
    # the press between two dumbbell raises stands at the dumbbells too
    ("goes back", LIFT_SECOND | {f"{FLY}.exercise": "front_lift"}),
    ("minutes used", {f"{MON}.exercises": [], f"{MON}.minutes.used": 5}),
    ("minutes used", {f"{MON}.exercises": [], f"{MON}.minutes.used": 0}),
    ("block", PAIRED),
    ("heavy lift", {f"{PRESS}.block": "C", f"{FLY}.sets": 4}),  # one warm-up set is not heavy yet
    ("in turns", PAIRED),
    ("begins the session", LIFT_SECOND | {f"{RAISE}.block": "B", f"{FLY}.block": "B"}),
    ("minutes used", PAIRED | {f"{MON}.minutes.used": 27}),
    ("time of raise", PAIRED | {f"{RAISE}.minutes": 5.15, f"{FLY}.minutes": 6.15}),
    ("work of press", {f"{PRESS}.tempo": {"lift": 1, "top": 1, "lower": 1, "bottom": 1}}),
    ("load of", {f"{PRESS}.load": 2}),
    ("load of", {f"{PRESS}.load": 40}),
    ("load of", {"gyms.club.loads.dumbbells": {"from": 2.5, "to": 10, "step": 2.5}}),
    ("load of",
        {"gyms.club.loads.dumbbells": {"from": 1, "to": 21, "step": 2.5}, f"{PRESS}.load": 11,
        f"{RAISE}.load": 1} | {f"{THU}.exercises.{place}.load": 21 for place in (0, 1)}),
    ("load of", {"gyms.club.loads": {}, f"{PRESS}.load": 11.3}),
    ("unit of", {f"{PRESS}.load": None, f"{PRESS}.load_unit": None}),
    ("sources", {"document.sources.7": "<gone>"}),  # rear.raise earns nothing
    ("default unheard_of", {"document.made_with.method.unheard_of": 3}),
    ("bound of", {"document.proof.0.bound": 2.0}),
    ("credit of", {"brief.target.rear": 0, f"{FLY}.credits.rear": "<gone>"}),
    ("seconds", {"document.proof.0.seconds": 0}),
]  # fmt: skip


@pytest.mark.parametrize(("words", "changes"), TABLE, ids=[f"{words}-{next(iter(c))}" for words, c in TABLE])
def test_nothing_is_found_at_the_edge(words, changes, make_week):
    texts = make_week().change(changes).texts()
    assert not [text for text in texts if words in text]


# --- sessions that are over: what was done counts and breaks no limit, what was missed gives none

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


def test_what_was_done_stands_above_a_budget_but_nothing_loud_is_added_and_its_limits_are_not_told(make_week):
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


# --- any number of a sound week, changed by a visible amount, is found
# numbers that no rule ties down: the recheck has nothing to hold them against
FREE = {
    "rir",  # what the coach asks for
    "load",  # any other that the gym can make
    "seconds",  # of solving: only never below 0
    "low90",  # drawn; held one-sided, as are the chances
    "high90",
    "chance_floor",
    "chance_target90",
    "instead",  # 1 to 4 sets of a replacement are all sound
}
VISIBLE = 0.15  # more than any rounding hides


def _numbers(value, path=()):
    if isinstance(value, dict | list):
        for key, part in value.items() if isinstance(value, dict) else enumerate(value):
            yield from _numbers(part, (*path, key))
    elif type(value) in (int, float) and not {*path} & FREE:
        yield path


def test_a_visible_change_of_any_number_is_found(make_week):
    for (*steps, last), sign in product(_numbers(make_week().document), (1, -1)):
        holder = (week := make_week()).document
        for step in steps:
            holder = holder[step]
        holder[last] += sign * (1 if isinstance(holder[last], int) else VISIBLE)
        with suppress(ValidationError):  # what the document's own model refuses needs no recheck
            assert week.recheck(), (*steps, last)
