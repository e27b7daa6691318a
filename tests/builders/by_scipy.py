"""A second program for the model's rows: scipy.optimize.milp, which knows nothing of ours but the numbers."""

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array

from planner.model.program import INFINITE, Row

PATIENCE_SECONDS = 120


def minimize(program, prices, extra=(), fixed=None):
    """The least Σ prices over the program's rows and `extra` ones, to a gap of 0, None where no plan satisfies them;
    `fixed` says all blocks."""
    rows = [*program.rows, *extra]
    matrix = lil_array((len(rows), len(program.variables)))
    for at, row in enumerate(rows):
        matrix[at, list(row.terms)] = list(row.terms.values())
    found = milp(
        c=np.array([prices.get(column, 0.0) for column in range(len(program.variables))]),
        constraints=LinearConstraint(
            matrix.tocsr(), np.array([row.low for row in rows]), np.array([row.high for row in rows])
        ),
        bounds=bounds(program, fixed),
        integrality=np.array([int(one.whole) for one in program.variables]),
        options={"mip_rel_gap": 0.0, "time_limit": PATIENCE_SECONDS},
    )
    assert found.status in (0, 2), found.message  # 0 optimal, 2 infeasible
    return None if found.x is None else float(found.fun)


def hold(terms, most):
    return Row("hold", terms, -INFINITE, most, "")


def bounds(program, fixed):
    """Bounds of the columns; with `fixed`, those blocks are chosen and no others."""
    low = np.array([one.low for one in program.variables], dtype=float)
    high = np.array([one.high for one in program.variables], dtype=float)
    for pair, counts in program.blocks.items() if fixed is not None else ():
        for sets, column in counts.items():
            low[column] = high[column] = float((fixed or {}).get(pair) == sets)
    return Bounds(low, high)
