"""What to do if a station is taken: each offer by itself keeps every limit and must, and no tenth exercise comes in."""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tiny_week import FLY, MONDAY, PRESS, RAISE, TUESDAY, goal, tiny
from week_cases import random_problem

from planner.model.aims import dose_value, rest_value
from planner.model.problem import exercises_in
from planner.solve.solve import best_dose
from planner.week.instead import Instead, uses_other_equipment
from planner.week.keeping import Keeping

CABLE = replace(RAISE, key="cable_raise", place=3, implement="cable", station=("cable_station",))
MACHINE = replace(RAISE, key="machine_raise", place=4, implement="machine", station=("raise_machine",))
PLAN = {("raise", "Mon"): 3}


def week(*others, plan=PLAN, careful=(), **changes):
    candidates = (PRESS, RAISE, FLY, *others)
    sessions = (replace(MONDAY, allowed=frozenset(one.key for one in candidates)), TUESDAY)
    return Instead(tiny(**{"candidates": candidates, "sessions": sessions} | changes), plan, careful)


def offers(instead, key="raise", day="Mon"):
    session = next(one for one in instead.problem.sessions if one.id == day)
    return {one.key: one for one in instead.of(key, session)}


def test_an_equal_exercise_on_other_equipment_takes_its_place_and_the_same_movement_is_first():
    equal = offers(week(CABLE))["cable_raise"]
    assert (equal.sets, equal.seconds, equal.said, equal.moves) == (3, 0, {}, 0)
    front = replace(CABLE, family="front_raise")  # nearer in dose, yet another movement
    side = replace(MACHINE, credits={"front": 0.4, "side": 0.95})
    assert list(offers(week(front, side)))[:2] == ["machine_raise", "cable_raise"]
    special = replace(CABLE, choice=3)
    assert list(offers(week(special, MACHINE)))[:2] == ["machine_raise", "cable_raise"]


def test_what_needs_the_taken_station_is_no_way_out_but_a_bench_can_be_lent():
    assert not offers(week(replace(CABLE, station=("dumbbells",))))
    both, one = replace(CABLE, station=("dual_cable_station",)), replace(MACHINE, station=("cable_station",))
    assert not uses_other_equipment(one, both) and not uses_other_equipment(both, one)
    dumbbells = replace(CABLE, station=("dumbbells", "flat_bench"))
    assert uses_other_equipment(replace(MACHINE, station=("cable_station", "flat_bench")), dumbbells)
    assert not uses_other_equipment(dumbbells, replace(CABLE, station=("flat_bench",)))


def test_what_needs_the_same_equipment_is_offered_last_and_not_where_the_station_is_taken():
    instead = week(replace(RAISE, key="seated_raise", place=3, station=(*RAISE.station, "flat_bench")), CABLE)
    session = instead.problem.sessions[0]
    assert [one.key for one in instead.of("raise", session, taken=False)] == ["cable_raise", "seated_raise"]
    assert [*offers(instead)] == ["cable_raise"]


def test_what_the_room_lacks_the_session_holds_or_another_head_is_chosen_for_is_not_offered():
    absent = week(CABLE, sessions=(replace(MONDAY, allowed=frozenset({"raise", "fly"})), TUESDAY))
    assert not offers(absent)
    assert not offers(week(CABLE, plan={**PLAN, ("cable_raise", "Mon"): 2}))
    assert not offers(week(replace(CABLE, trains="rear")))  # the rear fly helps the side too: it is no raise
    helper = replace(CABLE, trains="", credits={"side": 0.5})
    other = replace(MACHINE, trains="", credits={"side": 0.6})
    assert "machine_raise" in offers(week(helper, other, plan={("cable_raise", "Mon"): 3}), "cable_raise")


@pytest.mark.parametrize(("grades", "careful", "offered"), [
    ({"shoulder": 1}, (), True), ({"shoulder": 2}, (), False), ({"shoulder": 1}, ("shoulder",), True),
    ({"shoulder": 2}, ("shoulder",), False), ({"wrist": 1}, (), True), ({"wrist": 1}, ("wrist",), False),
])  # fmt: skip
def test_no_joint_is_worse(grades, careful, offered):
    assert ("cable_raise" in offers(week(replace(CABLE, grades=grades), careful=careful))) == offered


