"""Weekly totals: no plan costs less than their bound, and what no totals can do no week can."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import by_scipy
import pytest
from tiny_week import goal, tiny
from week_cases import random_problem

from planner.week.aims import build, dose_value, rest_value
from planner.week.problem import Problem
from planner.week.program import INFINITE, Program, Row
from planner.week.solve import search
from planner.week.solve.fast import solve_fast
from planner.week.solve.found import Aim
from planner.week.solve.highs import Ending, Stops
from planner.week.solve.integer import over_blocks, plan_of_blocks
from planner.week.solve.one_piece import hold_row
from planner.week.solve.patterns import Decomposition
from planner.week.solve.search import Search
from planner.week.solve.settings import SEARCH
from planner.week.solve.totals import Totals

EXACT = Stops(0.0, 100_000, 60.0)


def some_week(seed: int) -> Problem:
    """A small week; one in three has a session that is over and a pin, one in three does sets in turns."""
    problem = random_problem(seed, exercises=(5, 10), sessions=(2, 3), minutes=(15, 35), gyms=(1, 2))
    if seed % 3 == 0:
        first, second, *others = problem.sessions
        done = {(key, first.id): 3 for key in sorted(first.allowed)[:2]}
        pinned = {(key, second.id): 2 for key in sorted(second.allowed)[:1]}
        sessions = (replace(first, state="done"), second, *others)
        return replace(problem, sessions=sessions, pins={**done, **pinned})
    return replace(problem, paired=seed % 3 == 1)


@pytest.mark.parametrize("seed", range(12))
def test_no_plan_costs_less_than_the_totals_say(seed: int) -> None:
    program = build(some_week(seed))
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
    assert exercises <= {key for key, _ in program.blocks}


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


@pytest.mark.parametrize("pick", [min, max])
@pytest.mark.parametrize("seed", [1, 2, 6])
def test_terms_over_totals_lie_on_the_side_that_is_asked(seed: int, pick: Callable[..., float]) -> None:
    """Held against a real plan: folded terms at its totals, beside the terms themselves."""
    problem = some_week(seed)
    program = build(problem)
    totals = Totals(program)
    solved = solve_fast(problem)
    assert solved is not None
    point = {program.blocks[pair][count]: 1.0 for pair, count in solved.plan.items()}
    point |= {program.used[key]: 1.0 for key, _ in solved.plan}
    summed: dict[int, float] = {}
    for (key, _), count in solved.plan.items():
        one = totals.exercises[key]
        summed[one.sets] = summed.get(one.sets, 0.0) + count
        summed[one.blocks] = summed.get(one.blocks, 0.0) + 1.0
    checked = 0
    for row in program.rows:
        terms = {column: value for column, value in row.terms.items() if column not in totals.alike}
        here = sum(value * point.get(column, 0.0) for column, value in terms.items())
        there = sum(value * summed.get(column, 0.0) for column, value in totals.fold(terms, pick).items())
        assert (there <= here + 1e-6) if pick is min else (there >= here - 1e-6)
        checked += bool(terms)
    assert checked > 20


def test_rows_that_differ_in_the_day_are_added_up_and_a_line_lies_on_the_right_side() -> None:
    program = build(tiny())
    totals = Totals(program)
    monday, tuesday = (program.blocks["raise", day] for day in ("Mon", "Tue"))
    rows = [
        Row("some:Mon", {monday[2]: 2.0, monday[3]: 4.0}, 0.0, 5.0, "sets"),
        Row("some:Tue", {tuesday[2]: 2.0, tuesday[3]: 5.0}, 0.0, 6.0, "sets"),
    ]
    sets, blocks = totals.exercises["raise"].sets, totals.exercises["raise"].blocks
    at_least, at_most = totals.folded(rows)
    assert (at_least.low, at_least.high) == (0.0, INFINITE)
    assert (at_most.name, at_most.high) == ("some:*", 11.0)
    assert at_most.terms == {sets: pytest.approx(2.0), blocks: pytest.approx(-2.0)}
    assert totals.fold(rows[1].terms, max) == {sets: pytest.approx(3.0), blocks: pytest.approx(-4.0)}


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
def test_without_totals_the_same_gaps_are_closed(rounds: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        search, "SEARCH", replace(SEARCH, totals_rounds=rounds, totals_nodes=1, spread_nodes=1)
    )
    problem = random_problem(14)
    program: Program = build(problem)
    found = Search(program, Decomposition(program)).close(
        Aim(program.rest_price, (hold_row(program, 0.0),), problem.settings.rest_gap_minutes, roomy=True)
    )
    assert found.point is not None and not found.stopped
    value = rest_value(problem, plan_of_blocks(program, found.point))
    assert value - found.bound <= problem.settings.rest_gap_minutes + 1e-4
