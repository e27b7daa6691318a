"""What must hold of any week: more room never hurts, names and orders do not matter, limits are kept, no dice."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from planner.solve.solved import Solved
from planner.week.holding import Holding
from week_cases import random_problem

from planner.document import Plan
from planner.method import WeekSettings
from planner.model.aims import dose_room, dose_value, rest_value
from planner.model.limits import LIMITS
from planner.model.problem import Problem
from planner.week.plan import solve_problem

FINELY = WeekSettings(dose_gap_sets=1e-4, rest_gap_minutes=0.01)
FINE_DOSE = WeekSettings(dose_gap_sets=1e-4)
SEEDS = st.integers(0, 100_000)
few = settings(max_examples=10, deadline=None)


def week(seed: int, given_settings: WeekSettings | None = None) -> Problem:
    """A small random week, sometimes with last week's exercises, wishes and a watched trapezius."""
    problem = random_problem(
        seed, exercises=(3, 7), sessions=(1, 2), minutes=(12, 25), gyms=(1, 2), settings=given_settings
    )
    dice = random.Random(seed)
    keys = [candidate.key for candidate in problem.candidates]
    return replace(
        problem,
        keep=dice.randint(0, 2),
        last_week=frozenset(dice.sample(keys, 2)),
        preferred=tuple(dice.sample(keys, 1)),
        quiet_trapezius=dice.random() < 0.3,
    )


def solved(problem: Problem) -> Solved:
    found = solve_problem(problem)
    assert found is not None
    return found


def never_worse(problem: Problem, roomier: Problem) -> None:
    """The best dose of the roomier week is no worse, within the gap that was asked for; its bound surely not."""
    before, after = solved(problem), solved(roomier)
    assert after.dose_bound <= before.dose_best + 1e-6
    assert after.dose_best <= before.dose_best + problem.settings.dose_gap_sets + 1e-6
    # of the plan as printed: what the second aim may leave of the best dose is its tolerance
    spent = dose_room(roomier) + problem.settings.dose_gap_sets
    assert dose_value(roomier, after.plan) <= dose_value(problem, before.plan) + spent + 1e-6


@given(seed=SEEDS, minutes=st.integers(1, 15))
@few
def test_more_minutes_never_worsen_the_dose(seed: int, minutes: int) -> None:
    problem = week(seed)
    longer = tuple(replace(one, seconds=one.seconds + 60 * minutes) for one in problem.sessions)
    never_worse(problem, replace(problem, sessions=longer))


@given(seed=SEEDS)
@few
def test_more_equipment_never_worsens_the_dose(seed: int) -> None:
    problem = week(seed)
    everything = frozenset(candidate.key for candidate in problem.candidates)
    never_worse(
        problem,
        replace(problem, sessions=tuple(replace(one, allowed=everything) for one in problem.sessions)),
    )


@given(
    seed=SEEDS,
    looser=st.sampled_from(
        (
            {"exercises_per_session": 12},
            {"exercises_per_week": 20},
            {"largest_block_sets": 5},
            {"smallest_block_sets": 1},
            {"session_hard_cap_sets": 48.0},
            {"trapezius_level": 2.0},
        )
    ),
)
@few
def test_a_looser_limit_never_worsens_the_dose(seed: int, looser: dict[str, Any]) -> None:
    tight: dict[str, Any] = {
        "exercises_per_session": 3,
        "exercises_per_week": 5,
        "session_hard_cap_sets": 6.0,
    }
    problem = week(seed, replace(WeekSettings(), **tight))
    never_worse(problem, replace(problem, settings=replace(problem.settings, **looser)))


@given(seed=SEEDS)
@example(seed=93563)  # once searched under other duals than its bound's, and proved too much
@few
def test_a_larger_joint_budget_never_worsens_the_dose(seed: int) -> None:
    problem = week(seed)
    tight = tuple(replace(one, allowed=8.0) for one in problem.joints)
    never_worse(replace(problem, joints=tight), problem)


def same_values(one: Problem, other: Problem) -> None:
    first, second = solved(one), solved(other)
    assert second.dose_best == pytest.approx(first.dose_best, abs=1e-3)
    assert rest_value(other, second.plan) == pytest.approx(rest_value(one, first.plan), abs=0.02)


def renamed(problem: Problem, names: dict[str, str]) -> Problem:
    return replace(
        problem,
        candidates=tuple(replace(one, key=names[one.key]) for one in problem.candidates),
        sessions=tuple(
            replace(one, allowed=frozenset(names[key] for key in one.allowed)) for one in problem.sessions
        ),
        last_week=frozenset(names[key] for key in problem.last_week),
        preferred=tuple(names[key] for key in problem.preferred),
    )


@given(seed=SEEDS)
@few
def test_names_of_exercises_change_no_value(seed: int) -> None:
    problem = week(seed, FINELY)
    keys = [candidate.key for candidate in problem.candidates]
    others = random.Random(seed).sample([f"exercise_{number:02d}" for number in range(len(keys))], len(keys))
    same_values(problem, renamed(problem, dict(zip(keys, others, strict=True))))


@given(seed=SEEDS)
@few
def test_order_in_library_and_brief_changes_no_value(seed: int) -> None:
    problem, dice = week(seed, FINELY), random.Random(seed)
    shuffled = replace(
        problem,
        candidates=tuple(dice.sample(problem.candidates, len(problem.candidates))),
        sessions=tuple(dice.sample(problem.sessions, len(problem.sessions))),
        heads=tuple(dice.sample(problem.heads, len(problem.heads))),
        joints=tuple(dice.sample(problem.joints, len(problem.joints))),
    )
    same_values(problem, shuffled)


@given(seed=SEEDS)
@few
def test_doubled_priorities_double_the_dose_price(seed: int) -> None:
    problem = week(seed, FINE_DOSE)
    doubled = tuple(replace(one, priority=2 * one.priority) for one in problem.heads)
    assert solved(replace(problem, heads=doubled)).dose_best == pytest.approx(
        2 * solved(problem).dose_best, abs=1e-3
    )


@given(seed=SEEDS)
@few
def test_a_plan_breaks_no_limit(seed: int) -> None:
    problem = week(seed)
    plan = solved(problem).plan
    for limit in LIMITS:
        for use in limit.use(problem, plan):
            assert use.used <= use.allowed + 1e-6, use
    assert Holding(problem).broken(plan) == []
    rooms = {session.id: session.allowed for session in problem.sessions}
    assert all(key in rooms[day] for key, day in plan)
    smallest, largest = problem.settings.smallest_block_sets, problem.settings.largest_block_sets
    assert all(smallest <= sets <= largest for sets in plan.values())


@given(seed=SEEDS)
@few
def test_the_same_problem_gives_the_same_plan(seed: int) -> None:
    plans: list[Plan] = [solved(week(seed)).plan for _ in range(2)]
    assert plans[0] == plans[1]


@given(seed=SEEDS)
@few
def test_a_pin_is_kept(seed: int) -> None:
    problem = week(seed)
    session = problem.sessions[0]
    quickest = min(
        (one for one in problem.candidates if one.key in session.allowed),
        key=lambda one: one.seconds(1),
        default=None,
    )
    if quickest is None or problem.quiet_trapezius or quickest.seconds(1) > session.seconds:
        return
    plan = solved(replace(problem, pins={(quickest.key, session.id): 1})).plan
    assert plan[quickest.key, session.id] == 1
