"""The solver's wrapper tells the truth: every ending, point or none, value and bound, and not a word on stdout."""

from __future__ import annotations

import random
import subprocess
import sys
from typing import Any

import highspy
import pulp
import pytest
from planner.solve.highs import ENDINGS, THREADS, Answer, Ending, Solver, Stops, solve

from planner.errors import SolverFault
from planner.solve import highs

FREELY = Stops(gap=0.0, nodes=100_000, seconds=60.0)


def program(*, whole: bool = True) -> tuple[pulp.LpProblem, list[pulp.LpVariable]]:
    """min 3x + 2y + 4z, x + y + z ≥ 3.5, x ≤ 2, y ≤ 1.5: as numbers (1.5, 2 and 0) or whole ones (1, 2 and 1)."""
    lp = pulp.LpProblem("small", pulp.LpMinimize)
    kind = pulp.LpInteger if whole else pulp.LpContinuous
    x, y, z = columns = [
        pulp.LpVariable(name, 0, high, kind) for name, high in (("x", 2), ("y", 1.5), ("z", 9))
    ]
    lp.addVariables(columns)
    lp += 3 * x + 2 * y + 4 * z
    lp += x + y + z >= 3.5
    return lp, columns


def market_split(seed: int = 3, rows: int = 4, columns: int = 30) -> pulp.LpProblem:
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


def knapsack(seed: int = 5, items: int = 60) -> tuple[pulp.LpProblem, list[pulp.LpVariable]]:
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


def test_a_linear_optimum_is_its_own_bound() -> None:
    lp, columns = program(whole=False)
    answer = solve(lp, FREELY)
    assert answer.ending is Ending.OPTIMAL
    assert answer.values == pytest.approx([2, 1.5, 0])
    assert answer.value == pytest.approx(9) and answer.bound == pytest.approx(9)
    assert [one.varValue for one in columns] == pytest.approx([2, 1.5, 0])
    assert answer.duals == pytest.approx([4]) or answer.duals == pytest.approx(
        [3]
    )  # degenerate: 3.5 = 2 + 1.5


def test_a_whole_optimum_has_value_and_bound() -> None:
    lp, columns = program()
    answer = solve(lp, FREELY)
    assert answer.ending is Ending.OPTIMAL
    assert answer.value == pytest.approx(12)  # x = 2, y = 1, z = 1
    assert answer.bound == pytest.approx(12)
    assert answer.values is not None
    assert [answer.values[one.index] for one in columns] == [one.varValue for one in columns]
    assert dict(zip("xyz", answer.values, strict=True)) == pytest.approx({"x": 2, "y": 1, "z": 1})
    assert lp.status == pulp.LpStatusOptimal and lp.sol_status == pulp.LpSolutionOptimal


def test_the_relaxation_may_be_asked_for() -> None:
    lp, _ = program()
    answer = solve(lp, FREELY, mip=False)
    assert answer.value == pytest.approx(9) and answer.bound == pytest.approx(9)


def test_infeasible() -> None:
    lp, (x, *_) = program()
    lp += x >= 3
    answer = solve(lp, FREELY)
    assert (answer.ending, answer.values) == (Ending.INFEASIBLE, None)
    assert answer.value == answer.bound == float("inf")
    assert lp.status == pulp.LpStatusInfeasible


@pytest.mark.parametrize("whole", [True, False], ids=["whole", "linear"])
def test_unbounded_is_not_called_infeasible(whole: bool) -> None:
    lp = pulp.LpProblem("endless", pulp.LpMinimize)
    x, y = (pulp.LpVariable(n, 0, None, pulp.LpInteger if whole else pulp.LpContinuous) for n in "xy")
    lp.addVariables([x, y])
    lp += -x - y
    lp += x - y <= 3
    answer = solve(lp, FREELY)
    assert (answer.ending, answer.values, answer.bound) == (Ending.UNBOUNDED, None, float("-inf"))
    assert lp.status == pulp.LpStatusUnbounded


def test_node_limit_with_a_point_is_honest() -> None:
    lp, x = knapsack()
    answer = solve(lp, Stops(gap=0.0, nodes=5, seconds=60.0))
    assert answer.ending is Ending.NODES
    assert answer.values is not None and len(answer.values) == len(x)
    assert answer.bound < answer.value < 0  # a point, and a bound that it has not met
    assert lp.status == pulp.LpStatusNotSolved
    assert lp.sol_status == pulp.LpSolutionIntegerFeasible


