"""The recheck, the planner and the model read the method alike, though none knows the others, on any brief and any plan."""

import math
import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from cautious_week import sure_heads
from hypothesis import given
from hypothesis import strategies as st

from library.credit import expected_credit, movers_credit
from library.method import CreditSettings
from library.pool import for_athlete, pool_library
from library.read import read_library
from library.schema import HIGHEST_GRADE
from planner.athlete.reading import method_of, read_athlete
from planner.athlete.targets import joint_allowances, weekly_targets
from planner.document import MissedGoal, WeekDocument
from planner.method import GRADES, TOLD, TOLERANCES, AthleteSettings, WeekSettings
from planner.model.aims import dose_value, misses
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.train.kin import WAITS, waiting_heads
from planner.verify.asked import allowance, asked, faults, waiting, wanted
from planner.verify.case import Case
from planner.verify.goals import missed_goals
from planner.verify.printed import NINE_TENTHS, lift_price, missed_price
from planner.verify.sums import by_activation, by_movers, credit, dose, replaced
from planner.week.compose import made_with

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


def test_half_of_a_target_waits_alike_and_the_scale_of_grades_agrees(make_week):
    week = make_week()
    whole = asked(week.case(), "side").target
    week.barred = {"raise": f"{WAITS} since 2026-11-12 (pain stays)"}  # one of three in the library
    assert asked(week.case(), "side").target == whole / 2
    week.last_sets = {("high_pull", "Mon"): 3, ("slow_raise", "Thu"): 3}
    assert asked(week.case(), "side").target == whole
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


# --- Model and recheck, which share no code, read the method alike: on any plan of the sample briefs, good or bad
TESTS = Path(__file__).parents[2]
BRIEFS = [TESTS.parent / "demo_athlete", *sorted(file.parent for file in TESTS.glob("briefs/*/brief.toml"))]
PLANS = 6
SLACK = TOLERANCES


@cache
def inputs_of(folder):
    library = read_library()
    brief, gyms = read_athlete(folder, library)
    week, given = method_of(brief, WeekSettings), method_of(brief, CreditSettings)
    targets, _ = weekly_targets(brief, library, method_of(brief, AthleteSettings))
    return Inputs(library, brief, gyms, targets, for_athlete(pool_library(library), library), week, given)


def any_plan(problem, dice):
    """Up to five exercises a session, whatever its minutes and goals say."""
    plan = {}
    for session in problem.sessions:
        keys = sorted(key for key in session.allowed if problem.choices(key, session))
        for key in dice.sample(keys, min(len(keys), dice.randint(0, 5))):
            plan[key, session.id] = dice.choice(problem.choices(key, session))
    return plan


def case_of(inputs, plan):
    bare = [({"id": s.day, "day": s.day, "gym": s.gym}, s.minutes) for s in inputs.brief.session]
    sessions = [of | {"minutes": {"allowed": most, "used": 0}, "exercises": []} for of, most in bare]
    facts = dict.fromkeys(("dose", "limits", "missed", "proof", "sources"), ())
    facts |= {"week": "2026-W49", "week_start": "2026-11-30", "athlete": "a", "units": "kg"}
    document = WeekDocument.model_validate(
        facts | {"status": "proven", "made_with": made_with(inputs), "sessions": sessions}
    )
    case = Case(document, inputs.library, inputs.brief, inputs.gyms, pooled=inputs.profiles)
    days = {session.id for session in document.sessions}
    lines = {day: [(key, sets) for (key, where), sets in plan.items() if where == day] for day in days}
    return case.with_sessions({day: [replaced(case, *at) for at in lines[day]] for day in days})


@pytest.mark.parametrize("folder", BRIEFS, ids=lambda folder: folder.name)
def test_both_miss_the_same_goals_by_the_same(folder):
    inputs, dice = inputs_of(folder), random.Random(folder.name)
    problem = build_problem(inputs)
    for _ in range(PLANS):
        plan = any_plan(problem, dice)
        case = case_of(inputs, plan)
        mine, theirs = missed_goals(case), {miss.goal: miss.by for miss in misses(problem, plan)}
        surely = {name for name, goal in mine.items() if goal.least > SLACK.goal}
        assert surely <= theirs.keys() <= mine.keys()
        for name, by in theirs.items():
            assert mine[name].least - SLACK.goal <= by <= mine[name].most + SLACK.goal, name
        value = sum(missed_price(case, dose(case, h).counted, asked(case, h)) for h in wanted(case))
        said = tuple(MissedGoal(goal=name, by=by, unit="") for name, by in theirs.items())
        value += lift_price(replace(case, document=case.document.model_copy(update={"missed": said})))
        assert value == pytest.approx(dose_value(problem, plan), abs=SLACK.value)


@pytest.mark.parametrize("folder", BRIEFS, ids=lambda folder: folder.name)
def test_both_admit_the_same_exercises_at_the_same_worth(folder):
    inputs = inputs_of(folder)
    case, sessions = case_of(inputs, {}), build_problem(inputs).sessions
    for key, exercise in inputs.library.exercises.items():
        worths = {head: credit(case, key, head) for head in wanted(case)}
        theirs = {head: inputs.credit_of(exercise, head) for head in worths}
        assert worths == pytest.approx(theirs, abs=SLACK.credit)
        for session in sessions if any(worths.values()) else ():
            barred = bool(faults(case, key, session.gym))
            assert not (barred and key in session.allowed)
            kin = [inputs.library.exercises[other] for other in session.allowed if other != key]
            kin = [one for one in kin if (one.family, one.implement) == (exercise.family, exercise.implement)]
            others = len(kin) >= inputs.week.usual_of_a_kind or exercise.choice > inputs.week.usual_choice
            assert barred or key in session.allowed or others
