"""Weeks with paired sets: the same optimum by every way, bounds below it, and pairs never make a week worse."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import by_scipy
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from planner.model.limits.time import seconds_used
from planner.solve.fast import solve_fast
from planner.solve.in_turns import PairedKnapsack
from planner.solve.one_piece import hold_row, solve_one_piece
from planner.week.best_dose import best_dose
from planner.week.holding import Holding
from small_weeks import found, week_in_pairs
from tiny_week import FLY, MONDAY, PRESS, RAISE, tiny
from week_cases import random_problem

from planner.document import Plan
from planner.method import WeekSettings
from planner.model.aims import build, dose_room, dose_value, rest_value
from planner.model.pairs import pairs_of
from planner.model.problem import Problem
from planner.solve.patterns import Decomposition


@pytest.mark.parametrize("seed", range(9))
def test_same_optimum_by_patterns_in_one_piece_and_by_scipy(seed: int) -> None:
    problem = week_in_pairs(seed)
    program = build(problem)
    dose = by_scipy.minimize(program, program.dose_price)
    fast, plain = found(solve_fast(problem)), found(solve_one_piece(problem))
    held = by_scipy.hold(program.dose_price, fast.dose_best + dose_room(problem))
    rest = by_scipy.minimize(program, program.rest_price, [held])
    for solved in (fast, plain):
        assert solved.dose_best == pytest.approx(dose.value, abs=1e-4)
        assert rest_value(problem, solved.plan) == pytest.approx(rest.value, abs=5e-3)
        assert Holding(problem).broken(solved.plan) == []
    best = best_dose(problem)
    assert best is not None and best.value == pytest.approx(dose.value, abs=1e-4)


@pytest.mark.parametrize("seed", range(9))
def test_program_and_plan_agree_on_time_and_price(seed: int) -> None:
    problem = week_in_pairs(seed, minutes=(25, 45))
    plan = found(solve_fast(problem)).plan
    program = build(problem)
    rest = by_scipy.minimize(program, program.rest_price, fixed=plan)
    assert rest.value == pytest.approx(rest_value(problem, plan), abs=1e-5)
    for session in problem.sessions:
        used = seconds_used(problem, plan, session.id)
        assert session.frozen or used <= session.seconds
        assert Holding(replace(problem, sessions=shortened(problem, session.id, used))).broken(plan) == []
        if plan and used and not session.frozen:
            tight = replace(problem, sessions=shortened(problem, session.id, used - 1))
            assert f"time:{session.id}" in Holding(tight).broken(plan)


def shortened(problem: Problem, day: str, seconds: int) -> tuple[object, ...]:
    return tuple(replace(one, seconds=seconds) if one.id == day else one for one in problem.sessions)


@pytest.mark.parametrize("seed", range(8))
def test_the_bound_is_never_above_the_optimum(seed: int) -> None:
    problem = week_in_pairs(seed)
    program = build(problem)
    decomposition = Decomposition(program)
    dose = by_scipy.minimize(program, program.dose_price)
    assert dose.value is not None
    assert decomposition.bound(program.dose_price).value <= dose.value + 1e-5
    hold = hold_row(program, dose.value)
    rest = by_scipy.minimize(program, program.rest_price, [hold])
    assert rest.value is not None and decomposition.bound(program.rest_price, hold).value <= rest.value + 1e-4


@given(seed=st.integers(0, 10_000))
@settings(max_examples=10, deadline=None)
def test_pairs_never_worsen_a_week(seed: int) -> None:
    straight = random_problem(seed, exercises=(4, 7), sessions=(1, 2), minutes=(12, 25))
    alone, in_turns = found(solve_fast(straight)), found(solve_fast(replace(straight, paired=True)))
    assert in_turns.dose_bound <= alone.dose_best + 1e-6
    assert in_turns.dose_best <= alone.dose_best + straight.settings.dose_gap_sets + 1e-6


def test_a_week_too_short_for_straight_sets_fits_in_pairs() -> None:
    # straight 3·120 − 30 + 3·100 − 20 = 610 s; in turns 610 − (2·60 − 3·5) = 505 s
    candidates = (replace(RAISE, rest_seconds=75), replace(FLY, rest_seconds=60, credits={"rear": 1.0}))
    candidates = (candidates[0], replace(candidates[1], direct=frozenset({"rear"})))
    monday = replace(MONDAY, seconds=505, allowed=frozenset({"raise", "fly"}))
    problem = tiny(candidates=candidates, sessions=(monday,), pins={("raise", "Mon"): 3, ("fly", "Mon"): 3})
    assert solve_fast(problem) is None and solve_one_piece(problem) is None
    in_turns = replace(problem, paired=True)
    assert found(solve_fast(in_turns)).plan == found(solve_one_piece(in_turns)).plan == dict(problem.pins)
    shorter = replace(in_turns, sessions=(replace(monday, seconds=504),))
    assert solve_fast(shorter) is None and solve_one_piece(shorter) is None


def every_content(problem: Problem) -> list[Plan]:
    """All that the only session can hold in time, pairs taken into account."""
    day, keys = problem.sessions[0], [one.key for one in problem.candidates]
    plans = []
    for counts in product((0, 2, 3), repeat=len(keys)):
        plan = {(key, day.id): sets for key, sets in zip(keys, counts, strict=True) if sets}
        if len(plan) <= problem.settings.exercises_per_session:
            plans += [plan] if seconds_used(problem, plan, day.id) <= day.seconds else []
    return plans


@given(seed=st.integers(0, 10_000), places=st.integers(2, 4), slack=st.integers(1, 12))
@settings(max_examples=25, deadline=None)
def test_one_session_in_pairs_against_counting(seed: int, places: int, slack: int) -> None:
    small = WeekSettings(largest_block_sets=3, exercises_per_session=places)
    problem = random_problem(
        seed, exercises=(4, 5), sessions=(1, 1), minutes=(14, 22), gyms=(1, 1), settings=small
    )
    session = replace(problem.sessions[0], allowed=frozenset(one.key for one in problem.candidates))
    problem = replace(problem, sessions=(session,), paired=True)
    program = build(problem)
    decomposition = Decomposition(program)
    room = decomposition.rooms[0]
    values = {
        column: ((seed * 7 + column * 5) % 23 - 6) / 2
        for by_count in program.blocks.values()
        for column in by_count.values()
    }
    prices = {column: -pairing.saved / 60 for column, pairing in program.turns.of.items()}
    knapsack = decomposition.knapsack(room, values, prices)
    assume(isinstance(knapsack, PairedKnapsack))
    worths = {
        frozenset(blocks(program.blocks, plan)): worth(problem, plan, program.blocks, values)
        for plan in every_content(problem)
    }
    best = max(worths.values())
    value, pattern = knapsack.best()
    assert value >= best - 1e-6  # never below: an exercise may stand twice
    assert value == pytest.approx(sum(values.get(c, -prices.get(c, 0.0)) for c in pattern), abs=1e-6)
    listed = knapsack.patterns(value - best + slack, most=100_000)
    assert listed is not None and len({frozenset(one) for one in listed}) == len(listed)
    assert {one for one, w in worths.items() if w >= best - slack + 1e-6} <= {
        frozenset(one) for one in listed
    }
    costs = knapsack.forcing_costs()
    for content, w in worths.items():
        for column in content:
            assert costs[column] <= value - w + 1e-6


def blocks(by_pair: dict[tuple[str, str], dict[int, int]], plan: Plan) -> list[int]:
    return [by_pair[pair][sets] for pair, sets in plan.items()]


def worth(
    problem: Problem, plan: Plan, by_pair: dict[tuple[str, str], dict[int, int]], values: dict[int, float]
) -> float:
    day = problem.sessions[0].id
    straight = seconds_used(replace(problem, paired=False), plan, day)
    saved = straight - seconds_used(problem, plan, day)
    return sum(values[column] for column in blocks(by_pair, plan)) + saved / 60


def test_what_was_trained_in_pairs_took_that_time() -> None:
    raise_, fly = replace(RAISE, rest_seconds=75), replace(FLY, rest_seconds=60, credits={"rear": 1.0})
    problem = tiny(
        candidates=(PRESS, raise_, replace(fly, direct=frozenset({"rear"}))),
        pins={("raise", "Mon"): 3, ("fly", "Mon"): 3},
        paired=True,
    )
    monday, tuesday = problem.sessions
    over = replace(problem, sessions=(replace(monday, state="done"), tuesday))
    for solve in (solve_fast, solve_one_piece):
        solved = found(solve(over))
        assert pairs_of(over, solved.plan, "Mon") == (("raise", "fly"),)
        assert solved.rest_bound <= rest_value(over, solved.plan) + 1e-6
        assert rest_value(over, solved.plan) - solved.rest_bound <= over.settings.rest_gap_minutes + 1e-6
        assert dose_value(over, solved.plan) == pytest.approx(solved.dose_best, abs=0.75)
