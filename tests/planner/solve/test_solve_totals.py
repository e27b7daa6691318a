"""Weekly totals: no plan costs less than their bound, and what no totals can do no week can."""

from __future__ import annotations

from dataclasses import replace

import by_scipy
import pytest
from planner.solve.by_totals import ByTotals
from planner.solve.fast import solve_fast
from planner.solve.found import Aim, Found
from planner.solve.highs import Ending, Stops
from planner.solve.integer import minimize_blocks, over_blocks, plan_of_blocks
from planner.solve.one_piece import hold_row
from planner.solve.totals import Totals
from small_weeks import week_over_or_in_turns
from tiny_week import goal, tiny
from week_cases import random_problem

from planner.method import SEARCH
from planner.model.aims import build, dose_value, rest_value
from planner.model.program import INFINITE, Program, Row, Terms
from planner.solve import by_totals, search
from planner.solve.patterns import Decomposition
from planner.solve.search import Search

EXACT = Stops(0.0, 100_000, 60.0)
AT_ONCE = Stops(0.0, 0, 60.0)  # finds nothing but what it starts from


@pytest.mark.parametrize("seed", range(12))
def test_no_plan_costs_less_than_the_totals_say(seed: int) -> None:
    program = build(week_over_or_in_turns(seed))
    totals = Totals(program)
    dose = by_scipy.minimize(program, program.dose_price)
    assert dose.value is not None
    answer, _ = totals.minimize(program.dose_price, (), EXACT)
    assert answer.bound <= dose.value + 1e-5
    hold = hold_row(program, dose.value)
    rest = by_scipy.minimize(program, program.rest_price, [hold])
    assert rest.value is not None
    answer, exercises = totals.minimize(program.rest_price, (hold,), EXACT)
    assert answer.bound <= rest.value + 1e-4
    assert answer.value == pytest.approx(answer.bound, abs=1e-4)
    assert exercises.keys() <= {key for key, _ in program.blocks}


@pytest.mark.parametrize(("seed", "exercises"), [(1, 8), (3, 10), (6, 8), (7, 8)])
def test_in_a_week_with_room_they_are_nearly_the_optimum(seed: int, exercises: int) -> None:
    size = (exercises, exercises)
    problem = random_problem(seed, exercises=size, sessions=(2, 2), minutes=(60, 60), gyms=(1, 1))
    program = build(problem)
    hold = hold_row(program, 0.0)
    best = over_blocks(program)
    best.add_row(hold)
    value = best.minimize(program.rest_price, EXACT).value
    answer, _ = Totals(program).minimize(program.rest_price, (hold,), EXACT)
    linear = Decomposition(program).bound(program.rest_price, hold).value
    assert linear < answer.bound <= value + 1e-4
    assert value - answer.bound < 0.5 * (value - linear)


def test_what_no_totals_can_do_no_week_can() -> None:
    program = build(tiny(heads=(goal("rear", target=60.0, ceiling=80.0, must=True),)))
    answer, exercises = Totals(program).minimize(program.dose_price, (), EXACT)
    assert answer.ending is Ending.INFEASIBLE and answer.bound == INFINITE and not exercises
    found = Search(program, Decomposition(program)).close(Aim(program.rest_price, (), 3.0, roomy=True))
    assert found.point is None and not found.stopped


