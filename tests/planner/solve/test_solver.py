"""The solver's wrapper tells the truth: every ending, point or none, value and bound, and not a word on stdout."""

import random
import subprocess
import sys

import highspy
import pulp
import pytest

from planner.errors import SolverFault
from planner.solve import solver
from planner.solve.search import Ending, Stops
from planner.solve.solver import ENDINGS, THREADS, solve

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


def market_split(seed=3, rows=4, columns=30):
    """Random equations over yes and no (Cornuéjols & Dawande 1999): tiny, yet no solver finds a point soon."""
    dice = random.Random(seed)
    lp = pulp.LpProblem("split", pulp.LpMinimize)
    x = [pulp.LpVariable(f"x{i}", 0, 1, pulp.LpInteger) for i in range(columns)]
    lp.addVariables(x)
    lp += pulp.lpSum(x)
    for _ in range(rows):
        weights = [dice.randint(0, 99) for _ in x]
        lp += pulp.lpSum(w * one for w, one in zip(weights, x, strict=True)) == sum(weights) // 2
    return lp


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
    assert (lp.status, lp.sol_status) == (pulp.LpStatusOptimal, pulp.LpSolutionOptimal)


def test_infeasible():
    lp, (x, *_) = program()
    lp += x >= 3
    answer = solve(lp, FREELY)
    assert (answer.ending, answer.values) == (Ending.INFEASIBLE, None)
    assert answer.value == answer.bound == float("inf")
    assert lp.status == pulp.LpStatusInfeasible


@pytest.mark.parametrize("whole", [True, False], ids=["whole", "linear"])
def test_unbounded_is_not_called_infeasible(whole):
    lp = pulp.LpProblem("endless", pulp.LpMinimize)
    x, y = (pulp.LpVariable(n, 0, None, pulp.LpInteger if whole else pulp.LpContinuous) for n in "xy")
    lp.addVariables([x, y])
    lp += -x - y
    lp += x - y <= 3
    answer = solve(lp, FREELY)
    assert (answer.ending, answer.values, answer.bound) == (Ending.UNBOUNDED, None, float("-inf"))
    assert lp.status == pulp.LpStatusUnbounded


def test_node_limit_with_a_point():
    lp, x = knapsack()
    answer = solve(lp, Stops(gap=0.0, nodes=5, seconds=60.0))
    assert answer.ending is Ending.NODES and answer.stopped
    assert answer.values is not None and len(answer.values) == len(x)
    assert answer.bound < answer.value < 0  # a point, and a bound that it has not met
    assert (lp.status, lp.sol_status) == (pulp.LpStatusNotSolved, pulp.LpSolutionIntegerFeasible)


def test_node_limit_without_a_point():
    lp = market_split()
    answer = solve(lp, Stops(gap=0.0, nodes=1, seconds=60.0))
    assert (answer.ending, answer.values, answer.value) == (Ending.NODES, None, float("inf"))
    assert 0 < answer.bound < 30  # the bound stands without any point
    assert (lp.status, lp.sol_status) == (pulp.LpStatusNotSolved, pulp.LpSolutionNoSolutionFound)


def test_time_limit_without_a_point_and_with_a_start():
    stops = Stops(gap=0.0, nodes=100_000, seconds=0.0)
    answer = solve(market_split(), stops)
    assert (answer.ending, answer.values, answer.stopped) == (Ending.SECONDS, None, True)
    lp, x = knapsack()
    start = [0.0] * len(x)
    start[7] = 1.0
    answer = solve(lp, stops, start=start)
    assert answer.ending is Ending.SECONDS and answer.values is not None
    assert answer.bound <= answer.value < 0 and lp.status == pulp.LpStatusNotSolved


def test_the_gap_is_absolute_and_kept():
    answer = solve(knapsack()[0], Stops(gap=150.0, nodes=100_000, seconds=60.0))
    assert answer.ending is Ending.OPTIMAL
    assert 0 < answer.value - answer.bound <= 150.0


def test_a_good_enough_point_ends_the_search_without_a_claim():
    lp, _ = knapsack()
    answer = solve(lp, Stops(gap=0.0, nodes=100_000, seconds=60.0, target=-1000.0))
    assert answer.ending is Ending.TARGET
    assert answer.bound < answer.value <= -1000.0
    assert lp.status == pulp.LpStatusNotSolved


def test_every_status_of_the_solver_is_mapped_or_a_fault(monkeypatch):
    silent = {"kNotset", "kLoadError", "kModelError", "kPresolveError", "kSolveError", "kPostsolveError"}
    silent |= {"kUnknown", "kMin", "kMax", "kMemoryLimit", "kHighsInterrupt"}
    assert set(highspy.HighsModelStatus.__members__) - silent <= {status.name for status in ENDINGS}
    monkeypatch.setattr(solver, "ENDINGS", {})
    with pytest.raises(SolverFault, match="says nothing"):
        solve(program()[0], FREELY)


def test_one_thread_and_the_same_point_every_time():
    assert THREADS == 1
    lps = [knapsack()[0] for _ in range(2)]
    first, second = (solve(lp, Stops(gap=0.0, nodes=3, seconds=60.0)) for lp in lps)
    assert all(lp.solverModel.getOptionValue("threads")[1] == THREADS for lp in lps)
    assert (first.values, first.bound, first.nodes) == (second.values, second.bound, second.nodes)


def test_not_a_word_on_stdout():
    code = (
        "import pulp; from planner.solve.search import Stops; from planner.solve.solver import solve;"
        "lp = pulp.LpProblem('a', pulp.LpMinimize);"
        "x = pulp.LpVariable('x', 0, 9, pulp.LpInteger); lp.addVariables([x]); lp += x; lp += 2 * x >= 3;"
        "print(solve(lp, Stops(0.0, 9, 9.0)).value)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "2.0\n"
