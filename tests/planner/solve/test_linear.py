"""Linear programs handed straight to HiGHS: the same optimum as scipy's, and an honest end where there is none."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from planner.solve.hand_over import hand_over, silent
from planner.solve.linear import relax
from scipy.optimize import linprog

from planner.model.program import INFINITE, Row, Variable

WHOLE = {7: Variable("a", 0, 3, whole=True), 2: Variable("b", 0, INFINITE, whole=True)}  # numbers with holes


def at_least(low: float) -> Row:
    return Row("enough", {7: 1.0, 2: 2.0}, low, INFINITE, "sets")


def test_whole_columns_may_take_parts_and_reduced_costs_tell_what_a_column_adds() -> None:
    value, reduced = relax(WHOLE, [at_least(5.0)], {7: 3.0, 2: 4.0}, 60.0)
    assert value == pytest.approx(10.0)  # b = 2.5 sets at 4, which covers a set for 2
    assert reduced == pytest.approx({7: 1.0, 2: 0.0})  # a would cover it for 3


def test_a_column_without_price_and_a_program_without_rows_have_their_optimum() -> None:
    assert relax(WHOLE, [], {7: -2.0}, 60.0)[0] == pytest.approx(-6.0)


def test_no_point_is_an_infinite_bound() -> None:
    assert relax(WHOLE, [at_least(5.0), Row("few", {2: 1.0}, -INFINITE, 0.0, "sets")], {7: 1.0}, 60.0) == (
        INFINITE,
        {},
    )


def test_no_optimum_bounds_nothing() -> None:
    assert relax(WHOLE, [at_least(5.0)], {2: -1.0}, 60.0) == (-INFINITE, {})


def test_no_time_bounds_nothing() -> None:
    costs = {at: 1.0 + at % 7 for at in range(400)}
    columns = {at: Variable("x", 0, 1, whole=False) for at in costs}
    draw = np.random.default_rng(3)
    rows = [Row("r", {at: draw.random() for at in costs}, 20.0, INFINITE, "sets") for _ in range(300)]
    assert relax(columns, rows, costs, 0.0) == (-INFINITE, {})


@given(
    st.lists(st.tuples(*[st.integers(-3, 5)] * 4, st.integers(0, 9)), max_size=5),
    st.tuples(*[st.integers(0, 6)] * 4),
)
def test_the_optimum_is_that_of_scipy(rows: list[tuple[int, ...]], costs: tuple[int, ...]) -> None:
    columns = {at: Variable("x", 0, 4, whole=False) for at in range(4)}
    ours = [Row("r", dict(enumerate(map(float, row[:4]))), row[4], INFINITE, "sets") for row in rows]
    value, reduced = relax(columns, ours, dict(enumerate(map(float, costs))), 60.0)
    theirs = linprog(
        costs,
        [[-one for one in row[:4]] for row in rows] or None,
        [-row[4] for row in rows] or None,
        bounds=(0, 4),
    )
    if theirs.status == 2:
        assert value == INFINITE
    else:
        assert value == pytest.approx(theirs.fun, abs=1e-6)
        assert set(reduced) == set(columns)


def test_a_program_handed_over_at_once_is_the_one_that_was_meant() -> None:
    model = silent()
    lines = [(1.0, 2.0, [0, 2], [3.0, 4.0]), (-INFINITE, 9.0, [], []), (5.0, INFINITE, [1], [6.0])]
    hand_over(model, [(0.0, 1.0), (-INFINITE, INFINITE), (2.0, 3.0)], [7.0, 0.0, -8.0], lines, whole=[2])
    lp = model.getLp()
    assert (list(lp.col_lower_), list(lp.col_upper_)) == ([0.0, -INFINITE, 2.0], [1.0, INFINITE, 3.0])
    assert list(lp.col_cost_) == [7.0, 0.0, -8.0]
    assert (list(lp.row_lower_), list(lp.row_upper_)) == ([1.0, -INFINITE, 5.0], [2.0, 9.0, INFINITE])
    matrix = lp.a_matrix_
    assert (list(matrix.start_), list(matrix.index_)) == ([0, 2, 2, 3], [0, 2, 1])
    assert list(matrix.value_) == [3.0, 4.0, 6.0]
    assert [int(kind) for kind in lp.integrality_] == [0, 0, 1]
