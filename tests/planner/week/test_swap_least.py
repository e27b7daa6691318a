"""Least change, held against counting every plan of a small week."""

from __future__ import annotations

from dataclasses import replace

import pytest
from every_plan import every_plan, least_by_counting
from hypothesis import given, settings
from hypothesis import strategies as st
from tiny_week import FLY, MONDAY, PRESS, RAISE, TUESDAY, goal, tiny

from planner.errors import SolverFault
from planner.week.aims import dose_value, rest_value
from planner.week.best_dose import BestDose, best_dose
from planner.week.change import change_price
from planner.week.holding import Holding
from planner.week.problem import Plan, Problem
from planner.week.solve.highs import Answer, Ending
from planner.week.staying import can_stay, still_possible
from planner.week.swap import least
from planner.week.swap.least import least_change, smallest_change

SETS = st.sampled_from([0, 0, 2, 3])
PAIRS = [(c.key, s.id) for c in (PRESS, RAISE, FLY) for s in (MONDAY, TUESDAY) if c.key in s.allowed]


@st.composite
def swapped_weeks(draw: st.DrawFn) -> Problem:
    """A tiny week with some plan in force, after some change of equipment, minutes, joints or days done."""
    before = {pair: sets for pair in PAIRS if (sets := draw(SETS))}
    gone = draw(st.sampled_from(["", "press", "raise", "fly"]))
    state = draw(st.sampled_from(["planned", "planned", "done", "missed"]))
    sessions = (
        replace(MONDAY, allowed=MONDAY.allowed - {gone}, state=state),
        replace(TUESDAY, allowed=TUESDAY.allowed - {gone}, seconds=draw(st.sampled_from([400, 900, 1500]))),
    )
    pins = {pair: sets for pair, sets in before.items() if state == "done" and pair[1] == "Mon"}
    problem = tiny(
        sessions=sessions,
        pins=pins,
        heads=(
            goal("front"),
            goal("side", priority=2.0),
            goal("rear", target=draw(st.sampled_from([3.0, 6.0]))),
        ),
        settings={"price_moved_set": 100.0, "price_exchanged": 150.0},
    )
    return replace(problem, in_force=still_possible(problem, before))


@settings(max_examples=60, deadline=None)
@given(swapped_weeks())
def test_dose_then_change_then_care_as_by_counting(problem: Problem) -> None:
    best = best_dose(problem)
    assert best is not None
    solved = least_change(problem, best)
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
    assert can_stay(problem, plan, best) == (allowed and near)
    if can_stay(problem, plan, best):
        assert least_change(problem, best).plan == plan


@settings(max_examples=40, deadline=None)
@given(swapped_weeks(), st.sampled_from([0, 2, 3]))
def test_holding_says_what_counting_says(problem: Problem, sets: int) -> None:
    plan: Plan = {pair: sets for pair in PAIRS if sets} | dict(problem.pins)
    assert bool(Holding(problem).broken(plan)) != (plan in list(every_plan(problem)))


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
