"""Random weeks that are small enough for a slow and plain way too, each named by what it may hold."""

from __future__ import annotations

import random
from dataclasses import replace

from planner.solve.solved import Solved
from week_cases import random_problem

from planner.method import WeekSettings
from planner.model.problem import Problem

CLOSELY = WeekSettings(dose_gap_sets=1e-5, rest_gap_minutes=1e-3)


def found(solved: Solved | None) -> Solved:
    """A week that must have been found."""
    assert solved is not None
    return solved


def week_with_a_session_over(seed: int) -> Problem:
    """In every second week a session is over and a set is pinned in another."""
    problem = _of_5_to_10_exercises(seed)
    return problem if seed % 2 else _one_over(problem)


def week_over_or_in_turns(seed: int) -> Problem:
    """One week in three has a session that is over and a pin, one in three does sets in turns."""
    problem = _of_5_to_10_exercises(seed)
    return replace(problem, paired=seed % 3 == 1) if seed % 3 else _one_over(problem)


def _of_5_to_10_exercises(seed: int) -> Problem:
    return random_problem(seed, exercises=(5, 10), sessions=(2, 3), minutes=(15, 35), gyms=(1, 2))


def _one_over(problem: Problem) -> Problem:
    """The first session is done with two exercises, one exercise is pinned in the second."""
    first, second, *others = problem.sessions
    done = {(key, first.id): 3 for key in sorted(first.allowed)[:2]}
    pinned = {(key, second.id): 2 for key in sorted(second.allowed)[:1]}
    return replace(problem, sessions=(replace(first, state="done"), second, *others), pins={**done, **pinned})


def week_in_pairs(seed: int, minutes: tuple[int, int] = (15, 25)) -> Problem:
    """All in pairs and solved closely; in every third week a session is over, in every third something is pinned."""
    problem = replace(
        random_problem(
            seed, exercises=(5, 8), sessions=(2, 2), minutes=minutes, gyms=(1, 2), settings=CLOSELY
        ),
        paired=True,
    )
    first, second = problem.sessions
    if seed % 3 == 0:
        done = {(key, first.id): 3 for key in sorted(first.allowed)[:3]}
        return replace(problem, sessions=(replace(first, state="done"), second), pins=done)
    if seed % 3 == 1:
        return replace(problem, pins={(key, second.id): 2 for key in sorted(second.allowed)[:1]})
    return problem


def week_with_wishes(seed: int) -> Problem:
    """Whatever a brief may bring: pins, a session that is over, wishes, last week's exercises."""
    dice = random.Random(seed)
    problem = random_problem(seed, exercises=(5, 9), sessions=(2, 3), minutes=(15, 25), gyms=(1, 2))
    keys = [candidate.key for candidate in problem.candidates]
    first, second, *others = problem.sessions
    over = dice.choice(("planned", "planned", "done", "missed"))
    done = (
        {(key, first.id): dice.randint(1, 4) for key in sorted(first.allowed)[:2]} if over == "done" else {}
    )
    pinned = {(key, second.id): 2 for key in sorted(second.allowed)[:1]} if dice.random() < 0.4 else {}
    return replace(
        problem,
        sessions=(replace(first, state=over), second, *others),
        pins={**done, **pinned},
        keep=dice.randint(0, 3),
        last_week=frozenset(dice.sample(keys, 3)),
        preferred=tuple(dice.sample(keys, 2)),
        quiet_trapezius=dice.random() < 0.3,
    )