def test_the_search_ends_at_the_totals_where_sessions_have_room(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_patterns(*_: object) -> None:
        raise AssertionError("session patterns were asked")

    monkeypatch.setattr(Search, "_by_patterns", no_patterns)
    problem = random_problem(7)
    solved = solve_fast(problem)
    assert solved is not None and not solved.stopped
    settings = problem.settings
    assert dose_value(problem, solved.plan) <= settings.dose_gap_sets
    assert rest_value(problem, solved.plan) - solved.rest_bound <= settings.rest_gap_minutes + 1e-4


@pytest.mark.parametrize("rounds", [0, 1, 4])
@pytest.mark.parametrize("hurry_nodes", [1, 200])
def test_other_roads_close_the_same_gaps(
    rounds: int, hurry_nodes: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = replace(
        SEARCH,
        totals_rounds=rounds,
        totals_nodes=1,
        spread_nodes=1,
        totals_near=0.0,
        totals_enough=0.0,
        few_patterns=0,
        hurry_nodes=hurry_nodes,
    )
    for module in (search, by_totals):
        monkeypatch.setattr(module, "SEARCH", other)
    problem = random_problem(14)
    program: Program = build(problem)
    found = Search(program, Decomposition(program)).close(
        Aim(program.rest_price, (hold_row(program, 0.0),), problem.settings.rest_gap_minutes, roomy=True)
    )
    assert found.point is not None and not found.stopped
    value = rest_value(problem, plan_of_blocks(program, found.point))
    assert value - found.bound <= problem.settings.rest_gap_minutes + 1e-4


def cost_with(program: Program, objective: Terms, holds: list[Row], key: str) -> float:
    """The best week that uses an exercise, by another solver; infinite if none does."""
    used = Row("must", {program.used[key]: 1.0}, 1.0, 1.0, "exercises")
    value = by_scipy.minimize(program, objective, [*holds, used]).value
    return INFINITE if value is None else value


@pytest.mark.parametrize("seed", range(9))
def test_a_week_that_uses_an_exercise_is_dearer_by_what_is_said(seed: int) -> None:
    program = build(week_over_or_in_turns(seed))
    totals = Totals(program)
    dose = by_scipy.minimize(program, program.dose_price).value
    assert dose is not None
    hold = hold_row(program, dose)
    relaxed = totals.relaxed(program.rest_price, [hold], 60.0)
    for key, more in relaxed.dearer.items():
        assert relaxed.bound + more <= cost_with(program, program.rest_price, [hold], key) + 1e-4
    assert (
        relaxed.within(0.0) <= relaxed.within(1.0) <= relaxed.within(INFINITE) == set(totals.form.exercises)
    )


def test_most_exercises_of_a_large_week_are_too_dear_for_a_near_best_one() -> None:
    problem = random_problem(7)
    relaxed = Totals(build(problem)).relaxed(build(problem).rest_price, (), 60.0)
    near = relaxed.within(SEARCH.totals_near * problem.settings.rest_gap_minutes)
    assert 0 < len(near) < len(relaxed.dearer) / 2


def test_what_is_pinned_is_within_any_width() -> None:
    program = build(tiny(pins={("raise", "Mon"): 2}))
    relaxed = Totals(program).relaxed(program.rest_price, (), 60.0)
    assert relaxed.dearer["raise"] == 0.0
    assert "raise" in relaxed.within(0.0)


@pytest.mark.parametrize("seed", [1, 3, 4, 6])
def test_totals_of_a_plan_are_a_point_that_costs_no_more(seed: int) -> None:
    program = build(week_over_or_in_turns(seed))
    totals = Totals(program)
    week = over_blocks(program)
    answer = week.minimize(program.rest_price, EXACT)
    plan = week.point(answer)
    there = totals.point(plan)
    for row in totals.form.rows:
        level = sum(value * there.get(column, 0.0) for column, value in row.terms.items())
        assert row.low - 1e-6 <= level <= row.high + 1e-6, row.name
    folded = totals.form.fold(program.rest_price, min)
    assert sum(value * there.get(column, 0.0) for column, value in folded.items()) <= answer.value + 1e-6
    assert totals.exercises_of(plan) == {key for key, _ in plan_of_blocks(program, plan)}


def test_over_some_exercises_alone_the_search_starts_from_a_plan() -> None:
    problem = random_problem(5, exercises=(20, 20), sessions=(2, 2), minutes=(40, 40), gyms=(1, 1))
    program = build(problem)
    totals, hold = Totals(program), hold_row(program, 0.0)
    _, best = totals.minimize(program.rest_price, [hold], EXACT)
    few = set(best) | set(sorted(totals.form.exercises)[:3])
    answer, sets = totals.minimize(program.rest_price, [hold], EXACT, few)
    assert sets.keys() <= few
    aim = Aim(program.rest_price, (hold,), 3.0)
    _, point = minimize_blocks(program, aim, totals.blocks_of(best), INFINITE, EXACT)
    started, _ = totals.minimize(program.rest_price, [hold], AT_ONCE, few, point)
    unknown, _ = totals.minimize(program.rest_price, [hold], AT_ONCE, few)
    assert unknown.values is None
    known = totals.point(point)
    folded = totals.form.fold(program.rest_price, min)
    at_start = sum(value * known.get(column, 0.0) for column, value in folded.items())
    assert answer.value - 1e-6 <= started.value <= at_start + 1e-6
    nothing, none = totals.minimize(program.rest_price, [hold], EXACT, set())
    assert nothing.ending is Ending.INFEASIBLE and not none


def test_sets_that_are_held_stay_and_a_search_over_blocks_starts_from_a_point() -> None:
    problem = random_problem(7)
    program = build(problem)
    totals = Totals(program)
    aim = Aim(program.rest_price, (hold_row(program, 0.0),), problem.settings.rest_gap_minutes)
    near = totals.relaxed(aim.objective, aim.holds, 60.0).within(1.0)
    _, sets = totals.minimize(aim.objective, aim.holds, Stops(1.0, 200, 60.0), near)
    blocks, held = totals.blocks_of(sets), totals.held(sets)
    answer, point = minimize_blocks(program, aim, blocks, INFINITE, EXACT, held)
    plan = plan_of_blocks(program, point)
    assert {key: sum(n for (one, _), n in plan.items() if one == key) for key in sets} == sets
    assert minimize_blocks(program, aim, blocks, answer.value - 0.1, EXACT, held)[0].values is None
    assert minimize_blocks(program, aim, blocks, INFINITE, AT_ONCE)[0].values is None
    begun, _ = minimize_blocks(program, aim, blocks, INFINITE, AT_ONCE, start=point)
    assert begun.value <= answer.value + 1e-6


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("nodes", [1, 1000])
def test_by_totals_alone_value_and_bound_hold_the_optimum_between_them(seed: int, nodes: int) -> None:
    program = build(week_over_or_in_turns(seed))
    dose = by_scipy.minimize(program, program.dose_price).value
    assert dose is not None
    aim = Aim(program.rest_price, (hold_row(program, dose),), 0.5)
    best = by_scipy.minimize(program, program.rest_price, aim.holds).value
    assert best is not None
    found = Found(None, INFINITE, -INFINITE)
    left = ByTotals(Totals(program), aim, found, nodes).narrow()
    assert found.bound <= best + 1e-4 and found.value >= best - 1e-4
    assert left < nodes
