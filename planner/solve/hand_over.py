"""Hand a whole program to HiGHS at once: column by column and row by row takes as long as a small solve."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

import highspy
import numpy as np

THREADS = 1  # another count inside one process makes HiGHS fail; parallelism is by process
Line = tuple[float, float, Collection[int], Collection[float]]  # low ≤ Σ value·column ≤ high: places, values


def silent() -> highspy.Highs:
    """Give an empty model that prints nothing and solves on one thread."""
    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    model.setOptionValue("threads", THREADS)
    return model


def hand_over(
    model: highspy.Highs,
    bounds: Sequence[tuple[float, float]],
    costs: Sequence[float],
    lines: Iterable[Line],
    whole: Sequence[int] = (),
) -> None:
    """Fill an empty model: `bounds` and `costs` (minimized) by column, rows, and which columns are whole numbers."""
    columns = np.arange(len(bounds), dtype=np.int32)
    low, high = np.array(bounds, dtype=float).reshape(-1, 2).T.copy()
    model.addVars(len(bounds), low, high)
    model.changeColsCost(len(bounds), columns, np.array(costs, dtype=float))
    kinds = np.full(len(whole), int(highspy.HighsVarType.kInteger), dtype=np.uint8)
    model.changeColsIntegrality(len(whole), np.array(whole, dtype=np.int32), kinds)
    starts: list[int] = []
    places: list[int] = []
    values: list[float] = []
    lows: list[float] = []
    highs: list[float] = []
    for least, most, at, value in lines:
        starts.append(len(places))
        places += at
        values += value
        lows.append(least)
        highs.append(most)
    model.addRows(len(lows), lows, highs, len(places), starts, places, values)
