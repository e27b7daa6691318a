"""Model and recheck, which share no code, read the method alike: on any plan of the sample briefs, good or bad."""

import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from library.method import CreditSettings
from library.pool import for_athlete, pool_library
from library.read import read_library
from planner.athlete.reading import method_of, read_athlete
from planner.athlete.targets import weekly_targets
from planner.document import MissedGoal, WeekDocument
from planner.method import TOLERANCES, AthleteSettings, WeekSettings
from planner.model.aims import dose_value, misses
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.verify.asked import asked, faults, wanted
from planner.verify.case import Case
from planner.verify.goals import missed_goals
from planner.verify.printed import lift_price, missed_price
from planner.verify.sums import credit, dose, replaced
from planner.week.compose import made_with

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
