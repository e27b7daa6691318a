"""Every check finds what it is there for: a table of changes to a sound week, each with its check.

A path names what is changed: `document.sessions.0.exercises.1.sets`; GONE takes the entry away, a path that
ends in `+` appends. Defaults are changed in brief and document alike, so that no other check sees them.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from cautious_week import cautious

from planner.verify import blocks, caution, doses, goals, known, limit_rows, limits, numbers, order, proof
from planner.verify.finding import Check
from planner.verify.recheck import CHECKS

GONE = "<gone>"
MON, THU = "document.sessions.0", "document.sessions.1"
PRESS, RAISE, FLY = f"{MON}.exercises.0", f"{MON}.exercises.1", f"{MON}.exercises.2"
Changes = dict[str, Any]


def default(name: str, value: float) -> Changes:
    """The coach sets a default and the document says so."""
    return {f"brief.method.{name}": value, f"document.made_with.method.{name}": value}


def moved(day: str) -> Changes:
    """Thursday's session is held on another day, in brief and document."""
    return {"brief.session.1.day": day, f"{THU}.id": day, f"{THU}.day": day}


def line(goal: str, by: float = 1.0) -> Changes:
    return {"document.missed.+": {"goal": goal, "by": by, "unit": "sets"}}


def in_turns(one: str, other: str) -> Changes:
    """Two exercises share a block, as the brief asks."""
    return {"brief.preferences.paired": True, f"{one}.block": "Z", f"{other}.block": "Z"}


def limit(name: str) -> dict[str, Any]:
    return {"limit": name, "used": 0, "allowed": 9, "unit": "sets", "binds": False}


ANTERIOR: Changes = {
    "brief.joints.anterior_capsule": "careful"
}  # no change lowers the bench press's grade there
# the method says nothing of a clear region: the table of limits is all there is
UNPRICED: Changes = {"document.made_with.method.joint_budget_clear": GONE}
LAST_WEEK: Changes = {"last_week": "document"} | {
    f"last_week.sessions.{day}.exercises.0.exercise": "push_up" for day in (0, 1)
}


def mark(**changes: Any) -> Changes:
    """The week is the first of a block of six."""
    stands = {"first": "2026-W49", "number": 1, "of": 6, "lighter": False, "ramp_share": 0.0}
    return {"document.block": stands | changes}


RATIOS = {
    "front": {"press": 1.0, "raise": 0.35, "cable_fly": 0.1, "bench_press": 0.6},
    "side": {"press": 0.5, "raise": 1.0, "cable_fly": 0.4},
    "rear": {"press": 0.2, "raise": 0.25, "cable_fly": 1.0},
}


def cautiously(**changes: Any) -> Changes:
    """The week was planned cautiously, and this is said of it; `__` stands for a dot."""
    return cautious(RATIOS, **changes)


