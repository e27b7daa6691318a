"""A third program for the model's rows: the constraint solver of OR-Tools, in whole numbers throughout.

A row is scaled by the least number that makes all its coefficients whole, the prices by 60,000. Columns that are not
whole count in thousandths: doses are whole in them, minutes beyond a share are rounded up to one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from ortools.sat.python import cp_model

from planner.model.program import INFINITE, Program, Row, Terms, Variable

PARTS = 1000
PRICE_SCALE = 60 * PARTS
FAR = 10**8  # thousandths; no miss of a small week comes near


def minimize(program: Program, prices: Terms, extra: Sequence[Row] = ()) -> float | None:
    """Give the least Σ prices over the program's rows and `extra` ones; None where no plan satisfies them."""
    model = cp_model.CpModel()
    columns = [new_column(model, one) for one in program.variables]
    for row in (*program.rows, *extra):
        values = {
            at: exact(value) / (1 if program.variables[at].whole else PARTS)
            for at, value in row.terms.items()
        }
        ends = [exact(end) for end in (row.low, row.high) if math.isfinite(end)]
        scale = math.lcm(*(one.denominator for one in (*values.values(), *ends)))
        total = sum(int(value * scale) * columns[at] for at, value in values.items())
        if row.low > -INFINITE:
            model.add(total >= int(exact(row.low) * scale))
        if row.high < INFINITE:
            model.add(total <= int(exact(row.high) * scale))
    model.minimize(
        sum(
            whole(price * PRICE_SCALE / (1 if program.variables[at].whole else PARTS)) * columns[at]
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
    scale = 1 if one.whole else PARTS
    high = FAR if one.high == INFINITE else whole(one.high * scale)
    return model.new_int_var(whole(one.low * scale), high, "")


def exact(value: float) -> Fraction:
    """The fraction that a coefficient stands for: thousandths, or seconds over a week's seconds."""
    return Fraction(value).limit_denominator(10**6)


def whole(value: float) -> int:
    """The whole number that a scaled one is; not a rounded one."""
    nearest = round(value)
    assert abs(value - nearest) < 1e-6 * max(1.0, abs(value)), value
    return nearest
