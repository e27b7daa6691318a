"""Random weeks that are small enough for a slow and plain way too."""

import random
from dataclasses import replace
from typing import Any

from week_cases import random_problem

from planner.document import Plan
from planner.method import WeekSettings
from planner.model.problem import Problem
from planner.solve.solve import Solved

CLOSELY = WeekSettings().but(dose_gap_sets=1e-5, rest_gap_minutes=1e-3)


def found(solved: Solved | None) -> Solved:
    assert solved is not None
    return solved


def any_week(seed: int, exercises: tuple[int, int] = (5, 9), **more: Any) -> Problem:
    """Whatever a brief may bring: pins, a session over, wishes, last week's exercises, pairs, a plan in force."""
    dice = random.Random(seed)
    sizes = {"sessions": (2, 3), "minutes": (15, 30), "gyms": (1, 2)}
    problem = random_problem(seed, exercises=exercises, **sizes, **more)
    keys = [candidate.key for candidate in problem.candidates]
    first, second, *others = problem.sessions
    over = dice.choice(("planned", "planned", "done", "missed"))
    done: Plan = {}
    if over == "done":
        done = {(key, first.id): dice.randint(1, 4) for key in sorted(first.allowed)[:2]}
    pinned: Plan = {(key, second.id): 2 for key in sorted(second.allowed)[:1]} if dice.random() < 0.3 else {}
    problem = replace(
        problem, sessions=(replace(first, state=over), second, *others), pins={**done, **pinned},
        keep=dice.randint(0, 3),
        last_week=frozenset(dice.sample(keys, 3)) if dice.random() < 0.7 else frozenset(),
        preferred=tuple(dice.sample(keys, 2)), quiet_trapezius=dice.random() < 0.3,
        capped={dice.choice(keys): 2} if dice.random() < 0.3 else {}, paired=dice.random() < 0.3,
        heads=tuple(
            replace(one, elsewhere_own=dice.choice((0.0, 0.0, 3.0)), aside_share=dice.choice((0.4, 0.4, 1.0)))
            for one in problem.heads
        ),
    )  # fmt: skip
    return replace(problem, in_force=_in_force(problem, dice)) if dice.random() < 0.3 else problem


def _in_force(problem: Problem, dice: random.Random) -> Plan:
    """Write down some blocks, one of them of an exercise that is out by now."""
    pairs = [(key, day.id) for day in problem.sessions for key in sorted(day.allowed)]
    return dict.fromkeys([*dice.sample(pairs, min(4, len(pairs))), ("gone", problem.sessions[-1].id)], 3)


def small_week(seed: int) -> Problem:
    """Three exercises in two short sessions: few enough plans to count them all."""
    return any_week(seed, exercises=(4, 5), settings=CLOSELY.but(largest_block_sets=3))
