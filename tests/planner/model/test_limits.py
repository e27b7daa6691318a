"""Hard limits: the rows of each on the tiny week, and what a plan uses of it."""

from dataclasses import replace
from typing import Any

import pytest
from row_printer import RULES, added, written
from tiny_week import DONE, FLY, FRONT, MONDAY, PRESS, RAISE, TUESDAY, tiny

from planner.model.limits import over_easy
from planner.model.problem import Held, JointBudget
from planner.model.program import Limit

PAIRED = {
    "paired": True,
    "candidates": (replace(PRESS, rest_seconds=120), replace(RAISE, rest_seconds=75),
        replace(FLY, rest_seconds=60, credits={"rear": 1.0})),
}  # fmt: skip
BLOCK = Held({("press", "Mon"): 3, ("raise", "Tue"): 2, ("fly", "Tue"): 2})  # home has no fly machine


def budget(allowed, elsewhere=0.0, region="shoulder"):
    return {"joints": (JointBudget(region, allowed, elsewhere),)}


ROWS: list[tuple[str, dict[str, Any], str]] = [
    ("time", {}, """
        time:Mon: 380|540 press:Mon + 210|330 raise:Mon + 180|280 fly:Mon <= 1200 s
        time:Tue: 380|540 press:Tue + 210|330 raise:Tue <= 900 s"""),
    ("time", DONE | {"pins": {("press", "Mon"): 9}}, "time:Tue: 380|540 press:Tue + 210|330 raise:Tue <= 900 s"),
    # n sets in turns save n·(both rests − 5 s − the longer rest) − the shorter rest
    ("time", PAIRED, """
        #1 in 0..1 whole
        #2 in 0..1 whole
        #3 in 0..1 whole
        #4 in 0..1 whole
        #5 in 0..1 whole
        pairs:0:Mon: -1 press:Mon + 1 #1 <= 0 pairs
        pairs:1:Mon: -1 press:Mon + 1 #2 <= 0 pairs
        pairs:2:Mon: -1 raise:Mon + 1 #3 <= 0 pairs
        pairs:3:Mon: -1 raise:Mon + 1 #4 <= 0 pairs
        pairs:4:Mon: -1 fly:Mon + 1 #1 + 1 #3 <= 0 pairs
        pairs:5:Mon: -1 fly:Mon + 1 #2 + 1 #4 <= 0 pairs
        pairs:lifts:Mon: 1 #1 + 1 #2 + -2 #5 <= 0 lifts
        pairs:first:Mon: 0 <= 1|1 press:Mon + -1 #1 + -1 #2 + -1 #5 lifts
        time:Mon: 380|540 press:Mon + 210|330 raise:Mon + 180|280 fly:Mon
        + -50 #1 + -105 #2 + -50 #3 + -105 #4 <= 1200 s
        time:Tue: 380|540 press:Tue + 210|330 raise:Tue <= 900 s"""),
    ("blocks", {"candidates": (RAISE, FLY)}, """
        blocks:raise:Mon: 1|1 raise:Mon + -1 raise <= 0 blocks
        blocks:raise:Tue: 1|1 raise:Tue + -1 raise <= 0 blocks
        blocks:fly:Mon: 1|1 fly:Mon + -1 fly <= 0 blocks
        blocks:raise: -1|-1 raise:Mon + -1|-1 raise:Tue + 1 raise <= 0 blocks
        blocks:fly: -1|-1 fly:Mon + 1 fly <= 0 blocks"""),
    ("exercises", {}, """
        exercises:Mon: 1|1 press:Mon + 1|1 raise:Mon + 1|1 fly:Mon <= 6 exercises
        exercises:Tue: 1|1 press:Tue + 1|1 raise:Tue <= 6 exercises
        exercises:week: 1 press + 1 raise + 1 fly <= 9 exercises"""),
    # what was trained stands, above the limit too
    ("exercises", DONE | {"pins": {("press", "Mon"): 3, ("fly", "Mon"): 2}, "settings": {"exercises_per_week": 1}}, """
        exercises:Tue: 1|1 press:Tue + 1|1 raise:Tue <= 6 exercises
        exercises:week: 1 press + 1 raise + 1 fly <= 2 exercises"""),
    ("held", {}, ""),
    ("held", {"held": BLOCK}, """
        held:press: 1 <= 1 press exercises
        held:raise: 1 <= 1 raise exercises
        held:fly: 1 <= 1 fly exercises"""),
    ("held", {"held": replace(BLOCK, blocks=True)}, """
        held:press:Mon: 1 <= 1|1 press:Mon exercises
        held:raise:Tue: 1 <= 1|1 raise:Tue exercises"""),
    ("pain", {"capped": {"raise": 3}}, "pain:raise: 2|3 raise:Mon + 2|3 raise:Tue <= 3 sets"),
    ("pain", {"capped": {"raise": 1, "gone": 4}}, ""),  # less than a block: no column is left
    ("pain", {"capped": {"press": 3}, "pins": {("press", "Tue"): 4}},
        "pain:press: 2|3 press:Mon + 4 press:Tue <= 4 sets"),
    ("joints", {}, """
        #1 in 0..inf at 0.3 min
        joints:shoulder: 4|6 press:Mon + 4|6 press:Tue + 2|3 raise:Mon + 2|3 raise:Tue <= 20 grade-sets
        joints_easy:shoulder: 4|6 press:Mon + 4|6 press:Tue + 2|3 raise:Mon + 2|3 raise:Tue
        + -1 #1 <= 10 grade-sets"""),
    ("joints", budget(6.0, elsewhere=9.0, region="wrist"), """
        #1 in 0..inf at 0.3 min
        joints:wrist: 2|3 press:Mon + 2|3 press:Tue <= 0 grade-sets
        joints_easy:wrist: 2|3 press:Mon + 2|3 press:Tue + -1 #1 <= 0 grade-sets"""),
    # what was trained stands, above the budget too
    ("joints", DONE | {"pins": {("press", "Mon"): 4}} | budget(3.0, elsewhere=1.0, region="wrist"), """
        #1 in 0..inf at 0.3 min
        joints:wrist: 4 press:Mon + 2|3 press:Tue <= 4 grade-sets
        joints_easy:wrist: 4 press:Mon + 2|3 press:Tue + -1 #1 <= 0.5 grade-sets"""),
    ("joints", budget(6.0, region="neck"), ""),
    ("session_hard_cap", FRONT, """
        session_hard_cap:front:Mon: 2|3 press:Mon + 0.8|1.2 raise:Mon <= 24 direct sets
        session_hard_cap:front:Tue: 2|3 press:Tue + 0.8|1.2 raise:Tue <= 24 direct sets"""),
    ("trapezius", {}, ""),
    # of a shrug: 0.5, 0.9 and 0.3 against 0.8
    ("trapezius", {"quiet_trapezius": True}, """
        trapezius: -0.6|-0.9 press:Mon + -0.6|-0.9 press:Tue + 0.2|0.3 raise:Mon + 0.2|0.3 raise:Tue
        + -1|-1.5 fly:Mon <= 0 of a shrug · sets"""),
    # three raises are done: the rest must not add to them
    ("trapezius", DONE | {"quiet_trapezius": True, "candidates": (RAISE,), "pins": {("raise", "Mon"): 3}},
        "trapezius: 0.3 raise:Mon + 0.2|0.3 raise:Tue <= 0.3 of a shrug · sets"),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "changes", "rows"), ROWS)
