"""Least change, held against counting every plan of a small week."""

from __future__ import annotations

from dataclasses import replace

import pytest
from every_plan import every_plan, least_by_counting
from hypothesis import given, settings
from hypothesis import strategies as st
from planner.change.swap.least import columns_within, least_change, smallest_change
from planner.model.change import change_price
from planner.solve.highs import Answer, Ending, Stops
from planner.solve.integer import over_blocks
from planner.week.best_dose import BestDose, best_dose, dose_program
from planner.week.holding import Holding
from planner.week.staying import can_stay
from swapped_week import IN_TURNS, PAIRS, swapped_weeks
from tiny_week import MONDAY, TUESDAY, goal, tiny
from week_cases import random_problem

from planner.change.swap import least
from planner.document import Plan
from planner.errors import SolverFault
from planner.model.aims import dose_value, rest_value
from planner.model.problem import Problem
from planner.model.program import INFINITE, Program, Row


@settings(max_examples=60, deadline=None)
@given(swapped_weeks(), st.booleans())
def test_dose_then_change_then_care_as_by_counting(problem: Problem, with_known: bool) -> None:
    best = best_dose(problem)
    assert best is not None
    solved = least_change(problem, best, best.plan if with_known else None)
    dose, change, care = least_by_counting(problem)
    assert best.value == pytest.approx(dose, abs=problem.settings.dose_gap_sets)
    assert best.bound <= dose + 1e-6
    assert change_price(problem, solved.plan) == pytest.approx(change, abs=1e-6)
    found = rest_value(problem, solved.plan) - change
    assert care - 1e-6 <= found <= care + problem.settings.rest_gap_minutes
    assert solved.rest_bound <= change + care + 1e-6
    assert not Holding(problem).broken(solved.plan)


@settings(max_examples=60, deadline=None)
@given(swapped_weeks())
def test_a_plan_stays_exactly_if_it_is_allowed_and_good_enough(problem: Problem) -> None:
    plan, best = problem.in_force or {}, best_dose(problem)
    assert best is not None
    allowed = plan in list(every_plan(problem))
    near = dose_value(problem, plan) <= best.value + 0.25 * 3 + 1e-9
    assert can_stay(Holding(problem), plan, best) == (allowed and near)
    if can_stay(Holding(problem), plan, best):
        assert least_change(problem, best).plan == plan


@settings(max_examples=40, deadline=None)
@given(swapped_weeks(), st.sampled_from([0, 2, 3]))
def test_holding_says_what_counting_says(problem: Problem, sets: int) -> None:
    plan: Plan = {pair: sets for pair in PAIRS if sets} | dict(problem.pins)
    assert bool(Holding(problem).broken(plan)) != (plan in list(every_plan(problem)))


@settings(max_examples=60, deadline=None)
@given(swapped_weeks())
def test_a_known_plan_hides_no_smaller_change_and_hurries_none(problem: Problem) -> None:
    best = best_dose(problem)
    assert best is not None
    proven = pytest.approx(least_by_counting(problem)[1], abs=1e-6), False
    assert smallest_change(problem, best) == proven
    assert smallest_change(problem, best, best.plan) == proven
    assert smallest_change(problem, best, least_change(problem, best).plan) == proven


def test_what_is_broken_is_named() -> None:
    problem = tiny(pins={("fly", "Mon"): 2}, heads=(goal("front", must=True), goal("side"), goal("rear")))
    holding = Holding(problem)
    assert holding.broken({("fly", "Tue"): 2}) == ["block:fly:Tue"]
    assert "pin:fly:Mon" in holding.broken({("press", "Mon"): 3})
    assert holding.broken({("fly", "Mon"): 2, ("press", "Mon"): 3}) == ["dose:front"]


def test_an_overrun_session_is_named() -> None:
    problem = tiny(sessions=(MONDAY, replace(TUESDAY, seconds=400)))
    assert Holding(problem).broken({("press", "Tue"): 3}) == ["time:Tue"]  # 3·160 + 60 = 540 s


def answer(ending: Ending, values: list[float] | None) -> Answer:
    return Answer(ending, values, value=100.0, bound=0.0, seconds=0.0, nodes=1)


def test_a_search_that_stops_early_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    problem, best = tiny(in_force={}), BestDose({}, 0.0, 0.0, stopped=False)
    monkeypatch.setattr(least, "search", lambda *_: (answer(Ending.NODES, [0.0]), {}))
    assert smallest_change(problem, best) == (100.0, True)
    assert least_change(problem, best).stopped
    monkeypatch.setattr(least, "search", lambda *_: (answer(Ending.NODES, None), {}))
    assert smallest_change(problem, best, {("press", "Mon"): 2}) == (
        change_price(problem, {("press", "Mon"): 2}),
        True,
    )


def test_a_search_that_finds_nothing_is_a_fault_of_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    problem, best = tiny(in_force={}), BestDose({}, 0.0, 0.0, stopped=False)
    monkeypatch.setattr(least, "search", lambda *_: (answer(Ending.NODES, None), {}))
    with pytest.raises(SolverFault, match="stopped"):
        smallest_change(problem, best)
    monkeypatch.setattr(least, "smallest_change", lambda *_: (0.0, False))
    with pytest.raises(SolverFault, match="stopped"):
        least_change(problem, best)


def test_the_best_dose_of_a_week_that_needs_nothing_is_an_empty_plan() -> None:
    nothing = tiny(heads=(goal("front", elsewhere=9.0),))
    assert best_dose(nothing) == BestDose({}, 0.0, 0.0, stopped=False)


def test_what_must_hold_and_cannot_has_no_best_dose() -> None:
    assert best_dose(tiny(heads=(goal("rear", target=30.0, ceiling=40.0, must=True),))) is None


def in_pairs(seed: int) -> Problem:
    size: dict[str, tuple[int, int]] = {
        "exercises": (5, 8),
        "sessions": (2, 2),
        "minutes": (15, 25),
        "gyms": (1, 2),
    }
    return replace(random_problem(seed, **size), paired=True, in_force={})


def shut_by(program: Program, kept: set[int]) -> set[int]:
    return {column for by_count in program.blocks.values() for column in by_count.values()} - kept


@settings(max_examples=60, deadline=None)
@given(swapped_weeks() | st.builds(in_pairs, st.integers(0, 99)), st.sampled_from([0.0, 200.0, 350.0, 700.0]))
def test_nothing_is_lost_with_what_says_nothing(problem: Problem, most: float) -> None:
    """Over a few blocks the cut program has the optimum of the whole one in which all other blocks are shut."""
    program, stops = dose_program(problem), Stops(0.0, 1000, 60.0)
    kept = columns_within(program, most)
    cut = over_blocks(program, kept).minimize(program.dose_price, stops)
    everything = over_blocks(program)
    everything.add_row(Row("shut", dict.fromkeys(shut_by(program, kept), 1.0), -INFINITE, 0.0, "blocks"))
    whole = everything.minimize(program.dose_price, stops)
    assert cut.ending is whole.ending
    assert cut.value == pytest.approx(whole.value, abs=1e-6)


def test_a_cut_program_has_no_pair_without_its_blocks() -> None:
    program = dose_program(tiny(candidates=IN_TURNS, in_force={}, paired=True))
    one, other = program.blocks["raise", "Mon"][2], program.blocks["fly", "Mon"][2]
    pairs = set(program.turns.of)
    assert pairs & set(over_blocks(program, {one, other}).numbers)
    assert not pairs & set(over_blocks(program, {one}).numbers)
