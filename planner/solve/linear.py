"""Linear programs straight to HiGHS, which are solved so often that handing each over through PuLP would cost most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import highspy
import numpy as np

from planner.errors import SolverFault
from planner.model.program import INFINITE, Row, Terms, Variable
from planner.solve.hand_over import hand_over, silent

if TYPE_CHECKING:
    from numpy.typing import NDArray


class LinearMaster:
    """A linear program that grows by columns and starts each time from where it ended (PuLP rebuilds instead).

    Costs are divided by `scale` inside, so that the solver's tolerances fit large prices too.
    """

    def __init__(self, rows: Sequence[tuple[float, float]], scale: float = 1.0) -> None:
        self.scale = scale
        self.model = silent()
        for low, high in rows:
            self.model.addRow(low, high, 0, [], [])
        self.penalties: list[int] = []

    def add_column(
        self,
        cost: float,
        low: float,
        high: float,
        entries: Sequence[tuple[int, float]],
        *,
        penalty: bool = False,
    ) -> None:
        """Add a column with its entries (row, value)."""
        if penalty:
            self.penalties.append(self.model.getNumCol())
        indices, values = [row for row, _ in entries], [value for _, value in entries]
        self.model.addCol(cost / self.scale, low, high, len(indices), indices, values)

    def minimize(self) -> tuple[float, NDArray[np.float64]]:
        """Give the optimum and the row duals. Raises SolverFault if there is none: penalties make one exist."""
        self.model.run()
        status = self.model.getModelStatus()
        if status != highspy.HighsModelStatus.kOptimal:
            raise SolverFault(f"The linear master ended with {self.model.modelStatusToString(status)!r}.")
        duals = np.array(self.model.getSolution().row_dual)
        return self.model.getObjectiveValue() * self.scale, duals * self.scale

    @property
    def size(self) -> int:
        """Columns so far."""
        return int(self.model.getNumCol())

    def values(self) -> Sequence[float]:
        """The optimum, column by column."""
        return list(self.model.getSolution().col_value)

    def unmet(self) -> float:
        """Sum of the penalty columns: 0 if every row can be met."""
        values = self.model.getSolution().col_value
        return float(sum(values[column] for column in self.penalties))


def relax(
    variables: Mapping[int, Variable], rows: Sequence[Row], objective: Terms, seconds: float
) -> tuple[float, dict[int, float]]:
    """Minimize with parts of whole numbers allowed: the optimum, and the reduced cost of each column.

    No point satisfies the rows: the optimum is +inf; none is found within `seconds`: it is -inf. Reduced costs are
    then empty.
    """
    model, at = silent(), {number: place for place, number in enumerate(variables)}
    model.setOptionValue("time_limit", seconds)
    bounds = [(one.low, one.high) for one in variables.values()]
    costs = [objective.get(number, 0.0) for number in variables]
    lines = ((row.low, row.high, [at[one] for one in row.terms], row.terms.values()) for row in rows)
    hand_over(model, bounds, costs, lines)
    model.run()
    ending = model.getModelStatus()
    if ending == highspy.HighsModelStatus.kOptimal:
        reduced = model.getSolution().col_dual
        return model.getObjectiveValue(), dict(zip(variables, reduced, strict=True))
    return (INFINITE if ending == highspy.HighsModelStatus.kInfeasible else -INFINITE), {}
