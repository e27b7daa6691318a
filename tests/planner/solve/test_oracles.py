"""Our optimum of both aims is everybody's, and no bound is above it.

Outside programs: scipy.optimize.milp from the same rows, OR-Tools CP-SAT (a test extra). The full count knows only what a
plan is worth and the limits as every_plan.py writes them down a second time.
"""

import random
from dataclasses import replace
from functools import cache

import by_scipy
import pytest
from every_plan import keeps_limits, least_by_counting
from tiny_week import MONDAY, TUESDAY, tiny
from week_cases import CLOSELY, any_week, small_week

from planner.model.aims import build, dose_program, dose_room, dose_value, rest_value
from planner.model.problem import JointBudget
from planner.solve.search import Aim, linear_bound
from planner.solve.solve import best_dose, is_impossible, solve_week
from planner.week.keeping import Keeping


def check(problem, solved, dose, rest):
    """Value within the gap of the optimum, bound not above it, of a plan that breaks nothing."""
    if dose is None or rest is None:
        assert solved is None
        return
    assert not solved.stopped
    settings, value = problem.settings, rest_value(problem, solved.plan)
    assert dose - 1e-4 <= solved.dose_best <= dose + settings.dose_gap_sets + 1e-4
    assert solved.dose_best - settings.dose_gap_sets - 1e-4 <= solved.dose_bound <= dose + 1e-4
    # the tolerance counts from the best dose found, which is never below the best there is
    assert value - settings.rest_gap_minutes - 1e-3 <= solved.rest_bound <= rest + 1e-3
    assert value <= rest + settings.rest_gap_minutes + 1e-3
    assert dose_value(problem, solved.plan) <= solved.dose_best + dose_room(problem) + 1e-5
    assert Keeping(problem).broken(solved.plan) == []


@cache
def counted(seed):
    problem = small_week(seed)
    return problem, least_by_counting(problem)


@cache
def drawn(seed, most=9):
    """A week and its optimum by scipy; straight sets and default gaps where it is a larger one."""
    larger = replace(any_week(seed, exercises=(12, most)), paired=False) if most > 9 else None
    problem = larger or any_week(seed, settings=CLOSELY)
    return problem, by_scipy_both(problem)


def by_scipy_both(problem):
    program = build(problem)
    dose = by_scipy.minimize(program, program.dose_price)
    if dose is None:
        return None, None
    held = by_scipy.hold(program.dose_price, dose + dose_room(problem) + 1e-6)
    return dose, by_scipy.minimize(program, program.rest_price, [held])


@pytest.mark.parametrize("seed", (*range(10), *range(11, 16)))
def test_as_scipy_finds_it(seed):
    problem, best = drawn(seed)
    check(problem, solve_week(problem), *best)


@pytest.mark.parametrize("seed", (102, 104, 105, 107))
def test_as_a_constraint_solver_finds_it(seed):
    pytest.importorskip("ortools", reason="OR-Tools is a test extra")
    import by_cp_sat

    problem = any_week(seed, exercises=(4, 6), settings=CLOSELY)
    program, solved = build(problem), solve_week(problem)
    dose = by_cp_sat.minimize(program, program.dose_price)
    if dose is None:
        assert solved is None
        return
    assert solved.dose_best == pytest.approx(dose, abs=0.01)
    held = by_scipy.hold(program.dose_price, round(solved.dose_best + dose_room(problem) + 5e-4, 3))
    rest = by_cp_sat.minimize(program, program.rest_price, [held])
    assert rest_value(problem, solved.plan) == pytest.approx(rest, abs=by_cp_sat.NEAR)


@pytest.mark.parametrize("seed", (0, 1, 2, 3, 4, 7, 8))
def test_as_counting_every_plan_finds_it(seed):
    problem, best = counted(seed)
    check(problem, solve_week(problem), *best)


TIGHT = {
    "as it is": tiny(),
    "short of time": tiny(sessions=(replace(MONDAY, seconds=600), replace(TUESDAY, seconds=400))),
    "short of joints": tiny(joints=(JointBudget("shoulder", 9.0, 2.0),)),
    "quiet trapezius": tiny(quiet_trapezius=True),
    "few exercises": tiny(settings={"exercises_per_week": 2, "exercises_per_session": 1}),
    "light days": tiny(settings={"heavy_day_sets": 3.0, "session_cap_sets": 4.0}),
    "a plan in force": tiny(in_force={("press", "Tue"): 3, ("gone", "Mon"): 2}),
}


@pytest.mark.parametrize("name", TIGHT)
def test_the_tiny_week_as_counting_finds_it(name):
    closely = TIGHT[name].settings.but(dose_gap_sets=1e-5, rest_gap_minutes=1e-3)
    problem = replace(TIGHT[name], settings=closely)
    check(problem, solve_week(problem), *least_by_counting(problem))


@pytest.mark.parametrize("seed", range(201, 204))
def test_default_gaps_hold_on_larger_weeks(seed):
    problem, best = drawn(seed, most=20)
    check(problem, solve_week(problem), *best)


@pytest.mark.parametrize("seed", range(20))
def test_the_linear_bound_is_under_every_whole_plan(seed):
    problem = any_week(seed)
    program, doses = build(problem), dose_program(problem)
    least = by_scipy.minimize(doses, doses.dose_price)
    assert least is None or linear_bound(Aim(doses, doses.dose_price, 0.0)) <= least + 1e-5
    held = by_scipy.hold(program.dose_price, (least or 0.0) + 0.1)
    rest = by_scipy.minimize(program, program.rest_price, [held])
    assert rest is None or linear_bound(Aim(program, program.rest_price, 0.0, (held,))) <= rest + 1e-3


def test_what_cannot_be_is_called_so():
    pins = {("press", "Mon"): 3, ("raise", "Mon"): 3, ("fly", "Mon"): 3}  # 1,150 s
    problem = tiny(sessions=(replace(MONDAY, seconds=1149), TUESDAY), pins=pins)
    assert solve_week(problem) is None
    assert best_dose(problem) is None and is_impossible(problem) is True
    wide = replace(problem, sessions=(replace(MONDAY, seconds=1150), TUESDAY))
    assert solve_week(wide) is not None and is_impossible(wide) is False


# --- rows and words agree: at any plan's blocks the program costs what the plan alone is said to cost, in both aims
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
