"""Small weeks of every kind for the tests of weekly totals."""

from __future__ import annotations

from dataclasses import replace

from week_cases import random_problem

from planner.week.problem import Problem


def some_week(seed: int) -> Problem:
    """A small week; one in three has a session that is over and a pin, one in three does sets in turns."""
    problem = random_problem(seed, exercises=(5, 10), sessions=(2, 3), minutes=(15, 35), gyms=(1, 2))
    if seed % 3 == 0:
        first, second, *others = problem.sessions
        done = {(key, first.id): 3 for key in sorted(first.allowed)[:2]}
        pinned = {(key, second.id): 2 for key in sorted(second.allowed)[:1]}
        sessions = (replace(first, state="done"), second, *others)
        return replace(problem, sessions=sessions, pins={**done, **pinned})
    return replace(problem, paired=seed % 3 == 1)
