"""A pin stands or is refused with the limit that it breaks; a plan in force stays exactly if nothing is against it."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from every_plan import every_plan
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from small_athlete import BRIEF, TODAY, WEEK, make_folder
from tiny_week import FLY, MONDAY, PAIRS, PRESS, RAISE, TUESDAY, goal, swapped_weeks, tiny
from week_cases import any_week, random_problem

from library.errors import NoWeekPossible
from planner.model.aims import dose_room, dose_value, rest_value
from planner.model.problem import JointBudget, exercises_in
from planner.solve.solve import best_dose, solve_week
from planner.week.gather import gather
from planner.week.instead import Instead, uses_other_equipment
from planner.week.keeping import Keeping, can_stay, least_change, solve_back, still_possible
from planner.week.plan import overrun, plan_week, quietest

EVERYTHING = frozenset({"press", "raise", "fly"})
MON, TUE = replace(MONDAY, allowed=EVERYTHING), replace(TUESDAY, allowed=EVERYTHING)


def pinned(pins, **changes):
    return tiny(sessions=changes.pop("sessions", (MON, TUE)), pins=pins, **changes)


# pins, what is tight, words of the reason, what is one step wider and lets the pins stand
CASES = {
    # 700 + 210 s
    "time": ({("press", "Tue"): 4, ("raise", "Tue"): 2}, {"sessions": (MON, replace(TUE, seconds=909))},
        "15.2 min of the 15 min", {"sessions": (MON, replace(TUE, seconds=910))}),
    "exercises a session": ({("press", "Mon"): 2, ("raise", "Mon"): 2, ("fly", "Mon"): 2},
        {"settings": {"exercises_per_session": 2}}, "3 exercises on Mon (press, raise, fly), at most 2",
        {"settings": {"exercises_per_session": 3}}),
    "exercises a week": ({("press", "Mon"): 2, ("raise", "Tue"): 2, ("fly", "Mon"): 2},
        {"settings": {"exercises_per_week": 2}}, "3 different exercises (press, raise, fly), at most 2",
        {"settings": {"exercises_per_week": 3}}),
    # side 5·1 + 2·0.5: helping included
    "hard cap": ({("raise", "Mon"): 5, ("press", "Mon"): 2}, {"settings": {"session_hard_cap_sets": 5.9}},
        "give side 6.0 sets, never more than 5.9", {"settings": {"session_hard_cap_sets": 6.0}}),
    # 3·2 + 2·1
    "joint budget": ({("press", "Mon"): 3, ("raise", "Tue"): 2},
        {"joints": (JointBudget("shoulder", 9.5, 2.0),)}, "8 grade-sets on shoulder, 7.5 are left of 9.5",
        {"joints": (JointBudget("shoulder", 10.0, 2.0),)}),
    # 4·(0.9 − V)
    "trapezius": ({("raise", "Mon"): 4}, {"quiet_trapezius": True, "settings": {"trapezius_level": 0.2}},
        "level of 0.90, at most 0.2", {"quiet_trapezius": True, "settings": {"trapezius_level": 0.9}}),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_pins_that_break_a_limit_are_refused_with_it(name):
    pins, tight, words, wider = CASES[name]
    [told] = overrun(pinned(pins, **tight))
    assert words in told and told.startswith("brief.toml: preferences.pin: ") and "Pin " in told
    assert solve_week(pinned(pins, **tight)) is None
    roomy = pinned(pins, **wider)
    assert list(overrun(roomy)) == []
    solved = solve_week(roomy)
    assert solved.plan.items() >= pins.items()


def test_a_loud_pin_stands_where_quiet_exercises_can_make_up_for_it():
    problem = pinned({("raise", "Mon"): 3}, quiet_trapezius=True, heads=(goal("rear"), goal("side")))
    level = problem.settings.trapezius_level
    least = min(
        sum((problem.by_key[key].trapezius - level) * n for (key, _), n in plan.items())
        for plan in every_plan(replace(problem, quiet_trapezius=False))
    )
    assert quietest(problem) <= least + 1e-9  # never more than any week with these pins
    assert bool(list(overrun(problem))) == (quietest(problem) > 1e-6)


@pytest.mark.parametrize(("pin", "words"), [
    ('machine_reverse_fly = { day = "Wed", sets = 3 }', "gym home lacks rear_fly_machine"),
    ('machine_reverse_fly = { day = "Mon", sets = 6 }', "2 to 4 sets"),
    ('barbell_bench_press = { day = "Mon", sets = 3 }', "takes skill 2"),
    ('one_arm_standing_dumbbell_press = { day = "Mon", sets = 3 }', "takes skill 2"),
    ('cable_rear_fly = { day = "Wed", sets = 3 }, machine_reverse_fly = { day = "Wed", sets = 3 }',
        "machine_reverse_fly"),
])  # fmt: skip
def test_a_pin_that_cannot_stand_alone_is_refused_with_its_reason(pin, words, tmp_path):
    wishes = f"[preferences]\npin = {{ {pin} }}\n[target]"
    asked = gather(make_folder(tmp_path / "kim", BRIEF.replace("[target]", wishes)), WEEK, TODAY)
    with pytest.raises(NoWeekPossible, match=words) as told:
        plan_week(asked)
    lines = str(told.value).splitlines()
    assert len(lines) == pin.count("day") and all(line.startswith("brief.toml: ") for line in lines)


# --- keeping
@given(swapped_weeks(), st.sampled_from([0, 2, 3]))
def test_keeping_says_what_counting_says(problem, sets):
    plan = {pair: sets for pair in PAIRS if sets} | dict(problem.pins)
    assert bool(Keeping(problem).broken(plan)) != (plan in list(every_plan(problem)))


@given(swapped_weeks())
def test_a_plan_stays_exactly_if_it_is_allowed_and_good_enough(problem):
    plan, best = problem.in_force or {}, best_dose(problem)
    near = dose_value(problem, plan) <= best.value + 0.25 * 3 + 1e-9
    assert can_stay(Keeping(problem), plan, best) == (plan in list(every_plan(problem)) and near)


@pytest.mark.parametrize(("changes", "plan", "broken"), [
    ({"pins": {("fly", "Mon"): 2}}, {("fly", "Tue"): 2}, "block:fly:Tue"),
    ({"pins": {("fly", "Mon"): 2}}, {("press", "Mon"): 3}, "pin:fly:Mon"),
    ({"heads": (goal("front", must=True),)}, {("press", "Mon"): 3}, "dose:front"),
    ({"heads": (goal("side", must=True, ceiling=2.0, target=2.0),)}, {("raise", "Mon"): 3}, "ceiling:side"),
    ({"sessions": (MONDAY, replace(TUESDAY, seconds=400))}, {("press", "Tue"): 3}, "time:Tue"),
    ({"implements_wanted": 2, "variety_must": True}, {("press", "Mon"): 3}, "implements"),
    ({"capped": {"raise": 2}}, {("raise", "Mon"): 2, ("raise", "Tue"): 2}, "pain:raise"),
    ({"settings": {"exercises_per_session": 1}}, {("press", "Mon"): 2, ("fly", "Mon"): 2}, "exercises:Mon"),
])  # fmt: skip
def test_what_is_broken_is_named(changes, plan, broken):
    assert any(name.startswith(broken) for name in Keeping(tiny(**changes)).broken(plan))
    assert not Keeping(tiny()).broken({("press", "Mon"): 3})


def test_what_is_still_possible_and_what_is_left_of_what_hurts_stay_on_their_days():
    problem = tiny(sessions=(replace(MONDAY, state="missed"), TUESDAY))
    plan = {("press", "Mon"): 3, ("press", "Tue"): 3, ("fly", "Tue"): 2, ("raise", "Tue"): 9}
    assert still_possible(problem, plan) == {("press", "Tue"): 3}
    problem = pinned({}, capped={"raise": 4})
    left = {("raise", "Mon"): 2, ("raise", "Tue"): 2}
    solved = solve_back(SimpleNamespace(returning={}, lessened=left), problem)
    assert {of: sets for of, sets in solved.plan.items() if of[0] == "raise"} == left
    gone = {("raise", "Sun"): 2, ("unknown", "Mon"): 2}  # no such day or exercise any more: nothing is kept
    assert solve_back(SimpleNamespace(returning={}, lessened=gone), problem) is None


@pytest.mark.parametrize("problem", [problem for problem in map(any_week, range(40)) if problem.in_force])
def test_a_sound_week_comes_out_even_where_no_time_is_left(problem):
    best = best_dose(problem)
    none = replace(problem, settings=problem.settings.but(emergency_seconds=0.0))
    solved = least_change(none, best)
    assert solved.stopped and not Keeping(problem).broken(solved.plan)
    assert dose_value(problem, solved.plan) <= best.value + dose_room(problem) + 1e-6


# --- What to do if a station is taken: each offer by itself keeps every limit and must, and no tenth exercise comes in
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


def test_an_equal_exercise_takes_its_place_and_what_cannot_be_done_is_not_offered():
    equal = offers(week(CABLE))["cable_raise"]
    assert (equal.sets, equal.seconds, equal.said, equal.moves) == (3, 0, {}, 0)
    front = replace(CABLE, family="front_raise")  # nearer in dose, yet another movement
    side = replace(MACHINE, credits={"front": 0.4, "side": 0.95})
    assert list(offers(week(front, side)))[:2] == ["machine_raise", "cable_raise"]
    special = replace(CABLE, choice=3)
    assert list(offers(week(special, MACHINE)))[:2] == ["machine_raise", "cable_raise"]
    absent = week(CABLE, sessions=(replace(MONDAY, allowed=frozenset({"raise", "fly"})), TUESDAY))
    assert not offers(absent)
    assert not offers(week(CABLE, plan={**PLAN, ("cable_raise", "Mon"): 2}))
    assert not offers(week(replace(CABLE, trains="rear")))  # the rear fly helps the side too: it is no raise
    helper = replace(CABLE, trains="", credits={"side": 0.5})
    other = replace(MACHINE, trains="", credits={"side": 0.6})
    assert "machine_raise" in offers(week(helper, other, plan={("cable_raise", "Mon"): 3}), "cable_raise")


def test_what_needs_the_taken_station_is_no_way_out_and_the_same_equipment_comes_last():
    assert not offers(week(replace(CABLE, station=("dumbbells",))))
    both, one = replace(CABLE, station=("dual_cable_station",)), replace(MACHINE, station=("cable_station",))
    assert not uses_other_equipment(one, both) and not uses_other_equipment(both, one)
    dumbbells = replace(CABLE, station=("dumbbells", "flat_bench"))
    assert uses_other_equipment(replace(MACHINE, station=("cable_station", "flat_bench")), dumbbells)
    assert not uses_other_equipment(dumbbells, replace(CABLE, station=("flat_bench",)))
    instead = week(replace(RAISE, key="seated_raise", place=3, station=(*RAISE.station, "flat_bench")), CABLE)
    session = instead.problem.sessions[0]
    assert [one.key for one in instead.of("raise", session, taken=False)] == ["cable_raise", "seated_raise"]
    assert [*offers(instead)] == ["cable_raise"]


@pytest.mark.parametrize(("grades", "careful", "offered"), [
    ({"shoulder": 1}, (), True), ({"shoulder": 2}, (), False), ({"shoulder": 1}, ("shoulder",), True),
    ({"shoulder": 2}, ("shoulder",), False), ({"wrist": 1}, (), True), ({"wrist": 1}, ("wrist",), False),
])  # fmt: skip
def test_no_joint_is_worse(grades, careful, offered):
    assert ("cable_raise" in offers(week(replace(CABLE, grades=grades), careful=careful))) == offered


def test_a_replacement_adapts_sets_says_what_moves_and_no_tenth_exercise_comes_in():
    weak, two = replace(CABLE, credits={"side": 0.75}), {("raise", "Mon"): 2}
    assert offers(week(weak, plan=two))["cable_raise"].sets == 3  # 3 · 0.75 is nearer to 2 than 2 · 0.75
    assert offers(week(weak, plan=two, careful=("shoulder",)))["cable_raise"].sets == 2
    strong = replace(CABLE, credits={"side": 1.0, "front": 0.75})
    assert offers(week(strong))["cable_raise"].said == {"front": pytest.approx(1.05)}  # 3 · (0.75 − 0.4)
    plan = {("raise", "Mon"): 3, ("raise", "Tue"): 3, ("fly", "Mon"): 2}
    two = {"exercises_per_week": 2}
    assert not offers(week(CABLE, plan=plan, settings=two))  # raise stays on Tuesday: it would be a third
    assert "cable_raise" in offers(week(CABLE, plan=plan, settings={"exercises_per_week": 3}))
    only_monday = {pair: n for pair, n in plan.items() if pair[1] == "Mon"}
    assert "cable_raise" in offers(week(CABLE, plan=only_monday, settings=two))


def test_the_second_on_the_sheet_stands_elsewhere_and_the_price_is_what_the_two_aims_lose():
    near = replace(CABLE, key="cable_other", place=4)
    instead = week(CABLE, near, replace(MACHINE, place=5))
    both = [one.key for one in instead.for_the_sheet("raise", instead.problem.sessions[0])]
    assert both == ["cable_raise", "machine_raise"]
    assert week().for_the_sheet("raise", week().problem.sessions[0]) == []
    instead = week(CABLE, heads=(goal("side"),))
    problem, session = instead.problem, instead.problem.sessions[0]
    for exchange in instead.of("raise", session):
        after = exchanged(PLAN, "raise", "Mon", exchange)
        missed, priced = instead.price("raise", session, exchange)
        assert missed == pytest.approx(dose_value(problem, after) - dose_value(problem, PLAN))
        assert priced == pytest.approx(rest_value(problem, after) - rest_value(problem, PLAN))


def exchanged(plan, key, day, exchange):
    return {pair: n for pair, n in plan.items() if pair != (key, day)} | {(exchange.key, day): exchange.sets}


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
