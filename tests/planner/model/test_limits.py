"""Hard limits: what a plan of the tiny week uses of each, and which sets they leave; test_pins_and_keeping.py has their edges."""

from dataclasses import replace

import pytest
from tiny_week import DONE, FRONT, MONDAY, TUESDAY, tiny

from planner.model.limits import LIMITS, over_easy
from planner.model.problem import Held, JointBudget

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
