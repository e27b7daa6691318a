"""Rows and words agree: at any plan's blocks the program costs what the plan alone is said to cost, in both aims."""

import random

import by_scipy
import pytest
from every_plan import keeps_limits
from small_weeks import any_week

from planner.model.aims import build, dose_value, rest_value

TRIES = 12


def random_plan(problem, dice):
    """Blocks thrown in one after the other as long as the limits hold; pins first."""
    plan = dict(problem.pins)
    pairs = [(one.key, day) for one in problem.candidates for day in problem.sessions]
    for key, day in dice.sample(pairs, min(TRIES, len(pairs))):
        counts = problem.choices(key, day)
        more = plan | ({(key, day.id): dice.choice(counts)} if counts else {})
        if (key, day.id) not in problem.pins and keeps_limits(problem, more):
            plan = more
    return plan


@pytest.mark.parametrize("seed", range(60))
def test_a_program_costs_what_its_plan_does(seed):
    problem, dice = any_week(seed), random.Random(seed)
    program = build(problem)
    for _ in range(3):
        plan = random_plan(problem, dice)
        if not keeps_limits(problem, plan):
            continue  # the pins alone are too much
        rest = by_scipy.minimize(program, program.rest_price, fixed=plan)
        dose = by_scipy.minimize(program, program.dose_price, fixed=plan)
        assert rest == pytest.approx(rest_value(problem, plan), abs=1e-4)
        assert dose == pytest.approx(dose_value(problem, plan), abs=1e-5)
