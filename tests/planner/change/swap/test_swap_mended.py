"""Plans mended by single moves: what each move does, held to plain sums, and what a mended plan may be taken for."""

from __future__ import annotations

from dataclasses import replace

import pytest
from every_plan import every_plan, keeps_limits
from hypothesis import given, settings
from hypothesis import strategies as st
from planner.change.swap.mended import mended, whole_dose
from planner.change.swap.single_moves import Moves
from planner.model.change import change_price
from planner.week.best_dose import best_dose
from planner.week.holding import Holding
from swapped_week import IN_TURNS, swapped_weeks
from tiny_week import MONDAY, PRESS, RAISE, TUESDAY, goal, tiny

from planner.document import Plan
from planner.model.aims import dose_value
from planner.model.problem import Problem
from planner.plain import ROUNDING

ENOUGH = st.sampled_from([0.0, 0.75, 3.0])


def in_force(problem: Problem) -> Plan:
    return problem.in_force or {}


def moves_of(problem: Problem) -> Moves:
    return Moves(Holding(problem), in_force(problem))


@settings(max_examples=60, deadline=None)
@given(swapped_weeks(), st.data())
def test_every_move_is_priced_as_the_plan_that_it_makes(problem: Problem, data: st.DataObject) -> None:
    moves, plans = moves_of(problem), list(every_plan(problem))
    plan = data.draw(st.sampled_from(plans))
    price, change = moves.prices(plan)
    assert price[0] == pytest.approx(dose_value(problem, plan))
    for at, (pair, sets) in enumerate(
        (moves.pairs[at], int(sets)) for at, sets in zip(moves.at, moves.sets, strict=True)
    ):
        after = {**plan, pair: sets} if sets else {key: n for key, n in plan.items() if key != pair}
        missed = dose_value(problem, after)
        if keeps_limits(problem, after):
            assert price[at + 1] == pytest.approx(missed)
        else:
            assert price[at + 1] > missed + 1.0
        more = change_price(problem, after) - change_price(problem, plan)
        assert change[at] == pytest.approx(more)


@settings(max_examples=80, deadline=None)
@given(swapped_weeks(), ENOUGH)
def test_a_mended_plan_may_be_planned_and_misses_no_more_than_asked(problem: Problem, enough: float) -> None:
    plan = mended(moves_of(problem), enough)
    if plan is not None:
        assert plan in list(every_plan(problem))
        assert dose_value(problem, plan) <= enough


@settings(max_examples=80, deadline=None)
@given(swapped_weeks())
def test_a_whole_dose_is_the_best_that_a_search_finds(problem: Problem) -> None:
    whole, best = whole_dose(moves_of(problem)), best_dose(problem)
    assert best is not None
    if whole is not None:
        assert whole.value == dose_value(problem, whole.plan) <= ROUNDING and whole.bound == 0.0
        assert best.value <= problem.settings.dose_gap_sets


def test_a_session_cut_short_is_relieved_before_any_dose() -> None:
    before = {("press", "Mon"): 3, ("press", "Tue"): 3, ("raise", "Tue"): 3, ("fly", "Mon"): 3}
    heads = (goal("front", target=3.0), goal("side", target=3.0), goal("rear", target=3.0))
    short = tiny(sessions=(MONDAY, replace(TUESDAY, seconds=400)), heads=heads, in_force=before)
    plan = mended(moves_of(short), 0.0)
    assert plan is not None and dose_value(short, plan) == 0.0
    assert (
        sum(
            PRESS.seconds(n) if key == "press" else RAISE.seconds(n)
            for (key, day), n in plan.items()
            if day == "Tue"
        )
        <= 400
    )


def test_change_that_the_dose_does_not_need_is_taken_back() -> None:
    before = {("press", "Mon"): 3, ("raise", "Tue"): 2}
    problem = tiny(heads=(goal("front", target=2.0),), in_force=before)
    moves = moves_of(problem)
    assert moves.best({**before, ("raise", "Tue"): 3}, 0.0) == (("raise", "Tue"), 2)
    assert moves.best(before, 0.0) is None


def test_what_was_done_is_part_of_the_plan() -> None:
    problem = tiny(pins={("fly", "Mon"): 2}, heads=(goal("rear", target=2.0),), in_force={})
    assert mended(moves_of(problem), 0.0) == {("fly", "Mon"): 2}


@pytest.mark.parametrize("heads", [(), (goal("rear", target=30.0, ceiling=40.0),)])
def test_what_no_move_can_reach_is_not_found_and_nothing_asked_is_reached(heads: tuple[object, ...]) -> None:
    problem = tiny(heads=heads, in_force={})
    assert mended(moves_of(problem), 0.0) == (None if heads else {})


def test_a_week_that_is_over_has_no_moves() -> None:
    over = tuple(replace(session, state="missed") for session in (MONDAY, TUESDAY))
    assert mended(moves_of(tiny(sessions=over, in_force={})), 0.0) is None


def test_where_sets_may_be_paired_a_good_plan_is_seen_and_none_is_made() -> None:
    before = {("raise", "Mon"): 3, ("fly", "Mon"): 3}
    asked = tiny(candidates=IN_TURNS, heads=(goal("side", target=3.0), goal("rear", target=3.0)))
    in_turns = replace(asked, paired=True)
    assert mended(moves_of(replace(in_turns, in_force=before)), 0.0) == before
    assert mended(moves_of(replace(in_turns, in_force={})), 0.0) is None
    assert mended(moves_of(replace(asked, in_force={})), 0.0) == before
