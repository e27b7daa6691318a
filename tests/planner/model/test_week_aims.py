"""The program and the plain arithmetic price any plan alike, for both aims."""

from __future__ import annotations

import random
from dataclasses import replace

import by_scipy
import pytest
from planner.solve.highs import Stops
from planner.solve.one_piece import solve_one_piece
from tiny_week import FLY, PRESS, RAISE, goal, tiny
from week_cases import random_problem

from planner.document import Plan, State
from planner.model.aims import build, dose_room, dose_value, misses, rest_value
from planner.model.problem import HeadGoal, Problem

EXACTLY = Stops(gap=0.0, nodes=20000, seconds=60.0)
CLOSE = 1e-5  # the solver's own tolerance of a whole number, times the largest price


def lively(seed: int) -> Problem:
    """A small random week with everything that a brief and a week in force may bring."""
    dice = random.Random(seed)
    problem = random_problem(seed, exercises=(6, 12), sessions=(2, 4), minutes=(15, 40), gyms=(1, 2))
    keys = [candidate.key for candidate in problem.candidates]
    first, *others = problem.sessions
    done = {(key, first.id): dice.randint(2, 4) for key in sorted(first.allowed)[:2]}
    states: tuple[State, ...] = ("planned", "done", "missed")
    over = dice.choice(states)
    in_force = {(key, others[0].id): 3 for key in dice.sample(keys, 3)} | done
    return replace(
        problem,
        sessions=(replace(first, state=over), *others),
        heads=tuple(crowded(dice, head) for head in problem.heads),
        pins=done if over == "done" else {},
        keep=dice.randint(0, 3),
        last_week=frozenset(dice.sample(keys, 4)),
        preferred=tuple(dice.sample(keys, 2)),
        quiet_trapezius=dice.random() < 0.5,
        in_force=in_force if dice.random() < 0.5 else None,
    )


def crowded(dice: random.Random, head: HeadGoal) -> HeadGoal:
    """Now and then elsewhere alone is above the ceiling, or above the target."""
    return replace(head, elsewhere=dice.choice((0.0, head.target / 2, head.target + 1, head.ceiling + 1.5)))


def some_plan(problem: Problem, seed: int) -> Plan:
    """A plan that keeps the hard limits and is good for nothing: the best for prices by dice."""
    dice, program = random.Random(seed), build(problem)
    columns = [column for counts in program.blocks.values() for column in counts.values()]
    found = by_scipy.minimize(program, {column: dice.uniform(-1.0, 0.4) for column in columns})
    assert found.plan is not None
    return found.plan


@pytest.mark.parametrize("seed", range(12))
def test_any_plan_has_the_same_price_in_the_program_and_alone(seed: int) -> None:
    problem = lively(seed)
    plan = some_plan(problem, seed)
    assert plan
    program = build(problem)
    dose = by_scipy.minimize(program, program.dose_price, fixed=plan)
    assert dose.value == pytest.approx(dose_value(problem, plan), abs=CLOSE)
    rest = by_scipy.minimize(program, program.rest_price, fixed=plan)
    assert rest.value == pytest.approx(rest_value(problem, plan), abs=CLOSE)


@pytest.mark.parametrize("seed", range(20, 26))
def test_an_optimum_is_worth_what_its_plan_is(seed: int) -> None:
    problem = random_problem(seed, exercises=(5, 8), sessions=(2, 3), minutes=(15, 30))
    program = build(problem)
    dose = by_scipy.minimize(program, program.dose_price)
    assert dose.plan is not None and dose.value is not None
    assert dose.value == pytest.approx(dose_value(problem, dose.plan), abs=1e-6)
    held = by_scipy.hold(program.dose_price, dose.value + dose_room(problem))
    rest = by_scipy.minimize(program, program.rest_price, [held])
    assert rest.plan is not None
    assert rest.value == pytest.approx(rest_value(problem, rest.plan), abs=CLOSE)


@pytest.mark.parametrize("seed", range(30, 36))
def test_a_solved_week_is_between_its_bounds_and_its_tolerance(seed: int) -> None:
    problem = random_problem(seed, exercises=(6, 20), sessions=(2, 3), minutes=(15, 40))
    settings, solved = problem.settings, solve_one_piece(problem)
    assert solved is not None and not solved.stopped
    dose, rest = dose_value(problem, solved.plan), rest_value(problem, solved.plan)
    assert solved.dose_bound <= solved.dose_best + 1e-6
    assert solved.dose_best - solved.dose_bound <= settings.dose_gap_sets
    assert dose <= solved.dose_best + dose_room(problem) + 1e-6
    assert solved.rest_bound - 1e-6 <= rest <= solved.rest_bound + settings.rest_gap_minutes + 1e-6


def test_prices_of_the_tiny_week_by_hand() -> None:
    problem = tiny(heads=(goal("front"), goal("side")))
    plan = {("press", "Mon"): 3, ("raise", "Tue"): 3}
    # front 3 + 1.2, side 1.5 + 3: short by 1.8 and 1.5 of 6, both above midway
    assert dose_value(problem, plan) == pytest.approx(3.3)
    named = {miss.goal: miss.by for miss in misses(problem, plan)}
    assert named == pytest.approx({"dose:front": 1.8, "dose:side": 1.5, "spread:front": 1, "spread:side": 1})
    minutes = (540 + 330) / 60
    blocks = 2 * problem.settings.price_exercise + problem.settings.tie_break * (PRESS.place + RAISE.place)
    assert rest_value(problem, plan) == pytest.approx(40 * 3.3 + 15 * 2 + minutes + blocks)
    assert rest_value(problem, {}) == pytest.approx(40 * 14 * 2 + 10 * 6 + 15 * 4)  # 14 a head; direct; days


def test_an_earlier_exercise_of_the_library_wins_a_tie() -> None:
    twin = replace(RAISE, key="twin", place=7)
    problem = tiny(candidates=(PRESS, twin, RAISE, FLY), heads=(goal("side", sessions=1, target=2.0),))
    wide = frozenset({"press", "twin", "raise", "fly"})
    problem = replace(problem, sessions=tuple(replace(one, allowed=wide) for one in problem.sessions))
    solved = solve_one_piece(problem)
    assert solved is not None
    assert {key for key, _ in solved.plan} == {"raise"}


def test_the_rest_may_leave_the_best_dose_by_a_quarter_set_a_head() -> None:
    assert dose_room(tiny()) == pytest.approx(0.75)
    assert dose_room(tiny(heads=(goal("side"),), settings={"dose_tolerance_sets": 0.1})) == pytest.approx(0.1)
