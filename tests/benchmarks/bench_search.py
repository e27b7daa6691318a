"""The search for a week on 40 seeded weeks of every size, against the one-piece program with the same solver and gaps.

Seconds are processor time of one thread, building the program included.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from statistics import median, quantiles

from planner.solve.fast import solve_fast
from planner.solve.one_piece import solve_one_piece
from planner.solve.solved import Solved
from row import Row
from week_cases import random_problem  # the weeks of the tests

from planner.model.aims import dose_value, rest_value
from planner.model.problem import Problem

WEEKS = 40
BESIDE = 4  # every fourth of them is solved in one piece too, which takes minutes
CAP_SECONDS = 30.0  # of the one-piece program: then the ratio is at least that
SIZES = (60, 250, 1000)
SIZE_SEEDS = range(5)
INSIDE = 1e-4


@dataclass(frozen=True)
class Search:
    """One search: processor seconds, and the gaps of both aims as parts of those allowed."""

    seconds: float
    dose_gap: float
    rest_gap: float


def rows() -> list[Row]:
    """Measure how sure and how soon weeks are found, and how time grows with the number of exercises."""
    problems = [random_problem(seed) for seed in range(WEEKS)]
    searches = [searched(problem, solve_fast) for problem in problems]
    spent = [one.seconds for one in searches]
    faster = [
        in_one_piece(problem) / one.seconds
        for problem, one in list(zip(problems, searches, strict=True))[::BESIDE]
    ]
    sizes = [
        median(searched(sized(count, seed), solve_fast).seconds for seed in SIZE_SEEDS) for count in SIZES
    ]
    dose = sum(one.dose_gap <= 1 for one in searches)
    both = sum(max(one.dose_gap, one.rest_gap) <= 1 for one in searches)
    slowest = f"slowest {max(spent):.2f} s"
    return [
        Row("weeks with a proven dose", 100 * dose / WEEKS, 100, "%", at_least=True),
        Row("weeks with both aims within their gaps", 100 * both / WEEKS, 95, "%", at_least=True),
        Row("median", median(spent), 0.3, "s", note=slowest),
        Row("95th percentile", quantiles(spent, n=20)[-1], 2, "s"),
        Row(
            "one piece / search, median",
            median(faster),
            10,
            at_least=True,
            note=f"capped at {CAP_SECONDS:g} s",
        ),
        *(
            Row(f"{count} exercises / {SIZES[0]}", spent / sizes[0], limit, note=f"{spent:.2f} s")
            for count, spent, limit in zip(SIZES[1:], sizes[1:], (2.5, 8), strict=True)
        ),
    ]


def sized(exercises: int, seed: int) -> Problem:
    """A week of three half hours in one gym with so many exercises."""
    return random_problem(
        seed, exercises=(exercises, exercises), sessions=(3, 3), minutes=(30, 30), gyms=(1, 1)
    )


def searched(problem: Problem, solve: Callable[[Problem], Solved | None]) -> Search:
    """Solve a week and measure."""
    began = time.process_time()
    solved = solve(problem)
    spent, settings = time.process_time() - began, problem.settings
    assert solved is not None
    rest = rest_value(problem, solved.plan) - solved.rest_bound
    dose = min(solved.dose_best, dose_value(problem, solved.plan)) - solved.dose_bound
    return Search(
        spent, dose / (settings.dose_gap_sets + INSIDE), rest / (settings.rest_gap_minutes + INSIDE)
    )


def in_one_piece(problem: Problem) -> float:
    """Processor seconds of the one-piece program, at most the cap an aim."""
    settings = replace(problem.settings, emergency_seconds=CAP_SECONDS)
    return min(CAP_SECONDS, searched(replace(problem, settings=settings), solve_one_piece).seconds)
