"""The fast way gives what the one-piece program gives, says None only of a clash, and never hides a stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from planner.solve.fast import solve_fast
from planner.solve.found import Aim, Found
from planner.solve.highs import Answer, Ending
from planner.solve.one_piece import solve_one_piece
from planner.solve.solved import Solved
from planner.week.holding import Holding
from planner.week.proven import is_proven, proofs
from small_weeks import found, week_with_wishes
from tiny_week import FLY, goal, tiny
from week_cases import random_problem

from planner.errors import SolverFault
from planner.method import WeekSettings
from planner.model.aims import dose_room, dose_value, rest_value
from planner.model.problem import Problem
from planner.solve import by_totals, search
from planner.solve.search import Search

DUST = 1e-5


@pytest.mark.parametrize("seed", range(20))
def test_both_ways_meet_within_both_gaps(seed: int) -> None:
    problem = week_with_wishes(seed)
    settings, fast, plain = problem.settings, found(solve_fast(problem)), found(solve_one_piece(problem))
    assert not fast.stopped and not plain.stopped
    for one in (fast, plain):
        assert Holding(problem).broken(one.plan) == []
        assert one.dose_best - one.dose_bound <= settings.dose_gap_sets + DUST
        assert rest_value(problem, one.plan) - one.rest_bound <= settings.rest_gap_minutes + DUST
        assert dose_value(problem, one.plan) <= one.dose_best + dose_room(problem) + DUST
    for one, other in ((fast, plain), (plain, fast)):
        assert one.dose_bound <= other.dose_best + DUST
        if one.dose_best >= other.dose_best - DUST:  # the other's plan is among those that the bound is of
            assert one.rest_bound <= rest_value(problem, other.plan) + DUST


@pytest.mark.parametrize("solve", [solve_fast, solve_one_piece])
def test_a_clash_is_none(solve: Callable[[Problem], Solved | None]) -> None:
    assert solve(tiny(heads=(goal("rear", target=60.0, ceiling=80.0, must=True),))) is None
    assert solve(tiny(pins={("press", "Mon"): 10, ("raise", "Mon"): 2})) is None


@pytest.mark.parametrize("price", [1e4, 1e7])
def test_high_prices_are_no_clash(price: float) -> None:
    problem = random_problem(
        2, exercises=(6, 9), sessions=(2, 2), settings=WeekSettings(price_missed_set=price)
    )
    fast, plain = found(solve_fast(problem)), found(solve_one_piece(problem))
    assert fast.dose_best == pytest.approx(plain.dose_best, abs=problem.settings.dose_gap_sets)
    # to what a solver's rounding is worth at that price
    assert rest_value(problem, fast.plan) == pytest.approx(
        rest_value(problem, plain.plan), abs=problem.settings.rest_gap_minutes + 1e-6 * price
    )
    assert fast.rest_bound <= rest_value(problem, plain.plan) + 1e-6 * price


@pytest.mark.parametrize("seed", [1, 3, 8])
def test_a_stop_by_nodes_is_told_and_its_gap_is_honest(seed: int) -> None:
    problem = random_problem(seed, exercises=(12, 18), sessions=(2, 3), minutes=(20, 30))
    hurried = replace(
        problem,
        settings=replace(problem.settings, node_budget=1, rest_gap_minutes=0.01, dose_gap_sets=1e-4),
    )
    stopped, whole = found(solve_fast(hurried)), found(solve_fast(problem))
    assert stopped.stopped and not whole.stopped
    assert not is_proven(hurried, stopped) and is_proven(problem, whole)
    assert Holding(hurried).broken(stopped.plan) == []
    assert stopped.dose_bound <= whole.dose_best + DUST
    # the bound holds among plans no worse in dose than its own best: the whole search's plan is one if it is
    if dose_value(problem, whole.plan) <= stopped.dose_best + dose_room(problem):
        assert stopped.rest_bound <= rest_value(problem, whole.plan) + DUST
    for proof in proofs(hurried, stopped):
        assert proof.bound <= proof.value and proof.gap == pytest.approx(proof.value - proof.bound, abs=2e-3)


def test_a_stop_before_any_plan_is_no_clash(monkeypatch: pytest.MonkeyPatch) -> None:
    nothing = Answer(Ending.SECONDS, None, float("inf"), 0.0, 0.0, 0)
    monkeypatch.setattr(Search, "_over_patterns", lambda *_: (nothing, {}))
    for module in (search, by_totals):
        monkeypatch.setattr(module, "minimize_blocks", lambda *_, **__: (nothing, {}))
    with pytest.raises(SolverFault, match="stopped before it found any plan"):
        solve_fast(tiny())


def test_a_one_piece_stop_before_any_plan_is_no_clash() -> None:
    problem = random_problem(1, settings=WeekSettings(node_budget=0))
    with pytest.raises(SolverFault, match="stopped before it found any plan"):
        solve_one_piece(problem)


def test_where_the_rest_finds_no_plan_the_best_dose_stands_unproven(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = tiny(heads=(goal("front", target=30.0, ceiling=40.0),))
    close = Search.close

    def only_dose(search: Search, aim: Aim) -> Found:
        return close(search, aim) if not aim.holds else Found(None, float("inf"), float("inf"))

    monkeypatch.setattr(Search, "close", only_dose)
    solved = found(solve_fast(problem))
    assert solved.stopped and solved.plan and solved.rest_bound == 0.0
    assert dose_value(problem, solved.plan) == pytest.approx(solved.dose_best)


def test_pins_and_sessions_that_are_over_stand() -> None:
    problem = tiny(pins={("raise", "Mon"): 2, ("press", "Tue"): 5})
    monday, tuesday = problem.sessions
    over = replace(problem, sessions=(replace(monday, state="done"), tuesday))
    for solve in (solve_fast, solve_one_piece):
        plan = found(solve(over)).plan
        assert {key: sets for (key, day), sets in plan.items() if day == "Mon"} == {"raise": 2}
        assert plan["press", "Tue"] == 5
    missed = replace(problem, sessions=(monday, replace(tuesday, state="missed")), pins={})
    for solve in (solve_fast, solve_one_piece):
        assert {day for _, day in found(solve(missed)).plan} == {"Mon"}


def test_what_only_broken_blocks_can_meet_is_a_clash() -> None:
    # blocks of 4 sets give 0, 4 or 8; broken ones would give the 5 that must be
    fours = tiny(
        heads=(goal("rear", target=5.0, ceiling=5.5, must=True),),
        candidates=(FLY,),
        settings={"smallest_block_sets": 4, "largest_block_sets": 4},
    )
    sessions = tuple(replace(one, allowed=frozenset({"fly"})) for one in fours.sessions)
    fours = replace(fours, sessions=sessions)
    assert solve_fast(fours) is None and solve_one_piece(fours) is None
    fives = replace(fours, settings=replace(fours.settings, largest_block_sets=5))
    assert sum(found(solve_fast(fives)).plan.values()) == 5
