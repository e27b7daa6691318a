"""The solver's wrapper tells the truth: every ending, point or none, value and bound, and not a word on stdout."""

import random
from dataclasses import replace
from unittest.mock import ANY

import pulp
import pytest

from planner.solve.search import Ending, Stops
from planner.solve.solver import THREADS, solve

FREELY = Stops(gap=0.0, nodes=100_000, seconds=60.0)


def program(*, whole=True):
    """min 3x + 2y + 4z, x + y + z ≥ 3.5, x ≤ 2, y ≤ 1.5: as numbers 2, 1.5 and 0, as whole ones 2, 1 and 1."""
    lp = pulp.LpProblem("small", pulp.LpMinimize)
    kind = pulp.LpInteger if whole else pulp.LpContinuous
    bounds = (("x", 2), ("y", 1.5), ("z", 9))
    x, y, z = columns = [pulp.LpVariable(name, 0, high, kind) for name, high in bounds]
    lp.addVariables(columns)
    lp += 3 * x + 2 * y + 4 * z
    lp += x + y + z >= 3.5
    return lp, columns


def knapsack(seed=5, items=60):
    """A correlated knapsack with five rows: points are easy, the proof is not."""
    dice = random.Random(seed)
    lp = pulp.LpProblem("sack", pulp.LpMinimize)
    x = [pulp.LpVariable(f"x{i:02d}", 0, 1, pulp.LpInteger) for i in range(items)]
    lp.addVariables(x)
    weights = [[dice.randint(200, 1000) for _ in x] for _ in range(5)]
    lp += pulp.lpSum(-(sum(w[i] for w in weights) / 5 + dice.randint(0, 60)) * one for i, one in enumerate(x))
    for row in weights:
        lp += pulp.lpSum(w * one for w, one in zip(row, x, strict=True)) <= sum(row) // 2
    return lp, x


@pytest.mark.parametrize(("whole", "point", "value"), [(True, [2, 1, 1], 12.0), (False, [2, 1.5, 0], 9.0)])
def test_an_optimum_has_value_and_bound(whole, point, value):
    lp, _ = program(whole=whole)
    answer = solve(lp, FREELY)
    assert answer.ending is Ending.OPTIMAL and not answer.stopped
    assert answer.values == pytest.approx(point)
    assert (answer.value, answer.bound) == pytest.approx((value, value))


def infeasible():
    lp, (x, *_) = program()
    lp += x >= 3
    return lp


def endless(kind=pulp.LpInteger):
    lp = pulp.LpProblem("endless", pulp.LpMinimize)
    x, y = (pulp.LpVariable(name, 0, None, kind) for name in "xy")
    lp.addVariables([x, y])
    lp += -x - y
    lp += x - y <= 3
    return lp


# program, what stops it, how it ends, value and bound
INFINITE, FEW, NOW = float("inf"), replace(FREELY, nodes=3), replace(FREELY, seconds=0.0)
ENDS = {
    "infeasible": (infeasible(), FREELY, Ending.INFEASIBLE, (INFINITE, INFINITE)),
    "unbounded": (endless(), FREELY, Ending.UNBOUNDED, (INFINITE, -INFINITE)),
    "unbounded, linear": (endless(pulp.LpContinuous), FREELY, Ending.UNBOUNDED, (INFINITE, -INFINITE)),
    "nodes, with a point": (knapsack()[0], FEW, Ending.NODES, None),
    "time, without a point": (knapsack()[0], NOW, Ending.SECONDS, (INFINITE, ANY)),
    "a good enough point": (knapsack()[0], replace(FREELY, target=-1000.0), Ending.TARGET, None),
}


@pytest.mark.parametrize("name", ENDS)
def test_each_ending_is_told_with_its_value_and_bound(name):
    lp, stops, ending, told = ENDS[name]
    answer = solve(lp, stops)
    assert answer.ending is ending and answer.stopped == (ending in (Ending.NODES, Ending.SECONDS))
    if told is None:  # a point, and a bound that it has not met
        assert answer.values is not None and answer.bound < answer.value < 0
        assert ending is not Ending.TARGET or answer.value <= stops.target
    else:
        assert answer.values is None and (answer.value, answer.bound) == told


def test_a_start_is_a_point_even_where_no_time_is_left_and_the_gap_is_absolute():
    lp, x = knapsack()
    answer = solve(lp, NOW, start=[float(place == 7) for place in range(len(x))])
    assert answer.ending is Ending.SECONDS and answer.values is not None and answer.bound <= answer.value < 0
    answer = solve(knapsack()[0], Stops(gap=150.0, nodes=100_000, seconds=60.0))
    assert answer.ending is Ending.OPTIMAL
    assert 0 < answer.value - answer.bound <= 150.0


def test_one_thread_and_the_same_point_every_time():
    assert THREADS == 1
    lps = [knapsack()[0] for _ in range(2)]
    first, second = (solve(lp, Stops(gap=0.0, nodes=3, seconds=60.0)) for lp in lps)
    assert (first.values, first.bound, first.nodes) == (second.values, second.bound, second.nodes)
