"""A second program for the model's rows: scipy.optimize.milp, which knows nothing of ours but the numbers."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array

from planner.document import Plan
from planner.model.program import INFINITE, Program, Row, Terms

PATIENCE_SECONDS = 120


@dataclass(frozen=True)
class Optimum:
    """Value of the objective and the plan that has it; None for both where no plan satisfies the rows."""

    value: float | None
    plan: Plan | None


def minimize(
    program: Program, prices: Terms, extra: Sequence[Row] = (), fixed: Plan | None = None
) -> Optimum:
    """Minimize Σ prices over the program's rows and `extra` ones, to a gap of 0; `fixed` says all blocks."""
    rows = [*program.rows, *extra]
    matrix = lil_array((len(rows), len(program.variables)))
    for at, row in enumerate(rows):
        for column, value in row.terms.items():
            matrix[at, column] = value
    found = milp(
        c=vector(prices, len(program.variables)),
        constraints=LinearConstraint(
            matrix.tocsr(), np.array([row.low for row in rows]), np.array([row.high for row in rows])
        ),
        bounds=bounds(program, fixed),
        integrality=np.array([int(one.whole) for one in program.variables]),
        options={"mip_rel_gap": 0.0, "time_limit": PATIENCE_SECONDS},
    )
    assert found.status in (0, 2), found.message  # 0 optimal, 2 infeasible
    return Optimum(None, None) if found.x is None else Optimum(float(found.fun), plan_of(program, found.x))


def hold(terms: Terms, most: float) -> Row:
    """Σ terms ≤ most."""
    return Row("hold", terms, -INFINITE, most, "")


def vector(terms: Terms, size: int) -> np.ndarray:
    filled = np.zeros(size)
    for column, value in terms.items():
        filled[column] = value
    return filled


def bounds(program: Program, fixed: Plan | None) -> Bounds:
    """Bounds of the columns; with `fixed`, those blocks are chosen and no others."""
    low = np.array([one.low for one in program.variables], dtype=float)
    high = np.array([one.high for one in program.variables], dtype=float)
    for pair, counts in program.blocks.items() if fixed is not None else ():
        for sets, column in counts.items():
            low[column] = high[column] = float((fixed or {}).get(pair) == sets)
    return Bounds(low, high)


def plan_of(program: Program, point: np.ndarray) -> Plan:
    return {
        pair: sets
        for pair, counts in program.blocks.items()
        for sets, column in counts.items()
        if point[column] > 0.5
    }
