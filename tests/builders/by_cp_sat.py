"""A third program for the model's rows: the constraint solver of OR-Tools, in whole numbers throughout.

Every number of a random week is whole in thousandths, seconds are whole and the tie-breaker is whole in
thousandths of a minute, so nothing is rounded: a row is scaled by 1,000, the prices by 60,000.
"""

from __future__ import annotations

from collections.abc import Sequence

from ortools.sat.python import cp_model

from planner.model.program import INFINITE, Program, Row, Terms, Variable

ROW_SCALE = 1000
PRICE_SCALE = 60 * 1000
FAR = 10**8  # thousandths; no miss of a small week comes near


def minimize(program: Program, prices: Terms, extra: Sequence[Row] = ()) -> float | None:
    """Give the least Σ prices over the program's rows and `extra` ones; None where no plan satisfies them."""
    model = cp_model.CpModel()
    columns = [new_column(model, one) for one in program.variables]
    for row in (*program.rows, *extra):
        total = sum(
            whole(value * (ROW_SCALE if program.variables[at].whole else 1)) * columns[at]
            for at, value in row.terms.items()
        )
        if row.low > -INFINITE:
            model.add(total >= whole(row.low * ROW_SCALE))
        if row.high < INFINITE:
            model.add(total <= whole(row.high * ROW_SCALE))
    model.minimize(
        sum(
            whole(price * PRICE_SCALE / (1 if program.variables[at].whole else ROW_SCALE)) * columns[at]
            for at, price in prices.items()
        )
    )
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL, solver.status_name(status)
    return float(solver.objective_value) / PRICE_SCALE


def new_column(model: cp_model.CpModel, one: Variable) -> cp_model.IntVar:
    """A whole column as it is; any other in thousandths."""
    scale = 1 if one.whole else ROW_SCALE
    high = FAR if one.high == INFINITE else whole(one.high * scale)
    return model.new_int_var(whole(one.low * scale), high, "")


def whole(value: float) -> int:
    """The whole number that a scaled one is; not a rounded one."""
    nearest = round(value)
    assert abs(value - nearest) < 1e-6 * max(1.0, abs(value)), value
    return nearest
