"""The recheck and the planner read the method alike, though neither knows the other, on any brief."""

import math

import pytest
from cautious_week import sure_heads
from hypothesis import given
from hypothesis import strategies as st

from library.credit import expected_credit, movers_credit
from library.method import CreditSettings
from library.schema import HIGHEST_GRADE
from planner.athlete.targets import joint_allowances, weekly_targets
from planner.method import GRADES, TOLD, AthleteSettings
from planner.train.kin import WAITS, waiting_heads
from planner.verify.asked import allowance, asked, waiting, wanted
from planner.verify.printed import NINE_TENTHS
from planner.verify.sums import by_activation, by_movers

sets = st.none() | st.integers(0, 60)
targets = st.fixed_dictionaries(
    {"floor": sets, "target": sets, "ceiling": sets, "now": sets, "priority": st.sampled_from((0.5, 1, 3))}
)
words = st.sampled_from(("clear", "careful", "avoid"))


@given(
    status=st.sampled_from(("novice", "intermediate", "advanced")),
    wishes=st.dictionaries(st.sampled_from(("front", "side", "rear")), targets),
)
def test_targets_agree(status, wishes, make_week):
    week = make_week()
    week.brief["athlete"]["training_status"], week.brief["target"] = status, wishes
    case = week.case()
    found, _ = weekly_targets(case.brief, case.library, AthleteSettings())
    assert set(found) == set(wanted(case))
    for head, goal in found.items():
        mine = asked(case, head)
        theirs = (goal.floor, goal.target, goal.ceiling)
        assert (mine.floor, mine.target, mine.ceiling) == pytest.approx(theirs)
        assert (mine.priority, mine.must) == (goal.priority, goal.must)


@given(
    joints=st.dictionaries(st.sampled_from(("subacromial", "anterior_capsule")), words),
    flags=st.sampled_from(([], ["arch"])),
)
def test_joint_allowances_agree(joints, flags, make_week):
    week = make_week()
    week.brief |= {"joints": joints, "history": {"flags": flags}}
    case = week.case()
    found = joint_allowances(case.brief, case.library)
    assert found == {region: allowance(case, region) for region in case.library.regions}


side_movements = ("raise", "high_pull", "slow_raise", "swung_raise")


@given(
    hurt=st.lists(st.sampled_from(side_movements), unique=True),
    kin=st.lists(st.sampled_from((*side_movements, "press")), unique=True),
    last=st.sets(st.sampled_from((*side_movements, "press", "front_lift"))),
)
def test_heads_that_wait_agree(hurt, kin, last, make_week):
    week = make_week()
    week.barred = dict.fromkeys(kin, "is of one family with") | dict.fromkeys(hurt, f"{WAITS} since a day")
    week.last_sets = {(key, "Mon"): 3 for key in last}
    case = week.case()
    assert waiting(case) == waiting_heads(case.barred, case.library, last)


def test_a_head_whose_one_movement_of_last_week_hurts_waits_with_half_of_its_target(make_week):
    week = make_week()
    whole = asked(week.case(), "side").target
    week.barred = {"raise": f"{WAITS} since 2026-11-12 (pain stays)"}  # one of three in the library
    assert asked(week.case(), "side").target == whole / 2
    week.last_sets = {("high_pull", "Mon"): 3, ("slow_raise", "Thu"): 3}
    assert asked(week.case(), "side").target == whole


def test_what_is_told_and_the_scale_of_grades_agree():
    assert TOLD.near_target == NINE_TENTHS
    assert GRADES.preferred == HIGHEST_GRADE


@given(ratio=st.floats(0.05, 2), spread=st.just(0.0) | st.floats(0.05, 1.5), weight=st.floats(0.5, 2))
def test_credits_agree(ratio, spread, weight, make_week):
    week = make_week()
    week.pooled = sure_heads({"side": {"slow_raise": ratio}}, spread)
    week.document["made_with"]["method"]["eccentric_weight"] = weight
    wanted = expected_credit(math.log(ratio), spread, 0.7, CreditSettings(eccentric_weight=weight))
    found, least = by_activation(week.case(), "slow_raise", "side"), CreditSettings().least_credit
    assert found == pytest.approx(wanted, abs=1e-5) or abs(found + wanted - least) < 1e-4
    assert by_movers(week.case(), "slow_raise", "side") == movers_credit(round(ratio, 4))
