"""What stands exactly at its limit passes, and what no rule forbids is not found."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from planner.verify import doses, goals, limit_rows, limits, numbers, order, proof
from planner.verify.finding import Check

MON, THU = "document.sessions.0", "document.sessions.1"
PRESS, RAISE, FLY = (f"{MON}.exercises.{place}" for place in range(3))
Changes = dict[str, Any]


def default(name: str, value: float) -> Changes:
    return {f"brief.method.{name}": value, f"document.made_with.method.{name}": value}


IN_TURNS = {
    "brief.preferences.paired": True,
    f"{PRESS}.exercise": "raise",
    f"{RAISE}.exercise": "cable_fly",
    f"{RAISE}.block": "A",
    f"{FLY}.exercise": "front_lift",
}
# 2 sets of the fly are exactly enough to count Thursday as a session for the rear head
JUST_SPREAD = {f"{THU}.exercises.2.sets": 2}
WITHOUT_FLY = {f"{THU}.exercises.2": "<gone>"}
LIFT_SECOND = {f"{PRESS}.exercise": "raise", f"{RAISE}.exercise": "press"}
# raise and fly in turns: 84 + 3·(50 + 5 + 82 + 90) − 90 = 675 s = 11.25 min, so 27 min instead of 28.75
PAIRED = {"brief.preferences.paired": True, f"{FLY}.block": "B"}

# check, changes that it must pass
TABLE: list[tuple[Check, Changes]] = [
    (limits.time, {"brief.session.0.minutes": 29}),
    (limits.time, default("general_warmup_minutes", 6.25)),  # 6.25 + 23.75 = 30
    (limits.time, PAIRED | {"brief.session.0.minutes": 27}),
    (limits.blocks, {f"{PRESS}.sets": 2, f"{RAISE}.sets": 4}),
    (limits.exercises_per_session, default("exercises_per_session", 3)),
    (limits.exercises_per_week, default("exercises_per_week", 3)),
    (limits.pins, {"brief.preferences.pin": {"press": {"day": "Thu", "sets": 4}}}),
    (limits.weekly_joint_budget, default("joint_budget_careful", 22)),
    (limits.joints, {"brief.joints.anterior_capsule": "avoid"}),  # what is done elsewhere is not ours to plan
    (limits.trapezius, {"brief.preferences.trapezius": False} | default("trapezius_level", 0.1)),
    (limits.trapezius, default("trapezius_level", 0.57)),  # 8·0.6 + 6·0.8 + 6·0.3 = 11.4 = 20·0.57
    (limits.session_hard_cap, default("session_hard_cap_sets", 6.2)),
    (limits.replacements, {f"{PRESS}.instead.0.sets": 1}),
    (limits.room, {"gyms.club.equipment": ["dumbbells", "adjustable_bench", "cable_station"]}),
    (
        limit_rows.limits_named,  # nothing is planned: there is no mean to print
        {f"{day}.exercises": [] for day in (MON, THU)} | {"document.limits.7": "<gone>"},
    ),
    (limit_rows.limits_bind, {"document.limits.0.binds": True}),  # 1.25 min to spare: no block fits
    (doses.intervals_hold, {"document.dose.2.low90": 0}),
    (doses.intervals_hold, {"document.dose.2.low90": 6.0, "document.dose.2.high90": 6.0}),
    (doses.chances_hold, {"document.dose.2.chance_floor": 1, "document.dose.2.chance_target90": 0}),
    (doses.chances_hold, {"document.dose.2.chance_floor": 0.7, "document.dose.2.chance_target90": 0.7}),
    (
        doses.chances_hold,  # floor 4 lies above nine tenths of target 4: the chances turn round
        {
            "document.dose.2.target": 4,
            "document.dose.2.chance_floor": 0.5,
            "document.dose.2.chance_target90": 0.6,
        },
    ),
    (doses.heads_stated, {"brief.target.rear": 0, "document.dose.2": "<gone>"}),
    (goals.none_hidden, {"brief.target.side": {"sessions": 3}}),  # there are two
    (goals.none_hidden, JUST_SPREAD),
    (goals.none_hidden, {"brief.target.rear": 3, "document.missed.0": "<gone>"} | WITHOUT_FLY),  # 3 < 2 × 2
    (goals.none_hidden, {"brief.variety.implements": 3, "brief.preferences.exclude": ["push_up"]}),
    (
        goals.none_hidden,
        {"brief.variety.implements": 3, "brief.target.front": 0},
    ),  # the push-up is for nobody
    (goals.none_invented, {"document.missed.4": "<gone>", "brief.target.rear": {"target": 12}}),
    (order.stations_once, IN_TURNS),
    (  # the press between two dumbbell raises stands at the dumbbells too
        order.stations_once,
        LIFT_SECOND | {f"{FLY}.exercise": "front_lift"},
    ),
    (numbers.minutes_used, {f"{MON}.exercises": [], f"{MON}.minutes.used": 5}),
    (numbers.minutes_used, {f"{MON}.exercises": [], f"{MON}.minutes.used": 0}),
    (order.pairs_asked, PAIRED),
    (order.pairs_sound, PAIRED),
    (order.pairs_sound, {f"{PRESS}.block": "C", f"{FLY}.sets": 4}),  # one warm-up set is not heavy yet
    (order.first_lift_alone, PAIRED),
    (order.first_lift_alone, LIFT_SECOND | {f"{RAISE}.block": "B", f"{FLY}.block": "B"}),
    (numbers.minutes_used, PAIRED | {f"{MON}.minutes.used": 27}),
    (numbers.exercise_minutes, PAIRED | {f"{RAISE}.minutes": 5.15, f"{FLY}.minutes": 6.15}),
    (numbers.work_seconds, {f"{PRESS}.tempo": {"lift": 1, "top": 1, "lower": 1, "bottom": 1}}),
    (numbers.loads_can_be_made, {f"{PRESS}.load": 2}),
    (numbers.loads_can_be_made, {f"{PRESS}.load": 40}),
    (numbers.loads_can_be_made, {"gyms.club.loads.dumbbells": {"from": 2.5, "to": 10, "step": 2.5}}),
    (
        numbers.loads_can_be_made,
        {
            "gyms.club.loads.dumbbells": {"from": 1, "to": 21, "step": 2.5},
            f"{PRESS}.load": 11,
            f"{RAISE}.load": 1,
        }
        | {f"{THU}.exercises.{place}.load": 21 for place in (0, 1)},
    ),
    (numbers.loads_can_be_made, {"gyms.club.loads": {}, f"{PRESS}.load": 11.3}),
    (numbers.load_units, {f"{PRESS}.load": None, f"{PRESS}.load_unit": None}),
    (numbers.sources_complete, {"document.sources.7": "<gone>"}),  # rear.raise earns nothing
    (numbers.sources_complete, {"document.sources.3": "<gone>", "own": {"side": {"press": 0.5}}}),
    (numbers.defaults_stated, {"document.made_with.method.unheard_of": 3}),
    (proof.bounds_hold, {"document.proof.0.bound": 2.0}),
    (doses.credits_stated, {"brief.target.rear": 0, f"{FLY}.credits.rear": "<gone>"}),
    (proof.no_time_runs_backwards, {"document.proof.0.seconds": 0}),
]


def _label(entry: tuple[Check, Changes]) -> str:
    return f"{entry[0].__name__}-{next(iter(entry[1]))}"


@pytest.mark.parametrize(("check", "changes"), TABLE, ids=[_label(entry) for entry in TABLE])
def test_nothing_is_found_at_the_edge(check: Check, changes: Changes, make_week: Callable[[], Any]) -> None:
    week = make_week().change(changes)
    assert [str(finding) for finding in check(week.case())] == []
