"""A third program for the model's rows: the constraint solver of OR-Tools, in whole numbers throughout. Each row is
made whole by the common denominator of its numbers, prices to a millionth. Whole columns stay as they are, all others
count in thousandths: what lies in between is rounded up, which costs less than `NEAR`."""

from fractions import Fraction
from math import lcm

from ortools.sat.python import cp_model

from planner.model.program import INFINITE

PARTS = 1000  # of a column that is not whole
PRICES = 10**6  # of a minute-equivalent
FAR = 10**8  # thousandths; no miss of a small week comes near
SMALLEST = 10**5  # the largest denominator of a coefficient
PATIENCE_SECONDS = 120
NEAR = 0.03  # minute-equivalents: some misses rounded up by half a thousandth


def minimize(program, prices, extra=()):
    """Give the least Σ prices over the program's rows and `extra` ones; None where no plan satisfies them."""
    model = cp_model.CpModel()
    columns = [new_column(model, one) for one in program.variables]
    parts = [1 if one.whole else PARTS for one in program.variables]
    for row in (*program.rows, *extra):
        terms = {at: _exact(value) / parts[at] for at, value in row.terms.items()}
        ends = [_exact(end) for end in (row.low, row.high) if abs(end) < INFINITE]
        scale = lcm(*(one.denominator for one in (*terms.values(), *ends)))
        total = sum(int(value * scale) * columns[at] for at, value in terms.items())
        if row.low > -INFINITE:
            model.add(total >= int(ends[0] * scale))
        if row.high < INFINITE:
            model.add(total <= int(ends[-1] * scale))
    model.minimize(sum(round(price * PRICES / parts[at]) * columns[at] for at, price in prices.items()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = PATIENCE_SECONDS
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL, solver.status_name(status)
    return float(solver.objective_value) / PRICES


def _exact(value):
    return Fraction(value).limit_denominator(SMALLEST)


def new_column(model, one):
    scale = 1 if one.whole else PARTS
    high = FAR if one.high == INFINITE else int(one.high * scale + 0.5)
    return model.new_int_var(int(one.low * scale), high, "")