def test_sets_are_adapted_what_moves_is_said_and_careful_regions_take_no_more():
    weak, two = replace(CABLE, credits={"side": 0.75}), {("raise", "Mon"): 2}
    assert offers(week(weak, plan=two))["cable_raise"].sets == 3  # 3 · 0.75 is nearer to 2 than 2 · 0.75
    assert offers(week(weak, plan=two, careful=("shoulder",)))["cable_raise"].sets == 2
    strong = replace(CABLE, credits={"side": 1.0, "front": 0.75})
    assert offers(week(strong))["cable_raise"].said == {"front": pytest.approx(1.05)}  # 3 · (0.75 − 0.4)


def test_no_tenth_exercise_comes_in_and_one_that_stays_elsewhere_counts():
    plan = {("raise", "Mon"): 3, ("raise", "Tue"): 3, ("fly", "Mon"): 2}
    two = {"exercises_per_week": 2}
    assert not offers(week(CABLE, plan=plan, settings=two))  # raise stays on Tuesday: it would be a third
    assert "cable_raise" in offers(week(CABLE, plan=plan, settings={"exercises_per_week": 3}))
    only_monday = {pair: n for pair, n in plan.items() if pair[1] == "Mon"}
    assert "cable_raise" in offers(week(CABLE, plan=only_monday, settings=two))


def test_the_second_on_the_sheet_stands_elsewhere_than_the_first():
    near = replace(CABLE, key="cable_other", place=4)
    instead = week(CABLE, near, replace(MACHINE, place=5))
    both = [one.key for one in instead.for_the_sheet("raise", instead.problem.sessions[0])]
    assert both == ["cable_raise", "machine_raise"]
    assert week().for_the_sheet("raise", week().problem.sessions[0]) == []


def exchanged(plan, key, day, exchange):
    return {pair: n for pair, n in plan.items() if pair != (key, day)} | {(exchange.key, day): exchange.sets}


def test_the_price_is_what_the_two_aims_lose():
    instead = week(CABLE, heads=(goal("side"),))
    problem, session = instead.problem, instead.problem.sessions[0]
    for exchange in instead.of("raise", session):
        after = exchanged(PLAN, "raise", "Mon", exchange)
        missed, priced = instead.price("raise", session, exchange)
        assert missed == pytest.approx(dose_value(problem, after) - dose_value(problem, PLAN))
        assert priced == pytest.approx(rest_value(problem, after) - rest_value(problem, PLAN))


@settings(max_examples=8)
@given(st.integers(0, 30), st.booleans())
def test_every_offer_may_be_taken_and_says_what_it_moves(seed, must):
    problem = random_problem(seed, exercises=(10, 15), sessions=(2, 2), minutes=(15, 25), gyms=(1, 2))
    problem = replace(problem, settings=problem.settings.but(exercises_per_week=5))
    if must:
        first = replace(problem.heads[0], must=True, target=2.0, floor=1.0, ceiling=30.0)
        problem = replace(problem, heads=(first, *problem.heads[1:]))
    best = best_dose(problem)
    assume(best is not None and bool(best.plan))
    instead, keeping = Instead(problem, best.plan, ("neck",)), Keeping(problem)
    assert keeping.broken(best.plan) == []
    for key, day in best.plan:
        sets, wanted = best.plan[key, day], problem.by_key[key]
        for exchange in instead.of(key, next(one for one in problem.sessions if one.id == day)):
            other = problem.by_key[exchange.key]
            after = exchanged(best.plan, key, day, exchange)
            assert keeping.broken(after) == [] and len(exercises_in(after)) <= 5
            assert other.grades["neck"] * exchange.sets <= wanted.grades["neck"] * sets
            for of in problem.heads:
                both = ((wanted, sets), (other, exchange.sets))
                gave, gives = (one.credits.get(of.head, 0.0) * n for one, n in both)
                assert of.head in exchange.said or abs(gives - gave) <= 0.1 * gave + 1e-9
