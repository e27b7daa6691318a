"""Our optimum of both aims is everybody's: scipy's HiGHS from the same rows, OR-Tools' CP-SAT, and counting them all.

Outside programs: scipy.optimize.milp; OR-Tools CP-SAT (a test extra). The full count knows only dose_value,
rest_value and the limits as written down here a second time.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import by_scipy
import pytest
from every_plan import keeps_limits, least_by_counting
from tiny_week import FLY, MONDAY, PRESS, RAISE, TUESDAY, goal, tiny
from week_cases import random_problem

from planner.method import WeekSettings
from planner.model.aims import build, dose_room, dose_value, rest_value
from planner.model.problem import JointBudget, Problem
from planner.solve.solve import Solved, solve_one_piece, solve_week

CLOSELY = WeekSettings().but(dose_gap_sets=1e-6, rest_gap_minutes=0.01)
SOLVERS = [solve_week, solve_one_piece]
Solve = Callable[[Problem], Solved | None]


def small(seed: int) -> Problem:
    return random_problem(
        seed, exercises=(5, 9), sessions=(2, 3), minutes=(15, 35), gyms=(1, 2), settings=CLOSELY
    )


@pytest.mark.parametrize("solve", SOLVERS, ids=lambda solve: solve.__name__)
@pytest.mark.parametrize("seed", range(2, 10))
def test_same_optimum_as_scipy(seed: int, solve: Solve) -> None:
    problem = small(seed)
    program, solved = build(problem), solve(problem)
    assert solved is not None
    dose = by_scipy.minimize(program, program.dose_price)
    assert solved.dose_best == pytest.approx(dose.value, abs=1e-4)
    assert solved.dose_bound <= (dose.value or 0) + 1e-4
    held = by_scipy.hold(program.dose_price, solved.dose_best + dose_room(problem))
    rest = by_scipy.minimize(program, program.rest_price, [held])
    assert rest_value(problem, solved.plan) == pytest.approx(rest.value, abs=0.0101)
    assert solved.rest_bound <= (rest.value or 0) + 1e-3


@pytest.mark.parametrize("seed", range(2, 6))
def test_same_optimum_as_a_constraint_solver(seed: int) -> None:
    pytest.importorskip("ortools", reason="OR-Tools is a test extra")
    import by_cp_sat

    problem = small(seed)
    program, solved = build(problem), solve_week(problem)
    assert solved is not None
    dose = by_cp_sat.minimize(program, program.dose_price)
    assert solved.dose_best == pytest.approx(dose, abs=1e-4)
    # rounded down to thousandths, as the constraint solver counts; no dose price lies in between
    most = int((solved.dose_best + dose_room(problem)) * 1000 + 1e-6) / 1000
    rest = by_cp_sat.minimize(program, program.rest_price, [by_scipy.hold(program.dose_price, most)])
    assert rest_value(problem, solved.plan) == pytest.approx(rest, abs=0.0101)


BRIDGE = replace(RAISE, key="bridge", place=3, family="y_raise", credits={"front": 0.5, "rear": 0.75})
BRIDGE = replace(BRIDGE, trains="rear", implement="cable", grades={"shoulder": 2})
EVERYWHERE = frozenset({"press", "raise", "fly", "bridge"})
FINELY = {"dose_gap_sets": 1e-6, "rest_gap_minutes": 1e-4}
CASES = {
    "three exercises, two days": tiny(settings=FINELY),
    "short of time": tiny(
        sessions=(replace(MONDAY, seconds=600), replace(TUESDAY, seconds=400)), settings=FINELY
    ),
    "short of joints": tiny(joints=(JointBudget("shoulder", 9.0, 2.0),), settings=FINELY),
    "quiet trapezius": tiny(quiet_trapezius=True, heads=(goal("side"), goal("front")), settings=FINELY),
    "one session, four exercises": tiny(
        candidates=(PRESS, RAISE, FLY, BRIDGE),
        sessions=(replace(MONDAY, allowed=EVERYWHERE),),
        settings=FINELY | {"largest_block_sets": 4, "exercises_per_session": 3},
    ),
    "four exercises, two days, much asked": tiny(
        candidates=(PRESS, RAISE, FLY, BRIDGE),
        sessions=(replace(MONDAY, allowed=EVERYWHERE), replace(TUESDAY, allowed=EVERYWHERE)),
        heads=(goal("front", priority=2.0), goal("side", ceiling=5.0, elsewhere_helping=1.0), goal("rear")),
        implements_wanted=3,
        families_wanted=("raise",),
        preferred=("bridge",),
        keep=1,
        last_week=frozenset({"fly"}),
        settings=FINELY | {"exercises_per_week": 3, "heavy_day_sets": 3.0, "session_cap_sets": 4.0},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_same_optimum_as_counting_every_plan(name: str) -> None:
    problem = CASES[name]
    best, least = least_by_counting(problem)
    for solve in SOLVERS:
        solved = solve(problem)
        assert solved is not None
        assert keeps_limits(problem, solved.plan)
        assert solved.dose_best == pytest.approx(best, abs=1e-4)
        assert rest_value(problem, solved.plan) == pytest.approx(least, abs=1e-3)
        assert dose_value(problem, solved.plan) <= best + dose_room(problem) + 1e-6
