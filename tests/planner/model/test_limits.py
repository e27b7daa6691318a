"""Hard limits: what a plan of the tiny week uses of each, and which sets they leave; test_pins_and_keeping.py has their edges."""

from dataclasses import replace
from itertools import pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tiny_week import DONE, FLY, FRONT, MONDAY, RAISE, TUESDAY, goal, tiny
from tiny_week import PRESS as LIGHT_PRESS

from planner.model.limits import LIMITS, over_easy
from planner.model.order import in_blocks, in_order, station, urgency
from planner.model.problem import Held, JointBudget
from planner.plain import rule_words

BLOCK = Held({("press", "Mon"): 3, ("raise", "Tue"): 2, ("fly", "Tue"): 2})  # home has no fly machine


def budget(allowed, elsewhere=0.0, region="shoulder"):
    return {"joints": (JointBudget(region, allowed, elsewhere),)}


PLAN = {("press", "Mon"): 3, ("raise", "Tue"): 2}  # 540 s and 210 s, shoulder 3·2 + 2·1, wrist 3·1
DONE_PLAN = DONE | {"pins": {("press", "Mon"): 3}}
Uses = list[tuple[str, float, float, str, bool]]
USES = [
    ("time", {}, [("time:Mon", 14, 25, "min", False), ("time:Tue", 8.5, 20, "min", False)]),
    ("time", DONE_PLAN, [("time:Tue", 8.5, 20, "min", False)]),
    # a further set of the fly takes 100 s
    ("time", {"sessions": (replace(MONDAY, seconds=640), replace(TUESDAY, seconds=309))},
        [("time:Mon", 14, 15.7, "min", False), ("time:Tue", 8.5, 10.2, "min", True)]),
    ("blocks", {}, []),
    ("held", {"held": BLOCK}, []),
    ("exercises", {"settings": {"exercises_per_session": 1, "exercises_per_week": 3}},
        [("exercises:Mon", 1, 1, "exercises", True), ("exercises:Tue", 1, 1, "exercises", True),
        ("exercises:week", 2, 3, "exercises", False)]),
    ("pain", {"capped": {"raise": 2, "fly": 2}}, [("pain:raise", 2, 2, "sets", True)]),
    ("pain", {"capped": {"raise": 3}}, [("pain:raise", 2, 3, "sets", False)]),
    ("joints", budget(20.0), [("joints:shoulder", 8, 20, "grade-sets", False)]),
    ("joints", budget(9.0), [("joints:shoulder", 8, 9, "grade-sets", False)]),  # a set of grade 1 still fits
    ("joints", budget(8.9), [("joints:shoulder", 8, 8.9, "grade-sets", True)]),
    ("joints", budget(8.0, 5.0, "wrist"), [("joints:wrist", 8, 8, "grade-sets", True)]),
    ("joints", budget(8.0, 3.0, "neck"), [("joints:neck", 3, 8, "grade-sets", False)]),
    ("session_hard_cap", FRONT, []),
    # less than half a set is left
    ("session_hard_cap", FRONT | {"settings": {"session_hard_cap_sets": 3.4}},
        [("session_hard_cap:front:Mon", 3, 3.4, "direct sets", True)]),
    ("session_hard_cap", FRONT | {"settings": {"session_hard_cap_sets": 3.5}}, []),
    ("trapezius", {}, []),
    ("trapezius", {"quiet_trapezius": True}, [("trapezius", 0.66, 0.8, "of a shrug", False)]),
    ("trapezius", {"quiet_trapezius": True, "settings": {"trapezius_level": 0.67}},
        [("trapezius", 0.66, 0.67, "of a shrug", True)]),
]  # fmt: skip


def test_nothing_of_the_limits_is_without_cases_or_words():
    names = {one.name for one in LIMITS}
    assert {rule for rule, *_ in USES} == names == set(rule_words()["limit"]) and set(rule_words()) == {
        "limit",
        "goal",
    }


@pytest.mark.parametrize(("rule", "changes", "uses"), USES)
def test_use(rule, changes, uses):
    (limit,) = (one for one in LIMITS if one.name == rule)
    told = list(limit.use(tiny(**changes), PLAN))
    assert [(one.limit, one.unit, one.binds) for one in told] == [(one[0], one[3], one[4]) for one in uses]
    assert [one.used for one in told] == pytest.approx([one[1] for one in uses])
    assert [one.allowed for one in told] == pytest.approx([one[2] for one in uses])


@pytest.mark.parametrize(
    ("allowed", "elsewhere", "over"), [(20.0, 0.0, 0.0), (16.0, 0.0, 0.0), (14.0, 0.0, 1.0), (14.0, 9.0, 8.0)]
)
def test_grade_sets_above_the_easy_half(allowed, elsewhere, over):
    assert over_easy(tiny(**budget(allowed, elsewhere)), PLAN) == over


