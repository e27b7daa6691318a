"""Every check finds what it is there for: a table of changes to a sound week, each with words of what is found. A
path names what is changed: `document.sessions.0.exercises.1.sets`; GONE takes the entry away, a path that ends in `+`
appends. Defaults are changed in brief and document alike, so that no other check sees them."""

import re
from functools import cache

import pytest
from cautious_week import cautious, default

from planner.verify import limits
from planner.verify.recheck import CHECKS, names_known

GONE = "<gone>"
MON, THU = "document.sessions.0", "document.sessions.1"
PRESS, RAISE, FLY = f"{MON}.exercises.0", f"{MON}.exercises.1", f"{MON}.exercises.2"
NO_CABLE = {f"{day}.exercises.2.exercise": "raise" for day in (MON, THU)}


def moved(day):
    """Thursday's session is held on another day, in brief and document."""
    return {"brief.session.1.day": day, f"{THU}.id": day, f"{THU}.day": day}


def line(goal, by=1.0):
    return {"document.missed.+": {"goal": goal, "by": by, "unit": "sets"}}


def in_turns(one, other):
    """Two exercises share a block, as the brief asks."""
    return {"brief.preferences.paired": True, f"{one}.block": "Z", f"{other}.block": "Z"}


FRONT_LIFT = {"exercise": "front_lift", "sets": 4, "reps": [8, 12]}


def pin(key, day, sets):
    return {"brief.preferences.pin": {key: {"day": day, "sets": sets}}}


def limit(name):
    return {"limit": name, "used": 0, "allowed": 9, "unit": "sets", "binds": False}


BENCHED = {f"{PRESS}.exercise": "bench_press"}  # no change lowers its grade
THERE_AND_BACK = ("raise", "cable_fly", "front_lift")
WITHOUT_BANDS = {"kind": "without", "name": "band"}
# the method says nothing of a clear region: the table of limits is all there is
UNPRICED = {"document.made_with.method.joint_budget_clear": GONE}
LAST_WEEK = {"last_week": "document"} | {
    f"last_week.sessions.{day}.exercises.0.exercise": "push_up" for day in (0, 1)
}
BLOCK = {"first": "2026-W49", "number": 1, "of": 6, "lighter": False, "ramp_share": 0.0}


def mark(**changes):
    """The week is the first of a block of six."""
    return {"document.block": BLOCK | changes}


LIMITS = ["time:Mon", "time:Thu", "exercises:Mon", "exercises:Thu", "exercises:week", "joints:subacromial"]
LIMITS += ["joints:anterior_capsule", "trapezius", "session_hard_cap:side:Mon"]  # as the document has them