def test_rows(rule, changes, rows):
    assert added(rule, tiny(**changes)) == written(rows)


PLAN = {("press", "Mon"): 3, ("raise", "Tue"): 2}  # 540 s and 210 s, shoulder 3·2 + 2·1, wrist 3·1
DONE_PLAN = DONE | {"pins": {("press", "Mon"): 3}}
Uses = list[tuple[str, float, float, str, bool]]
USES: list[tuple[str, dict[str, Any], Uses]] = [
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


@pytest.mark.parametrize(("rule", "changes", "uses"), USES)
def test_use(rule, changes, uses):
    limit = RULES[rule]
    assert isinstance(limit, Limit)
    told = list(limit.use(tiny(**changes), PLAN))
    assert [(one.limit, one.unit, one.binds) for one in told] == [(one[0], one[3], one[4]) for one in uses]
    assert [one.used for one in told] == pytest.approx([one[1] for one in uses])
    assert [one.allowed for one in told] == pytest.approx([one[2] for one in uses])


@pytest.mark.parametrize(
    ("allowed", "elsewhere", "over"), [(20.0, 0.0, 0.0), (16.0, 0.0, 0.0), (14.0, 0.0, 1.0), (14.0, 9.0, 8.0)]
)
def test_grade_sets_above_the_easy_half(allowed, elsewhere, over):
    assert over_easy(tiny(**budget(allowed, elsewhere)), PLAN) == over


@pytest.mark.parametrize(
    ("changes", "counts"),
    [
        ({}, (2, 3)),
        ({"pins": {("raise", "Tue"): 5}}, (5,)),
        ({"sessions": (MONDAY, replace(TUESDAY, state="missed"))}, ()),
        ({"sessions": (MONDAY, replace(TUESDAY, allowed=frozenset({"press"})))}, ()),
        ({"capped": {"raise": 2}}, (2,)),
        ({"held": replace(BLOCK, sets="at_most")}, (2,)),
        ({"held": Held({("raise", "Tue"): 3}, sets="at_least")}, (3,)),
        ({"held": Held({("press", "Tue"): 3})}, ()),  # no other exercise joins
        ({"held": Held({("press", "Tue"): 3}, closed=False)}, (2, 3)),
        ({"held": Held({("raise", "Mon"): 3})}, (2, 3)),  # an exercise that stays may change its day
        ({"held": Held({("raise", "Mon"): 3}, sets="at_most")}, ()),
    ],
)
def test_sets_that_raises_may_have_on_tuesday(changes, counts):
    problem = tiny(**changes)
    assert problem.choices("raise", problem.session("Tue")) == counts
