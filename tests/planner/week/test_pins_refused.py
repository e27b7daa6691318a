"""A pin stands, or is refused with the hard limit that it breaks; what one more minute or set would allow is kept."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from planner.solve.fast import solve_fast
from tiny_week import FLY, MONDAY, PRESS, RAISE, TUESDAY, goal, tiny

from planner.model.problem import JointBudget, Problem
from planner.week.pins import overrun, quietest

EVERYTHING = frozenset({"press", "raise", "fly"})
MON = replace(MONDAY, allowed=EVERYTHING)
TUE = replace(TUESDAY, allowed=EVERYTHING)


def pinned(pins: dict[tuple[str, str], int], **changes: Any) -> Problem:
    return tiny(sessions=changes.pop("sessions", (MON, TUE)), pins=pins, **changes)


# pins, what is tight, words of the reason, what is one step wider and lets the pins stand
CASES: dict[str, tuple[dict[tuple[str, str], int], dict[str, Any], str, dict[str, Any]]] = {
    "time": (
        {("press", "Tue"): 4, ("raise", "Tue"): 2},  # 700 + 210 s
        {"sessions": (MON, replace(TUE, seconds=909))},
        "press, raise on Tue take 15.2 min of the 15 min after the warm-up",
        {"sessions": (MON, replace(TUE, seconds=910))},
    ),
    "exercises a session": (
        {("press", "Mon"): 2, ("raise", "Mon"): 2, ("fly", "Mon"): 2},
        {"settings": {"exercises_per_session": 2}},
        "3 exercises on Mon (press, raise, fly), at most 2 fit on a sheet",
        {"settings": {"exercises_per_session": 3}},
    ),
    "exercises a week": (
        {("press", "Mon"): 2, ("raise", "Tue"): 2, ("fly", "Mon"): 2},
        {"settings": {"exercises_per_week": 2}},
        "3 different exercises (press, raise, fly), at most 2 a week",
        {"settings": {"exercises_per_week": 3}},
    ),
    "hard cap": (
        {("raise", "Mon"): 5, ("press", "Mon"): 2},  # side 5·1 + 2·0.5, front 5·0.4 + 2·1
        {"settings": {"session_hard_cap_sets": 5.9}},
        "raise, press on Mon give side 6.0 sets, never more than 5.9 in a session",
        {"settings": {"session_hard_cap_sets": 6.0}},
    ),
    "joint budget": (
        {("press", "Mon"): 3, ("raise", "Tue"): 2},  # 3·2 + 2·1
        {"joints": (JointBudget("shoulder", 9.5, 2.0),)},
        "press, raise put 8 grade-sets on shoulder, 7.5 are left of 9.5 a week",
        {"joints": (JointBudget("shoulder", 10.0, 2.0),)},
    ),
    "trapezius": (
        {("raise", "Mon"): 4},  # 4·(0.9 − V)
        {"quiet_trapezius": True, "settings": {"trapezius_level": 0.2}},
        "raise have a mean trapezius level of 0.90, at most 0.2 is allowed",
        {"quiet_trapezius": True, "settings": {"trapezius_level": 0.9}},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_pins_that_break_a_limit_are_refused_with_it(name: str) -> None:
    pins, tight, words, _ = CASES[name]
    problem = pinned(pins, **tight)
    told = list(overrun(problem))
    assert len(told) == 1 and words in told[0]
    assert told[0].startswith("brief.toml: preferences.pin: ")
    assert "Pin " in told[0]  # what would do
    assert solve_fast(problem) is None


@pytest.mark.parametrize("name", CASES)
def test_pins_just_inside_a_limit_stand(name: str) -> None:
    pins, _, _, wider = CASES[name]
    problem = pinned(pins, **wider)
    assert list(overrun(problem)) == []
    solved = solve_fast(problem)
    assert solved is not None and {**solved.plan, **pins} == solved.plan


def test_a_loud_pin_stands_where_quiet_exercises_can_make_up_for_it() -> None:
    problem = pinned({("raise", "Mon"): 3}, quiet_trapezius=True, heads=(goal("rear"), goal("side")))
    assert quietest(problem) < 0  # 3·(0.9 − 0.8) against flies of 0.3
    assert list(overrun(problem)) == []
    solved = solve_fast(problem)
    assert solved is not None and solved.plan["raise", "Mon"] == 3


def test_what_was_trained_already_breaks_nothing_any_more() -> None:
    done = {("press", "Mon"): 9, ("raise", "Mon"): 9, ("fly", "Mon"): 9}
    sessions = (replace(MON, state="done", seconds=60), TUE)
    tight = {
        "exercises_per_session": 1,
        "exercises_per_week": 1,
        "session_hard_cap_sets": 2.0,
        "trapezius_level": 0.1,
    }
    joints = (JointBudget("shoulder", 1.0, 0.0),)
    over = pinned(done, sessions=sessions, settings=tight, joints=joints, quiet_trapezius=True)
    assert list(overrun(over)) == []
    assert solve_fast(over) is not None


def test_pins_in_turns_have_more_time() -> None:
    fly = replace(FLY, rest_seconds=60, credits={"rear": 1.0}, direct=frozenset({"rear"}))
    candidates = (PRESS, replace(RAISE, rest_seconds=75), fly)
    pins = {("raise", "Mon"): 3, ("fly", "Mon"): 3}
    short = (replace(MON, seconds=505), TUE)  # 610 s straight, 505 s in turns
    problem = pinned(pins, candidates=candidates, sessions=short)
    assert "10.2 min of the 8 min" in next(overrun(problem))
    assert list(overrun(replace(problem, paired=True))) == []