# part of the words of a finding, changes
TABLE = [
    ("the plan states pres", {f"{PRESS}.exercise": "pres"}),
    ("the plan states push", {f"{PRESS}.instead.0.exercise": "push"}),
    ("the plan states middle", {f"{PRESS}.credits.middle": 1.0}),
    ("the plan states middle", {"document.dose.0.head": "middle"}),
    ("the plan states barn", {f"{MON}.gym": "barn"}),
    ("the plan states Moon", {f"{MON}.day": "Moon"}),
    ("use of time:Mon: found 28.75", {"brief.session.0.minutes": 28}),
    ("Mon: sets of press", {f"{PRESS}.sets": 5}),
    ("Mon: sets of raise", {f"{RAISE}.sets": 1}),
    ("sets of press", {f"{PRESS}.sets": 5, "brief.preferences.pin": {"press": {"day": "Thu", "sets": 5}}}),
    ("blocks of press", {f"{RAISE}.exercise": "press"}),
    ("use of exercises:Thu", default("exercises_per_session", 2)),
    ("use of exercises:week", default("exercises_per_week", 2)),
    ("Thu: pinned sets of raise", pin("raise", "Thu", 4)),
    ("pinned sets of push_up", pin("push_up", "Mon", 2)),
    ("Mon: pinned sets of press", {f"{PRESS}.sets": 3} | pin("press", "Mon", 4)),
    ("cable_fly: found lacks cable_station", {"gyms.club.equipment": ["dumbbells", "adjustable_bench"]}),
    ("press: found lacks adjustable_bench", {"gyms.club.equipment": ["dumbbells", "cable_station"]}),
    ("press: found subacromial grade 2 above 1", {"brief.joints.subacromial": "avoid"}),
    ("press: found subacromial grade 2 above 1", {"brief.history": {"flags": ["arch"]}}),
    ("barbell, subacromial grade 3 above 2", {f"{PRESS}.exercise": "high_pull", "brief.joints": {}}),
    ("use of joints:subacromial", default("joint_budget_careful", 20)),
    ("use of joints:subacromial", default("joint_budget_subacromial", 20)),
    # 4·2 elsewhere and 4·2 here
    ("use of joints:anterior_capsule", UNPRICED | BENCHED | {"document.limits.6.allowed": 15}),
    ("barbell, anterior_capsule grade 2 above 1", BENCHED | {"brief.joints.anterior_capsule": "careful"}),
    ("raise: found excluded by the coach", {"brief.preferences.exclude": ["raise"]}),
    ("swung_raise: found kept for comparison", {f"{RAISE}.exercise": "swung_raise"}),
    ("use of trapezius", default("trapezius_level", 0.5)),
    ("use of session_hard_cap:side:Mon", default("session_hard_cap_sets", 6)),
    ("instead of press: found Mon: bench_press lacks barbell", {f"{PRESS}.instead.0.exercise": "bench_press"}),
    ("swung_raise instead of press", {f"{PRESS}.instead.0.exercise": "swung_raise"}),
    ("push_up instead of press: found Mon: push_up excluded", {"brief.preferences.exclude": ["push_up"]}),
    ("high_pull lacks barbell, subacromial grade 3", {f"{PRESS}.instead.0.exercise": "high_pull"}),
    ("instead of press: found 0 sets", {f"{PRESS}.instead.0.sets": 0}),
    ("instead of press: found 5 sets", {f"{PRESS}.instead.0.sets": 5}),
    ("push_up instead of press: found use of exercises:week 4", default("exercises_per_week", 3)),
    ("raise instead of press: found in this session already", {f"{PRESS}.instead.0.exercise": "raise"}),
    ("push_up instead of press: found goal dose:front that must hold", {"brief.target.front.must": True}),
    ("front_lift instead of raise: found goal ceiling:front that must hold",
        {f"{RAISE}.instead": [FRONT_LIFT],
        "brief.target.front": {"target": 10, "ceiling": 12.2, "must": True}}),
    ("use of pain:press: found 8, the rule allows 6", {"capped": {"press": 6}}),
    ("Mon: press: found waits for a doctor", {"barred": {"press": "waits for a doctor"}}),
    ("Mon: slow_raise: found skill 3 above 1", {f"{RAISE}.exercise": "slow_raise"}),
    ("Mon: cable_fly: found cable, not one of dumbbell", {"brief.preferences.only": ["dumbbell"]}),
    ("Mon: raise: found excluded", {"brief.preferences.exclude": ["lateral_raise"]}),
    ("Mon: cable_fly: found excluded", {"brief.preferences.exclude": ["cable"]}),
    ("Mon: press: found arm at 170 degrees, at most 120", {"brief.joints.arm_at_most_degrees": 120}),
    # a barbell in the room: its press is milder
    ("Mon: press: found subacromial grade 2 above 1", {"gyms.club.equipment.+": "barbell"}),
    ("Thu: blocks of press: found 1 blocks, the rule allows 0", {f"{THU}.state": "missed"}),
    ("limit time:Sun: found no such limit", {"document.limits.+": limit("time:Sun")}),
    ("limit pain:press, used: found 8", {"capped": {"press": 9}, "document.limits.+": limit("pain:press")}),
    ("limit time:Mon: found once, the plan states 2 times", {"document.limits.+": limit("time:Mon")}),
    ("limit trapezius: found no such limit", {"brief.preferences.trapezius": False}),
    *((f"limit {LIMITS[row]}: found", {f"document.limits.{row}": GONE}) for row in (0, 1, 2, 3, 4, 7)),
    *((f"limit {name}, used", {f"document.limits.{row}.used": 2}) for row, name in enumerate(LIMITS)),
    *((f"limit {name}: found", {f"document.limits.{row}.binds": True}) for row, name in enumerate(LIMITS) if row),
    ("does not bind", default("exercises_per_session", 3)),
    ("credit of raise for front", {f"{RAISE}.credits.front": GONE}),
    ("credit of raise for rear", {f"{RAISE}.credits.rear": 0.25}),
    ("credit of press for front", {"ratios.front.press": 0.6}),
    ("credit of press for side", {"document.made_with.counting": "movers", "ratios.side.press": 0.7}),
    ("slow_raise for side", {f"{RAISE}.exercise": "slow_raise"} | default("eccentric_weight", 1.25)),
    ("lines of dose of rear: found 1, the plan states 0", {"document.dose.2": GONE}),
    ("lines of dose of side: found 1, the plan states 2", {"document.dose.2.head": "side"}),
    ("dose of trap: found a head that is only watched", {"document.dose.2.head": "trap"}),
    ("head of press: found front", {f"{PRESS}.trains": "side"}),
    ("head of press: found ,", {"brief.target.front": 0}),
    ("dose from elsewhere of front", {"document.dose.0.elsewhere": 0}),
    ("elsewhere of front: found 5 sets", {"brief.elsewhere": {"front_lift": 20}}),
    ("elsewhere of front: found 12 sets", {"brief.elsewhere.bench_press": {"sets": 20, "whole": True}}),
    ("target of rear: found 10 sets", {"brief.athlete.training_status": "intermediate"}),
    ("target of side: found 6 sets", {"brief.target.side": {"now": 5}}),
    ("target of side: found 2 sets", {"brief.target.side": {"now": 1}}),
    ("target of side: found 9 sets", {"brief.target.side": {"floor": 9}}),
    ("target of side: found 7 sets", {"brief.target.side": {"ceiling": 7}}),
    ("interval of front", {"document.dose.0.low90": 12.7}),
    ("interval of side", {"document.dose.1.high90": 9.0}),
    ("interval of rear", {"document.dose.2.low90": -1}),
    ("a chance from 0 to 1", {"document.dose.0.chance_floor": 1.2}),
    ("a chance from 0 to 1", {"document.dose.0.chance_target90": -0.1}),
    ("the farther dose is no likelier", {"document.dose.1.chance_floor": 0.5}),
    ("goal dose:rear", {"document.missed.0": GONE}),
    ("goal ceiling:side", {"document.missed.1": GONE}),
    ("goal prefer:raise:", line("prefer:raise") | {"brief.preferences.prefer": ["raise"]}),
    ("goal prefer:high_pull:", line("prefer:high_pull") | {"brief.preferences.prefer": ["high_pull"]}),
    ("goal dose:side:", line("dose:side")),
    ("goal heavy_days:side:Mon-Thu:", line("heavy_days:side:Mon-Thu")),
    ("goal family:shrug:", line("family:shrug") | {"brief.variety.families": ["shrug"]}),
    ("goal rotation: found no such", line("rotation")),
    ("goal dose:rear: found once", line("dose:rear", 2)),
    ("goal dose:rear, missed by: found 2 sets, the plan states 1", {"document.missed.0.by": 1.0}),
    ("goal heavy_days:side:Mon-Tue, missed by: found 1 sets", moved("Tue") | line("heavy_days:side:Mon-Tue", 3)),
    ("rotation, missed by: found 1 sets", LAST_WEEK | {"brief.variety.keep": 3} | line("rotation", 2)),
    ("goal dose:rear that must hold", {"brief.target.rear": {"must": True}}),
    ("goal implements that must hold", NO_CABLE | {"brief.variety": {"implements": 2, "must": True}}),
    ("goal family:push_up that must hold", {"brief.variety": {"families": ["push_up"], "must": True}}),
    ("block A", {f"{RAISE}.block": "A"}),
    ("block A", {f"{FLY}.block": "A", "brief.preferences.paired": True}),
    ("block A", {f"{RAISE}.block": "A", f"{FLY}.block": "A", "brief.preferences.paired": True}),
    ("4 and 3 sets", in_turns(PRESS, FLY)),
    ("both for side", in_turns(RAISE, FLY) | {f"{FLY}.exercise": "high_pull"}),
    ("both for front", in_turns(PRESS, RAISE) | {f"{RAISE}.exercise": "push_up"} | default("pair_working_credit", 0.7)),
    ("both at adjustable_bench", in_turns(PRESS, RAISE) | {f"{RAISE}.exercise": "bench_press"}),
    ("press is a heavy lift", in_turns(PRESS, FLY) | default("pair_heavy_warmup_sets", 1)),
    ("press begins the session", in_turns(PRESS, RAISE)),
    ("front_lift goes back", dict(zip((f"{at}.exercise" for at in (PRESS, RAISE, FLY)), THERE_AND_BACK, strict=True))),
    ("raise with cable_fly: found 11.25", in_turns(RAISE, FLY)),
    ("Mon: minutes used: found 27 min", in_turns(RAISE, FLY)),
    # one fly more than raises: 142 s by itself
    ("use of time:Mon: found 29.37", in_turns(RAISE, FLY) | {f"{FLY}.sets": 4, "brief.session.0.minutes": 29}),
    ("time of press", default("warmup_set_seconds", 80)),
    ("minutes used: found 0 min", {f"{MON}.exercises": [], f"{MON}.minutes.used": 4}),
    ("Mon: minutes used", default("general_warmup_minutes", 4)),
    ("Mon: minutes used", {f"{RAISE}.block": "A", f"{PRESS}.minutes": 9.8, "brief.preferences.paired": True}),
    ("sessions: found", {f"{MON}.day": "Tue"}),
    ("the plan states Mon 30 min in club", {"brief.session.0.gym": "barn"}),
    ("sessions: found", {THU: GONE}),
    ("session id: found", {f"{MON}.id": "Tue"}),
    *((f"{word} of press", {f"{PRESS}.{field}": value}) for word, field, value in (
        ("name", "name", "Press"), ("repetitions", "reps", [6, 14]), ("kind of load", "load_is", "total"))),
    ("repetitions of push_up", {f"{PRESS}.instead.0.reps": [1, 2]}),
    ("unit of press", {f"{PRESS}.load_unit": "lb"}),
    ("unit of press", {f"{PRESS}.load_unit": None}),
    ("unit of press", {"gyms.club.unit": "lb"}),
    ("load of press", {f"{PRESS}.load": 11}),
    ("load of press", {f"{PRESS}.load": 42}),
    ("load of press: found no such load in club kg", {f"{PRESS}.warmup_loads": [5]}),
    ("load of cable_fly", {f"{FLY}.load": 12.5}),
    ("the plan states front.nothing", {"document.sources.+": "front.nothing"}),
    ("the plan states own.1", {"document.sources.+": "own.1"}),
    ("sources of press for front: found front.press", {"document.sources.0": GONE}),
    ("default spread_sets", {"brief.method.spread_sets": 3}),
    ("default aside_share", {"document.made_with.method.aside_share": "0.4"}),
    ("athlete: found", {"document.athlete": "Somebody"}),
    ("units: found", {"document.units": "lb"}),
    ("week's start: found", {"document.week_start": "2026-12-01"}),
    ("week's start: found", {"document.week": "2025-W53"}),
    ("counting: found", {"brief.method.counting": "movers"}),
    ("2026-W49: found hard", mark(lighter=True)),
    ("week 6 of the block from 2026-W44: found lighter", mark(number=6, first="2026-W44")
        | default("lighter_every_weeks", 6)),
    ("2026-W49: found lighter", mark() | {"brief.block.lighter": ["2026-W49"]}),
    ("start of week 2 of the block from 2026-W48", mark(number=2, first="2026-W48")
        | {"brief.block.away": ["2026-W49"]}),
    ("start of week 2", mark(number=2)),
    ("rise of a step", mark(ramp_share=0.25)),
    ("Mon: reserve of press: found 2", {f"{PRESS}.rir": 3}),
    ("Mon: reserve of press: found 4", {"document.exercise_warnings": [
        {"exercise": "press", "text": "pain 4", "kind": "fewer"}]}),
    ("Thu: reserve of raise: found 3", mark() | {"brief.block.reserve": [3, 3, 2, 2, 2, 2]}),
    ("Thu: reserve of raise: found 4", mark(lighter=True) | {"brief.block.lighter": ["2026-W49"]}),
    ("library: found", {"document.made_with.library": "ba9876543210"}),
    ("rows of proof: found", {"document.proof.0": GONE}),
    ("rows of proof: found", {"document.proof.0.aim": "rest"}),
    ("unit of the dose aim", {"document.proof.0.unit": "sets"}),
    ("value of the dose aim: found 2 missed", {"brief.target.rear.priority": 1}),
    ("bound of the dose aim: found a bound among", mark(number=2, first="2026-W48")
        | {"last_week": "document", "last_week.block": BLOCK}),
    ("bound of the rest aim: found a bound among", {"document.changes": [WITHOUT_BANDS]}),
    ("seconds of the rest aim", {"document.proof.1.seconds": -1}),
    ("dose 1, rest 0 or 1", {"document.proof.0.aim": "shortfall"}),
    ("shortfall 1, rest 0 or 1", cautious() | {"document.proof.0.aim": "dose"}),
    ("unit of the shortfall", cautious() | {"document.proof.0.unit": "sets"}),
    ("plain week: found", cautious(plain_blocks__0__exercise="pres")),
    ("plain week: found", cautious(plain_blocks__0__session="Sun")),
    ("plain week: found", cautious(plain_blocks__0__name="bench press")),
    ("plain week: sets", cautious(plain__sets=11)),
    ("cautious week: exercises", cautious(cautious__exercises=4)),
    ("cautious week: minutes", cautious(cautious__minutes=57)),
    ("cautious week: priced minutes", cautious(cautious__priced_minutes=7.3)),
    ("plain week: minutes", cautious(plain__minutes=28.0)),
    ("heads of the cautious", cautious(heads__0=GONE)),
    ("plain week: front: dose", cautious(heads__0__plain__dose=7.5)),
    ("cautious week: side: dose", cautious(heads__1__cautious__dose=12.0)),
    ("front: exercises", cautious(heads__0__plain__exercises=3)),
    ("side: largest", cautious(heads__1__cautious__largest="press")),
    ("rear: largest share", cautious(heads__2__plain__largest_share=0.9)),
    ("chances of rear", cautious(heads__2__cautious__chance_floor=1.0)),
    ("on its own draws", cautious(plain__own_shortfall=2.9)),
    ("value of the shortfall", cautious() | {"document.proof.0.value": 2.9}),
]  # fmt: skip


