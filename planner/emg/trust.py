"""Repeatability of a table of n targets (rows) by k repeats (columns): ICCs, SEM, smallest detectable change.

Formulas: Shrout & Fleiss 1979; Weir 2005, doi 10.1519/15184.1. SEM is the square root of MSE; the smallest
detectable change (MDC95) of a difference is 1.96·sqrt(2)·SEM. Values keep the table's unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

Table = list[list[float]]
MDC_FACTOR = 1.96 * sqrt(2)


@dataclass(frozen=True)
class Repeatability:
    """Mean squares of the two-way analysis of variance of one table, and what follows from them."""

    rows: int
    columns: int
    msr: float
    msc: float
    mse: float
    msw: float

    @property
    def degrees_of_freedom(self) -> int:
        """Degrees of freedom of the error."""
        return (self.rows - 1) * (self.columns - 1)

    @property
    def icc_1_1(self) -> float | None:
        """One-way, single."""
        return _ratio(self.msr - self.msw, self.msr + (self.columns - 1) * self.msw)

    @property
    def icc_2_1(self) -> float | None:
        """Two-way random, single: a systematic shift (fatigue, say) counts as error."""
        shift = self.columns * (self.msc - self.mse) / self.rows
        return _ratio(self.msr - self.mse, self.msr + (self.columns - 1) * self.mse + shift)

    @property
    def icc_3_1(self) -> float | None:
        """Two-way mixed, single: a systematic shift does not count."""
        return _ratio(self.msr - self.mse, self.msr + (self.columns - 1) * self.mse)

    @property
    def icc_1_k(self) -> float | None:
        """One-way, mean of k."""
        return _ratio(self.msr - self.msw, self.msr)

    @property
    def icc_2_k(self) -> float | None:
        """Two-way random, mean of k."""
        return _ratio(self.msr - self.mse, self.msr + (self.msc - self.mse) / self.rows)

    @property
    def icc_3_k(self) -> float | None:
        """Two-way mixed, mean of k."""
        return _ratio(self.msr - self.mse, self.msr)

    @property
    def sem(self) -> float:
        """Standard error of measurement of a single value."""
        return sqrt(max(0.0, self.mse))

    @property
    def mdc95(self) -> float:
        """Smallest difference of two single values that is more than error, with 95 % confidence."""
        return MDC_FACTOR * self.sem


def repeatability(table: Table) -> Repeatability | None:
    """Return the analysis of a full table; None below two rows or two columns."""
    import numpy as np

    if len(table) < 2 or len(table[0]) < 2:
        return None
    values = np.asarray(table, dtype=float)
    rows, columns = values.shape
    grand = values.mean()
    between_rows = columns * float(np.square(values.mean(axis=1) - grand).sum())
    between_columns = rows * float(np.square(values.mean(axis=0) - grand).sum())
    within = float(np.square(values - values.mean(axis=1, keepdims=True)).sum())
    # the residual directly: as a difference of sums it would lose digits
    fitted = values.mean(axis=1, keepdims=True) + values.mean(axis=0, keepdims=True) - grand
    residual = float(np.square(values - fitted).sum())
    return Repeatability(
        rows=rows,
        columns=columns,
        msr=between_rows / (rows - 1),
        msc=between_columns / (columns - 1),
        mse=residual / ((rows - 1) * (columns - 1)),
        msw=within / (rows * (columns - 1)),
    )


def _ratio(above: float, below: float) -> float | None:
    return above / below if below else None