@pytest.mark.parametrize(("changes", "counts"), [
    ({}, (2, 3)), ({"pins": {("raise", "Tue"): 5}}, (5,)),
    ({"sessions": (MONDAY, replace(TUESDAY, state="missed"))}, ()),
    ({"sessions": (MONDAY, replace(TUESDAY, allowed=frozenset({"press"})))}, ()),
    ({"capped": {"raise": 2}}, (2,)), ({"held": replace(BLOCK, sets="at_most")}, (2,)),
    ({"held": Held({("raise", "Tue"): 3}, sets="at_least")}, (3,)),
    ({"held": Held({("press", "Tue"): 3})}, ()),  # no other exercise joins
    ({"held": Held({("press", "Tue"): 3}, closed=False)}, (2, 3)),
    ({"held": Held({("raise", "Mon"): 3})}, (2, 3)),  # an exercise that stays may change its day
    ({"held": Held({("raise", "Mon"): 3}, sets="at_most")}, ()),
])  # fmt: skip
def test_sets_that_raises_may_have_on_tuesday(changes, counts):
    problem = tiny(**changes)
    assert problem.choices("raise", problem.sessions[1]) == counts


# --- Order inside a session: no station gone back to, and among such orders the most urgent exercises first
PRESS = replace(LIGHT_PRESS, warmup_sets=1)


def exercise(key, *needs, **facts):
    return replace(RAISE, key=key, station=needs, grades={}, **facts)


def ordered(*candidates, **more):
    problem = tiny(candidates=candidates, **more)
    return in_order(problem, [one.key for one in candidates])


ROW = replace(PRESS, key="row", trains="", credits={"rear": 0.6}, family="row", set_seconds=90)
ROW = replace(ROW, station=("dumbbells",))
HERE = replace(FLY, station=("dumbbells",))


@pytest.mark.parametrize("asked_in", list(permutations((HERE, RAISE, PRESS, ROW))))
def test_presses_and_pulls_come_before_raises(asked_in):
    rear_first = (goal("front"), goal("side"), goal("rear", priority=2.0))
    assert ordered(*asked_in) == ["press", "row", "raise", "fly"]  # own before helping, then the longest
    assert ordered(*asked_in, heads=rear_first) == ["fly", "row", "press", "raise"]


def test_own_movements_come_before_helping_ones_and_the_first_block_is_no_pair_with_a_lift():
    twin, helper = (replace(RAISE, key=key, place=9) for key in ("twin", "helper"))
    helper = replace(helper, trains="", set_seconds=300, credits={"side": 0.6})
    assert ordered(helper, twin, RAISE) == ["raise", "twin", "helper"]
    low = exercise("low", "bands")
    push_up = replace(PRESS, key="push_up", station=(), place=9)
    twin = replace(ROW, key="twin", station=("machine",), place=8)
    problem = tiny(candidates=(RAISE, low, ROW, twin, push_up))
    pairs = [("raise", "row"), ("low", "twin")]
    first, *others = in_blocks(problem, list(problem.by_key), pairs)
    assert first == ("push_up",)
    assert {frozenset(block) for block in others} == {frozenset(pair) for pair in pairs}


PLACES = st.lists(st.sets(st.sampled_from(("x", "y", "z", "flat_bench")), max_size=2), min_size=1, max_size=5)


def returns(candidates):
    """How often a station is gone back to."""
    runs = 0
    for place in frozenset().union(*map(station, candidates)):
        at = [number for number, one in enumerate(candidates) if place in station(one)]
        runs += sum(later != earlier + 1 for earlier, later in pairwise(at))
    return runs


def twins(candidates):
    """How often two of a family stand side by side."""
    return sum(one.family == other.family for one, other in pairwise(candidates))


@given(places=PLACES, seconds=st.lists(st.integers(50, 200), min_size=5, max_size=5))
def test_the_order_is_the_best_of_all(places, seconds):
    candidates = [
        exercise(f"e{at}", *sorted(needs), set_seconds=seconds[at], place=at, family="abb"[at % 3])
        for at, needs in enumerate(places)
    ]
    problem = tiny(candidates=tuple(candidates))
    priority = {head.head: head.priority for head in problem.heads}
    ranked = []
    for order in permutations(candidates):
        ranked.append((returns(order), [urgency(one, priority, "") for one in order], order))
    first = min(ranked, key=lambda entry: entry[:2])[2][0]
    begun = [entry for entry in ranked if entry[2][0] is first]
    best = min(begun, key=lambda entry: (entry[0], twins(entry[2]), entry[1]))[2]
    assert in_order(problem, list(problem.by_key)) == [one.key for one in best]