@pytest.fixture(scope="module")
def checked(make_week):
    """Every check that finds something in the week with the changes of a row, and what it finds."""

    @cache
    def findings(place):
        case = make_week().change(TABLE[place][1]).case()
        unknown = {check: found for check in (names_known,) if (found := list(check(case)))}
        return unknown or {check: found for check in CHECKS if (found := list(check(case)))}

    return findings


@pytest.mark.parametrize("place", range(len(TABLE)), ids=[f"{words}-{next(iter(c))}" for words, c in TABLE])
def test_a_change_is_found_and_a_broken_limit_is_called_broken(place, checked):
    found = checked(place)
    texts = [str(finding) for of in found.values() for finding in of]
    assert any(TABLE[place][0] in text for text in texts), texts
    assert {finding.kind for check in limits.HARD for finding in found.get(check, ())} <= {"breaks"}


def test_every_check_finds_something_and_every_kind_of_limit_has_been_misstated(checked, make_week):
    assert {*CHECKS, names_known} == {check for place in range(len(TABLE)) for check in checked(place)}
    kinds = {name.split(":")[0] for name in limits.rows(make_week().case())}
    limits_used = {re.split(":|,", words)[0] for words, _ in TABLE if words.endswith(", used")}
    assert {f"limit {kind}" for kind in kinds} == limits_used