def test_node_limit_without_a_point() -> None:
    lp = market_split()
    answer = solve(lp, Stops(gap=0.0, nodes=1, seconds=60.0))
    assert (answer.ending, answer.values, answer.value) == (Ending.NODES, None, float("inf"))
    assert 0 < answer.bound < 30  # the bound stands without any point
    assert lp.status == pulp.LpStatusNotSolved
    assert lp.sol_status == pulp.LpSolutionNoSolutionFound


def test_time_limit_without_a_point() -> None:
    lp = market_split()
    answer = solve(lp, Stops(gap=0.0, nodes=100_000, seconds=0.0))
    assert (answer.ending, answer.values) == (Ending.SECONDS, None)
    assert lp.status == pulp.LpStatusNotSolved
    assert lp.sol_status == pulp.LpSolutionNoSolutionFound


def test_time_limit_keeps_the_start_as_its_point() -> None:
    lp, x = knapsack()
    start = [0.0] * len(x)
    start[7] = 1.0
    answer = solve(lp, Stops(gap=0.0, nodes=100_000, seconds=0.0), start=start)
    assert answer.ending is Ending.SECONDS
    assert answer.values is not None and answer.value < 0
    assert answer.bound <= answer.value
    assert lp.status == pulp.LpStatusNotSolved


def test_a_start_is_used() -> None:
    lp, _ = knapsack()
    first = solve(lp, Stops(gap=0.0, nodes=300, seconds=60.0))
    assert first.values is not None
    again = solve(lp, Stops(gap=0.0, nodes=1, seconds=60.0), start=first.values)
    assert again.value <= first.value + 1e-6


def test_the_gap_is_absolute_and_kept() -> None:
    lp, _ = knapsack()
    answer = solve(lp, Stops(gap=150.0, nodes=100_000, seconds=60.0))
    assert answer.ending is Ending.OPTIMAL
    assert 0 < answer.value - answer.bound <= 150.0


def test_a_good_enough_point_ends_the_search_without_a_claim() -> None:
    lp, _ = knapsack()
    answer = solve(lp, Stops(gap=0.0, nodes=100_000, seconds=60.0, target=-1000.0))
    assert answer.ending is Ending.TARGET
    assert answer.bound < answer.value <= -1000.0
    assert lp.status == pulp.LpStatusNotSolved


@pytest.mark.parametrize("status", list(ENDINGS), ids=lambda status: status.name)
@pytest.mark.parametrize("found", [True, False])
def test_pulp_is_told_optimal_only_where_it_is(status: Any, found: bool) -> None:
    ending = ENDINGS[status]
    told, kind = highs.pulp_status(ending, found=found)
    assert (told == pulp.LpStatusOptimal) is (ending is Ending.OPTIMAL)
    assert (kind == pulp.LpSolutionOptimal) is (ending is Ending.OPTIMAL)


def test_every_status_of_the_solver_is_mapped_or_a_fault() -> None:
    nothing_said = {
        "kNotset",
        "kLoadError",
        "kModelError",
        "kPresolveError",
        "kSolveError",
        "kPostsolveError",
    }
    nothing_said |= {"kUnknown", "kMin", "kMax", "kMemoryLimit", "kHighsInterrupt"}
    names = {name for name in highspy.HighsModelStatus.__members__ if name not in nothing_said}
    assert names <= {status.name for status in ENDINGS}


def test_an_ending_that_says_nothing_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(highs, "ENDINGS", {})
    lp, _ = program()
    with pytest.raises(SolverFault, match="says nothing"):
        solve(lp, FREELY)


def test_no_answer_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Solver, "actualSolve", lambda self, lp, **more: 0)
    lp, _ = program()
    with pytest.raises(SolverFault, match="no answer"):
        solve(lp, FREELY)


def test_one_thread_always() -> None:
    assert THREADS == 1
    for _ in range(2):
        lp, _ = program()
        solve(lp, FREELY)
        assert lp.solverModel.getOptionValue("threads")[1] == THREADS


def test_the_same_program_twice_gives_the_same_point() -> None:
    answers: list[Answer] = []
    for _ in range(2):
        lp, _ = knapsack()
        answers.append(solve(lp, Stops(gap=0.0, nodes=50, seconds=60.0)))
    first, second = answers
    assert (first.values, first.value, first.bound, first.nodes) == (
        second.values,
        second.value,
        second.bound,
        second.nodes,
    )


def test_not_a_word_on_stdout() -> None:
    code = (
        "import pulp; from planner.solve.highs import Stops, solve; lp = pulp.LpProblem('a', pulp.LpMinimize);"
        "x = pulp.LpVariable('x', 0, 9, pulp.LpInteger); lp.addVariables([x]); lp += x; lp += 2 * x >= 3;"
        "print(solve(lp, Stops(0.0, 9, 9.0)).value)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "2.0\n"