# check, part of the words of its finding, changes
TABLE: list[tuple[Check, str, Changes]] = [
    (known.exercises_known, "pres", {f"{PRESS}.exercise": "pres"}),
    (known.exercises_known, "push", {f"{PRESS}.instead.0.exercise": "push"}),
    (known.heads_known, "middle", {f"{PRESS}.credits.middle": 1.0}),
    (known.heads_known, "middle", {"document.dose.0.head": "middle"}),
    (known.gyms_known, "barn", {f"{MON}.gym": "barn"}),
    (known.days_known, "Moon", {f"{MON}.day": "Moon"}),
    (limits.time, "Mon: minutes", {"brief.session.0.minutes": 28}),
    (limits.blocks, "Mon: sets of press", {f"{PRESS}.sets": 5}),
    (limits.blocks, "Mon: sets of raise", {f"{RAISE}.sets": 1}),
    (
        limits.blocks,
        "sets of press",
        {f"{PRESS}.sets": 5, "brief.preferences.pin": {"press": {"day": "Thu", "sets": 5}}},
    ),
    (limits.once_a_session, "blocks of press", {f"{RAISE}.exercise": "press"}),
    (limits.exercises_per_session, "Thu: exercises", default("exercises_per_session", 2)),
    (limits.exercises_per_week, "different exercises", default("exercises_per_week", 2)),
    (
        limits.pins,
        "Thu: pinned sets of raise",
        {"brief.preferences.pin": {"raise": {"day": "Thu", "sets": 4}}},
    ),
    (
        limits.pins,
        "pinned sets of push_up",
        {"brief.preferences.pin": {"push_up": {"day": "Mon", "sets": 2}}},
    ),
    (
        limits.pins,
        "Mon: pinned sets of press",
        {f"{PRESS}.sets": 3, "brief.preferences.pin": {"press": {"day": "Mon", "sets": 4}}},
    ),
    (limits.room, "cable_fly needs", {"gyms.club.equipment": ["dumbbells", "adjustable_bench"]}),
    (limits.room, "adjustable_bench", {"gyms.club.equipment": ["dumbbells", "cable_station"]}),
    (limits.joints, "press on subacromial", {"brief.joints.subacromial": "avoid"}),
    (limits.joints, "press on subacromial", {"brief.history": {"flags": ["arch"]}}),
    (limits.joints, "high_pull on subacromial", {f"{PRESS}.exercise": "high_pull", "brief.joints": {}}),
    (limits.weekly_joint_budget, "subacromial", default("joint_budget_careful", 20)),
    (limits.weekly_joint_budget, "subacromial", default("joint_budget_subacromial", 20)),
    (
        limits.weekly_joint_budget,
        "anterior_capsule",  # 4·2 elsewhere and 4·2 here
        UNPRICED | {"document.limits.6.allowed": 15, f"{PRESS}.exercise": "bench_press"},
    ),
    (limits.joints, "bench_press on anterior", ANTERIOR | {f"{PRESS}.exercise": "bench_press"}),
    (limits.never_planned, "raise", {"brief.preferences.exclude": ["raise"]}),
    (limits.never_planned, "swung_raise", {f"{RAISE}.exercise": "swung_raise"}),
    (limits.trapezius, "watched", default("trapezius_level", 0.5)),
    (limits.session_hard_cap, "Mon: dose of side", default("session_hard_cap_sets", 6)),
    (limits.replacements, "lacks barbell", {f"{PRESS}.instead.0.exercise": "bench_press"}),
    (limits.replacements, "comparison", {f"{PRESS}.instead.0.exercise": "swung_raise"}),
    (limits.replacements, "excluded", {"brief.preferences.exclude": ["push_up"]}),
    (limits.replacements, "subacromial grade 3", {f"{PRESS}.instead.0.exercise": "high_pull"}),
    (limits.replacements, "0 sets", {f"{PRESS}.instead.0.sets": 0}),
    (limits.replacements, "5 sets", {f"{PRESS}.instead.0.sets": 5}),
    (limits.missed_are_empty, "Thu: exercises in a missed", {f"{THU}.state": "missed"}),
    (limit_rows.limits_named, "time:Sun", {"document.limits.+": limit("time:Sun")}),
    (limit_rows.limits_named, "2 times", {"document.limits.+": limit("time:Mon")}),
    (limit_rows.limits_named, "trapezius", {"brief.preferences.trapezius": False}),
    *((limit_rows.limits_named, "nothing", {f"document.limits.{row}": GONE}) for row in (0, 1, 2, 3, 4, 7)),
    *((limit_rows.limits_used, "used", {f"document.limits.{row}.used": 2}) for row in range(9)),
    *(
        (limit_rows.limits_allowed, "allowed", {f"document.limits.{row}.allowed": 41})
        for row in (0, 2, 4, 5, 7, 8)
    ),
    *((limit_rows.limits_bind, "binds", {f"document.limits.{row}.binds": True}) for row in range(1, 9)),
    (limit_rows.limits_bind, "does not bind", default("exercises_per_session", 3)),
    (doses.credits_stated, "press for side", {f"{PRESS}.credits.side": 0.502}),
    (doses.credits_stated, "raise for front", {f"{RAISE}.credits.front": GONE}),
    (doses.credits_stated, "raise for rear", {f"{RAISE}.credits.rear": 0.25}),
    (doses.credits_stated, "press for front", {"own": {"front": {"press": 0.6}}}),
    (
        doses.credits_stated,
        "press for side",
        {"document.made_with.counting": "movers", "own": {"side": {"press": 0.7}}},
    ),
    (
        doses.credits_stated,
        "slow_raise for side",
        {f"{RAISE}.exercise": "slow_raise"} | default("eccentric_weight", 1.25),
    ),
    (doses.heads_stated, "0 lines", {"document.dose.2": GONE}),
    (doses.heads_stated, "2 lines", {"document.dose.2.head": "side"}),
    (doses.heads_stated, "watched", {"document.dose.2.head": "trap"}),
    (doses.planned_stated, "front", {"document.dose.0.planned": 10.2}),
    (doses.planned_stated, "side", {f"{RAISE}.credits.side": 0.9}),
    (doses.movers_stated, "side", {"document.dose.1.by_movers": 12}),
    (doses.elsewhere_stated, "front", {"document.dose.0.elsewhere": 0}),
    (doses.elsewhere_stated, "found 5 sets", {"brief.elsewhere.bench_press.sets": 20}),
    (doses.elsewhere_stated, "found 12 sets", {"brief.elsewhere.bench_press": {"sets": 20, "whole": True}}),
    (doses.asked_stated, "target of front", {"document.dose.0.target": 11}),
    (doses.asked_stated, "floor of side", {"document.dose.1.floor": 3}),
    (doses.asked_stated, "ceiling of rear", {"document.dose.2.ceiling": 20}),
    (doses.asked_stated, "found 10 sets", {"brief.athlete.training_status": "intermediate"}),
    (doses.asked_stated, "found 6 sets", {"brief.target.side": {"now": 5}}),
    (doses.asked_stated, "found 2 sets", {"brief.target.side": {"now": 1}}),
    (doses.asked_stated, "found 9 sets", {"brief.target.side": {"floor": 9}}),
    (doses.asked_stated, "found 7 sets", {"brief.target.side": {"ceiling": 7}}),
    (doses.intervals_hold, "front", {"document.dose.0.low90": 12.7}),
    (doses.intervals_hold, "side", {"document.dose.1.high90": 12.2}),
    (doses.intervals_hold, "rear", {"document.dose.2.low90": -1}),
    (doses.chances_hold, "0 to 1", {"document.dose.0.chance_floor": 1.2}),
    (doses.chances_hold, "0 to 1", {"document.dose.0.chance_target90": -0.1}),
    (doses.chances_hold, "likelier", {"document.dose.1.chance_floor": 0.5}),
    (goals.none_hidden, "dose:rear", {"document.missed.0": GONE}),
    (goals.none_hidden, "ceiling:side", {"document.missed.1": GONE}),
    (goals.none_hidden, "ceiling:front", {"brief.target.front.ceiling": 12}),
    (goals.none_hidden, "direct:front", default("direct_set", 1.1)),
    (goals.none_hidden, "session_cap:side:Thu", default("session_cap_sets", 6)),
    (goals.none_hidden, "spread:rear", {f"{THU}.exercises.2": GONE}),
    (goals.none_hidden, "heavy_days:side:Mon-Tue", moved("Tue")),
    (goals.none_hidden, "heavy_days:side:Mon-Sun", moved("Sun")),
    (goals.none_hidden, "share:press:front", {"document.missed.2": GONE}),
    (goals.none_hidden, "share:cable_fly:rear", {"document.missed.4": GONE}),
    (goals.none_hidden, "implements", {"brief.variety.implements": 3}),
    (goals.none_hidden, "family:push_up", {"brief.variety.families": ["push_up"]}),
    (goals.none_hidden, "rotation", LAST_WEEK | {"brief.variety.keep": 3}),
    (goals.none_hidden, "prefer:push_up", {"brief.preferences.prefer": ["push_up"]}),
    (goals.none_invented, "prefer:raise", line("prefer:raise") | {"brief.preferences.prefer": ["raise"]}),
    (
        goals.none_invented,
        "prefer:high_pull",
        line("prefer:high_pull") | {"brief.preferences.prefer": ["high_pull"]},
    ),
    (goals.none_invented, "dose:side", line("dose:side")),
    (goals.none_invented, "heavy_days", line("heavy_days:side:Mon-Thu")),
    (goals.none_invented, "family:shrug", line("family:shrug") | {"brief.variety.families": ["shrug"]}),
    (goals.none_invented, "rotation", line("rotation")),
    (goals.none_invented, "2 times", line("dose:rear", 2)),
    *((goals.amounts, "missed by", {f"document.missed.{row}.by": 1.0}) for row in range(5)),
    (goals.amounts, "found 2 sets, the plan states 1", {"document.missed.0.by": 1.0}),
    (
        goals.amounts,
        "found 1 or 0.2 sets, the plan states 3",
        moved("Tue") | line("heavy_days:side:Mon-Tue", 3),
    ),
    (goals.amounts, "rotation", LAST_WEEK | {"brief.variety.keep": 3} | line("rotation", 2)),
    (goals.musts_hold, "dose:rear", {"brief.target.rear": {"must": True}}),
    (goals.musts_hold, "implements", {"brief.variety": {"implements": 3, "must": True}}),
    (goals.musts_hold, "family:push_up", {"brief.variety": {"families": ["push_up"], "must": True}}),
    (order.order_numbers, "Mon: order", {f"{PRESS}.order": 2}),
    (order.pairs_asked, "block A", {f"{RAISE}.block": "A"}),
    (order.pairs_asked, "block A", {f"{FLY}.block": "A", "brief.preferences.paired": True}),
    (
        order.pairs_asked,
        "block A",
        {f"{RAISE}.block": "A", f"{FLY}.block": "A", "brief.preferences.paired": True},
    ),
    (order.pairs_sound, "4 and 3 sets", in_turns(PRESS, FLY)),
    (order.pairs_sound, "both for side", in_turns(RAISE, FLY) | {f"{FLY}.exercise": "high_pull"}),
    (order.pairs_sound, "both for front", in_turns(PRESS, RAISE) | {f"{RAISE}.exercise": "push_up"}),
    (order.pairs_sound, "both at dumbbells", in_turns(PRESS, RAISE)),
    (
        order.pairs_sound,
        "press is a heavy lift",
        in_turns(PRESS, FLY) | default("pair_heavy_warmup_sets", 1),
    ),
    (order.first_lift_alone, "press in turns", in_turns(PRESS, RAISE)),
    (
        order.stations_once,
        "front_lift goes back",
        {f"{PRESS}.exercise": "raise", f"{RAISE}.exercise": "cable_fly", f"{FLY}.exercise": "front_lift"},
    ),
    (numbers.exercise_minutes, "time of press", {f"{PRESS}.minutes": 10.6}),
    (numbers.exercise_minutes, "raise with cable_fly: found 11.25", in_turns(RAISE, FLY)),
    (numbers.minutes_used, "Mon: minutes used: found 27 min", in_turns(RAISE, FLY)),
    (  # one fly more than raises: 142 s by itself
        limits.time,
        "Mon: minutes: found 29.37",
        in_turns(RAISE, FLY) | {f"{FLY}.sets": 4, "brief.session.0.minutes": 29},
    ),
    (numbers.exercise_minutes, "time of press", default("warmup_set_seconds", 80)),
    (numbers.minutes_used, "Mon: minutes used", {f"{MON}.minutes.used": 28.6}),
    (numbers.minutes_used, "found 0 min", {f"{MON}.exercises": [], f"{MON}.minutes.used": 4}),
    (numbers.minutes_used, "Mon: minutes used", {f"{MON}.minutes.used": 5}),
    (numbers.minutes_used, "Mon: minutes used", default("general_warmup_minutes", 4)),
    (
        numbers.minutes_used,
        "Mon: minutes used",
        {f"{RAISE}.block": "A", f"{PRESS}.minutes": 9.8, "brief.preferences.paired": True},
    ),
    (numbers.sessions_asked, "sessions", {f"{MON}.minutes.allowed": 40}),
    (numbers.sessions_asked, "sessions", {f"{MON}.day": "Tue"}),
    (numbers.sessions_asked, "barn", {"brief.session.0.gym": "barn"}),
    (numbers.sessions_asked, "sessions", {THU: GONE}),
    (numbers.sessions_asked, "session id", {f"{MON}.id": "Tue"}),
    (numbers.work_seconds, "work of raise", {f"{RAISE}.work_s": 49}),
    (numbers.work_seconds, "work of cable_fly", {f"{FLY}.work_s": 40}),
    *(
        (numbers.as_in_library, f"{word} of press", {f"{PRESS}.{field}": value})
        for word, field, value in (
            ("name", "name", "Press"),
            ("repetitions", "reps", [6, 14]),
            ("tempo", "tempo.lower", 4),
            ("rest", "rest_s", 90),
            ("set-up", "setup_s", 0),
            ("warm-up sets", "warmup_sets", 0),
            ("sides", "sides", 2),
            ("kind of load", "load_is", "total"),
        )
    ),
    (numbers.as_in_library, "repetitions of push_up", {f"{PRESS}.instead.0.reps": [1, 2]}),
    (numbers.load_units, "unit of press", {f"{PRESS}.load_unit": "lb"}),
    (numbers.load_units, "unit of press", {f"{PRESS}.load_unit": None}),
    (numbers.load_units, "unit of press", {"gyms.club.unit": "lb"}),
    (numbers.loads_can_be_made, "load of press", {f"{PRESS}.load": 11}),
    (numbers.loads_can_be_made, "load of press", {f"{PRESS}.load": 42}),
    (numbers.loads_can_be_made, "load of cable_fly", {f"{FLY}.load": 12.5}),
    (numbers.sources_known, "front.nothing", {"document.sources.+": "front.nothing"}),
    (numbers.sources_known, "own.1", {"document.sources.+": "own.1"}),
    (numbers.sources_complete, "front.press", {"document.sources.0": GONE}),
    (numbers.defaults_stated, "smallest_block_sets", {"document.made_with.method.smallest_block_sets": 1}),
    (numbers.defaults_stated, "spread_sets", {"brief.method.spread_sets": 3}),
    (numbers.defaults_stated, "direct_set", {"document.made_with.method.direct_set": "0.7"}),
    (numbers.heading, "athlete", {"document.athlete": "Somebody"}),
    (numbers.heading, "units", {"document.units": "lb"}),
    (numbers.heading, "start", {"document.week_start": "2026-12-01"}),
    (numbers.heading, "start", {"document.week": "2025-W53"}),
    (numbers.heading, "counting", {"brief.method.counting": "movers"}),
    (blocks.mark_stated, "found a hard week", mark(lighter=True)),
    (blocks.mark_stated, "found a lighter week", mark(number=6, first="2026-W44")),
    (blocks.mark_stated, "start of week 2", mark(number=2)),
    (blocks.mark_stated, "rise of a step", mark(ramp_share=0.25)),
    (blocks.reserve_stated, "Mon: reserve of press: found 2", {f"{PRESS}.rir": 3}),
    (blocks.reserve_stated, "Thu: reserve of raise: found 3", mark()),
    (numbers.heading, "library", {"document.made_with.library": "ba9876543210"}),
    (proof.aims_stated, "rows", {"document.proof.0": GONE}),
    (proof.aims_stated, "rows", {"document.proof.0.aim": "rest"}),
    (proof.aims_stated, "unit", {"document.proof.0.unit": "sets"}),
    (proof.dose_value_stated, "value", {"document.proof.0.value": 2.9}),
    (proof.dose_value_stated, "found 2 missed", {"brief.target.rear.priority": 1}),
    (proof.bounds_hold, "dose", {"document.proof.0.bound": 3.1}),
    (proof.bounds_hold, "rest", {"document.proof.1.bound": 8}),
    (proof.gaps_stated, "rest", {"document.proof.1.gap": 0.4}),
    (proof.gaps_stated, "dose", {"document.proof.0.gap": 0.3}),
    (proof.no_time_runs_backwards, "seconds", {"document.proof.1.seconds": -1}),
    (proof.aims_stated, "dose 1, rest 0 or 1", {"document.proof.0.aim": "shortfall"}),
    (proof.aims_stated, "shortfall 1, rest 0 or 1", cautiously() | {"document.proof.0.aim": "dose"}),
    (proof.aims_stated, "unit of the shortfall", cautiously() | {"document.proof.0.unit": "sets"}),
    (caution.plain_known, "plain week", cautiously(plain_blocks__0__exercise="pres")),
    (caution.plain_known, "plain week", cautiously(plain_blocks__0__session="Sun")),
    (caution.plain_known, "bench press", cautiously(plain_blocks__0__name="bench press")),
    (caution.counts_stated, "plain week: sets", cautiously(plain__sets=11)),
    (caution.counts_stated, "cautious week: exercises", cautiously(cautious__exercises=4)),
    (caution.counts_stated, "cautious week: minutes", cautiously(cautious__minutes=57)),
    (caution.counts_stated, "cautious week: priced minutes", cautiously(cautious__priced_minutes=7.3)),
    (caution.plain_minutes, "plain week: minutes", cautiously(plain__minutes=28.0)),
    (caution.bets_stated, "heads of the cautious", cautiously(heads__0=GONE)),
    (caution.bets_stated, "plain week: front: dose", cautiously(heads__0__plain__dose=7.5)),
    (caution.bets_stated, "cautious week: side: dose", cautiously(heads__1__cautious__dose=12.0)),
    (caution.bets_stated, "front: exercises", cautiously(heads__0__plain__exercises=3)),
    (caution.bets_stated, "side: largest", cautiously(heads__1__cautious__largest="press")),
    (caution.bets_stated, "rear: largest share", cautiously(heads__2__plain__largest_share=0.9)),
    (caution.bets_stated, "chances of rear", cautiously(heads__2__cautious__chance_floor=1.0)),
    (caution.never_worse, "on its own draws", cautiously(plain__own_shortfall=2.9)),
    (caution.never_worse, "value of the shortfall", cautiously() | {"document.proof.0.value": 2.9}),
    (caution.draws_agree, "plain week: expected shortfall", cautiously(plain__judged_shortfall=18.0)),
    (caution.draws_agree, "cautious week: expected shortfall", cautiously(cautious__judged_shortfall=2.5)),
    (caution.draws_agree, "plain week: mean of rear", cautiously(heads__2__plain__mean=3.2)),
    (caution.draws_agree, "cautious week: bad case of side", cautiously(heads__1__cautious__bad=12.0)),
]


