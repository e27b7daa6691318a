"""Replacements for a taken station: same heads, other equipment, no joint worse, no limit broken."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from planner.change.instead import Instead, uses_other_equipment
from planner.week.best_dose import best_dose
from planner.week.holding import Holding
from tiny_week import FLY, MONDAY, PRESS, RAISE, TUESDAY, goal, tiny
from week_cases import random_problem

from planner.document import Plan
from planner.model.aims import dose_value, rest_value
from planner.model.problem import Candidate, Problem

CABLE = replace(RAISE, key="cable_raise", place=3, implement="cable", station=("cable_station",))
MACHINE = replace(RAISE, key="machine_raise", place=4, implement="machine", station=("raise_machine",))
PLAN: Plan = {("raise", "Mon"): 3}


def week(*others: Candidate, plan: Plan = PLAN, careful: tuple[str, ...] = (), **changes: Any) -> Instead:
    candidates = (PRESS, RAISE, FLY, *others)
    keys = frozenset(one.key for one in candidates)
    sessions = (replace(MONDAY, allowed=keys), TUESDAY)
    return Instead(tiny(**{"candidates": candidates, "sessions": sessions} | changes), plan, careful)


def keys(instead: Instead, key: str = "raise", day: str = "Mon") -> list[str]:
    session = next(one for one in instead.problem.sessions if one.id == day)
    return [one.key for one in instead.of(key, session)]


def test_an_equal_exercise_on_other_equipment_takes_its_place() -> None:
    instead = week(CABLE)
    [exchange, *_] = instead.of("raise", instead.problem.sessions[0])
    assert (exchange.key, exchange.sets, exchange.seconds) == ("cable_raise", 3, 0)
    assert set(exchange.differs.values()) == {0.0} and exchange.said == {}


def test_of_those_that_keep_the_dose_the_same_movement_comes_first() -> None:
    front = replace(
        CABLE, family="front_raise"
    )  # nearer in dose and earlier in the library, yet another movement
    side = replace(MACHINE, credits={"front": 0.4, "side": 0.95})
    assert keys(week(front, side))[:2] == ["machine_raise", "cable_raise"]
    far = replace(
        MACHINE, credits={"front": 0.4, "side": 0.75}
    )  # four sets of it give 10 % more for the front
    assert keys(week(front, far))[0] == "cable_raise"


def test_the_same_equipment_or_a_part_of_it_is_no_way_out() -> None:
    same = replace(CABLE, station=("dumbbells",))
    assert keys(week(same)) == ["fly"]
    both, one = replace(CABLE, station=("dual_cable_station",)), replace(MACHINE, station=("cable_station",))
    assert not uses_other_equipment(one, both) and not uses_other_equipment(both, one)
    assert uses_other_equipment(PRESS, FLY)


def test_a_bench_can_be_lent() -> None:
    dumbbells = replace(CABLE, station=("dumbbells", "flat_bench"))
    cable = replace(MACHINE, station=("cable_station", "flat_bench"))
    assert uses_other_equipment(cable, dumbbells)
    only_a_bench = replace(CABLE, station=("flat_bench",))
    assert not uses_other_equipment(cable, only_a_bench)


def test_what_the_room_lacks_or_the_session_holds_is_not_offered() -> None:
    absent = week(CABLE, sessions=(replace(MONDAY, allowed=frozenset({"raise", "fly"})), TUESDAY))
    assert keys(absent) == ["fly"]
    there = week(CABLE, plan={**PLAN, ("cable_raise", "Mon"): 2})
    assert keys(there) == ["fly"]


def test_the_main_head_must_get_direct_sets() -> None:
    pull = replace(CABLE, credits={"front": 0.4, "side": 0.6}, direct=frozenset())
    assert "cable_raise" not in keys(week(pull))
    assert "cable_raise" in keys(week(replace(pull, direct=frozenset({"side"}))))


def test_an_exercise_that_is_direct_for_nobody_may_be_replaced_by_any() -> None:
    pull = replace(CABLE, credits={"side": 0.5}, direct=frozenset())
    assert "machine_raise" in keys(week(pull, MACHINE, plan={("cable_raise", "Mon"): 3}), "cable_raise")


@pytest.mark.parametrize(
    ("grade", "careful", "offered"),
    [
        (1, (), True),
        (2, (), False),
        (1, ("shoulder",), True),
        (2, ("shoulder",), False),
        (0, ("shoulder",), True),
    ],
)
def test_no_joint_is_worse(grade: int, careful: tuple[str, ...], offered: bool) -> None:
    other = replace(CABLE, grades={"shoulder": grade})  # the raise itself has 1
    assert ("cable_raise" in keys(week(other, careful=careful))) == offered


def test_a_low_grade_in_a_clear_region_is_harmless_and_said() -> None:
    other = replace(CABLE, grades={"wrist": 1})
    instead = week(other)
    exchange = next(
        one for one in instead.of("raise", instead.problem.sessions[0]) if one.key == "cable_raise"
    )
    assert exchange.loaded == ("wrist",) and exchange.eased == ("shoulder",)
    assert "cable_raise" not in keys(week(other, careful=("wrist",)))


def test_careful_regions_take_no_more_grade_sets_either() -> None:
    weak = replace(CABLE, credits={"side": 0.75}, direct=frozenset({"side"}))
    free = week(weak, plan={("raise", "Mon"): 2})
    by_key = {one.key: one.sets for one in free.of("raise", free.problem.sessions[0])}
    assert by_key["cable_raise"] == 3  # 3 · 0.75 is nearer to 2 than 2 · 0.75
    held = week(weak, plan={("raise", "Mon"): 2}, careful=("shoulder",))
    by_key = {one.key: one.sets for one in held.of("raise", held.problem.sessions[0])}
    assert by_key["cable_raise"] == 2


def test_sets_are_adapted_and_a_difference_is_said() -> None:
    strong = replace(CABLE, credits={"side": 1.0, "front": 0.75}, direct=frozenset({"side"}))
    instead = week(strong)
    exchange = next(
        one for one in instead.of("raise", instead.problem.sessions[0]) if one.key == "cable_raise"
    )
    assert exchange.sets == 3
    assert exchange.said == {"front": pytest.approx(1.05)}  # 3 · (0.75 − 0.4)
    assert "side" not in exchange.said


def test_a_full_session_takes_nothing_longer() -> None:
    longer = replace(CABLE, set_seconds=RAISE.set_seconds + 60)
    room = {"allowed": frozenset({"raise", "cable_raise"})}
    full = replace(MONDAY, seconds=RAISE.seconds(3), **room)
    instead = week(longer, sessions=(full, TUESDAY))
    assert [(one.key, one.sets) for one in instead.of("raise", full)] == [("cable_raise", 2)]
    no_room = replace(full, seconds=RAISE.seconds(3) - 1)  # over already: only what is no longer
    assert [one.sets for one in week(longer, sessions=(no_room, TUESDAY)).of("raise", no_room)] == [2]


def test_a_session_that_is_over_needs_no_replacement() -> None:
    done = replace(MONDAY, state="done")
    assert week(CABLE, sessions=(done, TUESDAY), pins=PLAN).of("raise", done) == []


def test_the_second_on_the_sheet_stands_elsewhere_than_the_first() -> None:
    near = replace(CABLE, key="cable_other", place=4)
    instead = week(CABLE, near, replace(MACHINE, place=5))
    shown = instead.for_the_sheet("raise", instead.problem.sessions[0])
    assert [one.key for one in shown] == ["cable_raise", "machine_raise"]
    one_only = week(CABLE, near, settings={"instead_shown": 1})
    assert len(one_only.for_the_sheet("raise", one_only.problem.sessions[0])) == 1
    assert week(sessions=(TUESDAY,), plan={("raise", "Tue"): 3}).for_the_sheet("raise", TUESDAY) == []


def test_the_price_is_what_the_two_aims_lose() -> None:
    instead = week(CABLE, FLY, heads=(goal("side"),))
    session = instead.problem.sessions[0]
    for exchange in instead.of("raise", session):
        after = {(exchange.key, "Mon"): exchange.sets}
        missed, priced = instead.price("raise", session, exchange)
        assert missed == pytest.approx(dose_value(instead.problem, after) - dose_value(instead.problem, PLAN))
        assert priced == pytest.approx(rest_value(instead.problem, after) - rest_value(instead.problem, PLAN))


def exchanged(problem: Problem, plan: Plan, key: str, day: str, other: str, sets: int) -> Plan:
    return {pair: n for pair, n in plan.items() if pair != (key, day)} | {(other, day): sets}


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 30))
def test_every_offer_keeps_every_hard_limit_and_says_what_it_must(seed: int) -> None:
    problem = random_problem(seed, exercises=(15, 25), sessions=(2, 2), minutes=(15, 30), gyms=(1, 2))
    solved = best_dose(problem)
    assume(solved is not None and solved.plan)
    assert solved is not None
    instead, holding = Instead(problem, solved.plan, ("neck",)), Holding(problem)
    for key, day in solved.plan:
        session = next(one for one in problem.sessions if one.id == day)
        sets, wanted = solved.plan[key, day], problem.candidate(key)
        for exchange in instead.of(key, session):
            other = problem.candidate(exchange.key)
            broken = holding.broken(exchanged(problem, solved.plan, key, day, other.key, exchange.sets))
            assert [name for name in broken if name != "exercises:week"] == []
            assert other.grades["neck"] * exchange.sets <= wanted.grades["neck"] * sets
            for goal_ in problem.heads:
                gave = wanted.credits.get(goal_.head, 0.0) * sets
                gives = other.credits.get(goal_.head, 0.0) * exchange.sets
                assert goal_.head in exchange.said or abs(gives - gave) <= 0.1 * gave + 1e-9
