"""Both aims priced by hand on the tiny week; what a change against the plan in force costs; how ties fall."""

from dataclasses import replace

import pytest
from tiny_week import FLY, MONDAY, PRESS, RAISE, TUESDAY, goal, tiny

from planner.document import Plan
from planner.model.aims import change_price, dose_room, dose_value, misses, overshoot, rest_value
from planner.solve.solve import solve_week


def test_prices_of_the_tiny_week_by_hand():
    problem = tiny(heads=(goal("front"), goal("side")))
    plan = {("press", "Mon"): 3, ("raise", "Tue"): 3}
    # front 3 + 1.2, side 3 + 1.5: short by 1.8 and 1.5 of 6, both above midway; own movements 3 of 3.6 each
    assert dose_value(problem, plan) == pytest.approx(3.3)
    named = {miss.goal: miss.price for miss in misses(problem, plan)}
    days = (("booked:thin", 22), ("mixed", 6))  # days running share the heads between them
    dose = {"dose:front": 72, "dose:side": 60, "own:front": 6, "own:side": 6}
    named_days = {f"{what}:{day}": price for what, price in days for day in ("Mon", "Tue")}
    assert named == pytest.approx(dose | named_days)
    effort = 0.2 * (540 + 330) / 60 + 1.0 * 6 + 2 * (0.5 + 1.5) + 0.002 * RAISE.place
    assert rest_value(problem, plan) == pytest.approx(sum(named.values()) + effort)
    demanding = (PRESS, replace(RAISE, skill=3, choice=2), FLY)
    dearer = rest_value(replace(problem, candidates=demanding), plan) - rest_value(problem, plan)
    assert dearer == pytest.approx(2 * 0.5 + 4.0)  # two steps of skill, one of choice


def test_counted_dose_beyond_the_target_costs_more_than_its_minutes():
    problem = tiny(heads=(goal("front", target=4.0, elsewhere_own=1.0),))
    assert overshoot(problem, {("press", "Mon"): 3}) == 0.0
    plan: Plan = {("press", "Mon"): 3, ("press", "Tue"): 2, ("raise", "Mon"): 3}
    assert overshoot(problem, plan) == pytest.approx(1 + 5 + 1.2 - 4)


@pytest.mark.parametrize(("tolerance", "room"), [(0.25, 0.75), (0.1, 0.3)])
def test_the_rest_may_leave_the_best_dose_by_so_much_a_head(tolerance, room):
    assert dose_room(tiny(settings={"dose_tolerance_sets": tolerance})) == pytest.approx(room)


def test_an_earlier_exercise_of_the_library_wins_a_tie():
    twin = replace(RAISE, key="twin", place=7)
    wide = (replace(MONDAY, allowed=frozenset({"twin", "raise"})),)
    problem = tiny(candidates=(twin, RAISE), sessions=wide, heads=(goal("side", target=2.0, floor=1.0),))
    closely = problem.settings.but(rest_gap_minutes=1e-4, booked_exercises=1)
    solved = solve_week(replace(problem, settings=closely))
    assert solved is not None and {key for key, _ in solved.plan} == {"raise"}


IN_FORCE: Plan = {("press", "Mon"): 3, ("fly", "Mon"): 2}
PRICES = {"settings": {"price_moved_set": 3.0, "price_exchanged": 10.0, "price_kin_saved": 4.0}}


@pytest.mark.parametrize(("plan", "price"), [
    (IN_FORCE, 0), ({("press", "Mon"): 2, ("fly", "Mon"): 2}, 3),
    ({("press", "Tue"): 3, ("fly", "Mon"): 2}, 18),  # three sets less here, three more there
    ({("press", "Mon"): 3, ("raise", "Mon"): 2}, 4 * 3 + 2 * 10),  # the fly leaves, the raise joins
    ({}, 5 * 3 + 2 * 10),
])  # fmt: skip
def test_price_of_a_change(plan, price):
    assert change_price(tiny(in_force=IN_FORCE, **PRICES), plan) == price
    assert change_price(tiny(**PRICES), plan) == 0.0  # no plan is in force


def test_what_can_no_longer_be_planned_costs_what_its_family_does_not_replace():
    without_machine = (replace(MONDAY, allowed=frozenset({"press", "raise"})), TUESDAY)
    problem = tiny(in_force=IN_FORCE, sessions=without_machine, **PRICES)
    assert change_price(problem, {("press", "Mon"): 3}) == 4
    kin = replace(RAISE, family="rear_fly")
    plan: Plan = {("press", "Mon"): 3, ("raise", "Mon"): 2}
    assert change_price(problem, plan) == 4 + 2 * 3 + 10
    assert change_price(replace(problem, candidates=(PRESS, kin, FLY)), plan) == 0