def _label(entry: tuple[Check, str, Changes]) -> str:
    return f"{entry[0].__name__}-{next(iter(entry[2]))}"


@pytest.mark.parametrize(("check", "words", "changes"), TABLE, ids=[_label(entry) for entry in TABLE])
def test_a_change_is_found(check: Check, words: str, changes: Changes, make_week: Callable[[], Any]) -> None:
    week = make_week()
    assert not list(check(week.case()))
    week.change(changes)
    found = [str(finding) for finding in check(week.case())]
    assert any(words in text for text in found), found
    assert week.recheck()


def test_every_check_stands_in_the_table() -> None:
    assert {entry[0] for entry in TABLE} == {*CHECKS, *known.CHECKS, *caution.KNOWN}


def test_every_goal_has_been_hidden_once(make_week: Callable[[], Any]) -> None:
    hidden = {words.split(":")[0] for check, words, _ in TABLE if check is goals.none_hidden}
    named = {rule.__name__ for rule in goals.RULES}
    assert {"family" if name == "families" else name for name in named} == hidden


def test_every_kind_of_limit_has_been_misstated(make_week: Callable[[], Any]) -> None:
    week = make_week()
    kinds = {name.split(":")[0] for name in limit_rows.rows(week.case())}
    changed = [int(next(iter(c)).split(".")[2]) for check, _, c in TABLE if check is limit_rows.limits_used]
    assert {week.document["limits"][row]["limit"].split(":")[0] for row in changed} == kinds


@pytest.mark.parametrize("check", limits.CHECKS, ids=lambda check: check.__name__)
def test_a_broken_limit_is_called_broken(check: Check, make_week: Callable[[], Any]) -> None:
    for other, _, changes in TABLE:
        if other is check:
            week = make_week()
            week.change(changes)
            assert {finding.kind for finding in check(week.case())} == {"breaks"}
