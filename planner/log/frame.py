"""The whole log as coded columns: a hundred thousand sets in little more than the time of reading them.

A log repeats few texts (sixty exercises, thirty loads): each distinct text of a column is parsed and checked once,
and a cell is the place of its text among them. A log that is not as the planner writes it is left to the line reader.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from planner.log.cells import CellFault
from planner.log.file import HEADER, LOG_FILE, PARSERS, cut_line, read_lines
from planner.log.record import COLUMNS, LoggedSet

# columns whose cells may hold commas of their own, inside quotes
WORDS = ("session", "exercise", "where", "gym", "note")


@dataclass(frozen=True)
class LogFrame:
    """Columns of log.csv in file order, replaced lines too.

    `codes`: column → array of places (int); `values`: column → the distinct values that the places stand for.
    """

    codes: Mapping[str, Any]
    values: Mapping[str, list[Any]]

    def __len__(self) -> int:
        """Count the lines below the header."""
        return len(self.codes["date"])

    def numbers(self, column: str) -> Any:
        """Return a column of numbers as floats; nothing written becomes NaN."""
        import numpy as np

        return np.array(self.values[column], dtype=float)[self.codes[column]]


def read_frame(folder: Path) -> LogFrame | None:
    """Read ATHLETE/log.csv; None for an empty log. Raises FaultyInput with every wrong line and cell."""
    file = folder / LOG_FILE
    if not file.exists():
        return None
    try:
        frame = _parsed(file.read_bytes())
    except (ValueError, LookupError, OSError, CellFault):
        # not as the planner writes it: the line reader says what is wrong, or reads it all the same
        frame = _coded(read_lines(folder))
    return frame if len(frame) else None


def _parsed(data: bytes) -> LogFrame:
    import pandas

    if data.split(b"\n", 1)[0] != HEADER.encode():
        raise ValueError("another header")
    # a parser error of pandas is a ValueError
    table = pandas.read_csv(io.BytesIO(data), dtype="category", na_filter=False, skip_blank_lines=False)
    codes = {name: table[name].cat.codes.to_numpy().astype("int64") for name in COLUMNS}
    texts = {name: list(table[name].cat.categories) for name in COLUMNS}
    _refuse_other_writing(data, codes, texts, len(table))
    return LogFrame(codes, {name: [PARSERS[name](text) for text in texts[name]] for name in COLUMNS})


def _refuse_other_writing(
    data: bytes, codes: Mapping[str, Any], texts: Mapping[str, list[str]], lines: int
) -> None:
    """Make sure that nothing passed which the line reader would read otherwise, or refuse.

    The parser of pandas fills lines that are too short with empty cells and lets stray quotes pass.
    """
    import numpy as np

    commas = (len(COLUMNS) - 1) * (lines + 1)
    for name in WORDS:
        times = np.bincount(codes[name], minlength=len(texts[name])).tolist()
        commas += sum(count * text.count(",") for text, count in zip(texts[name], times, strict=True))
    if data.count(b",") != commas:
        raise ValueError("short lines")
    if b'"' not in data:
        return
    for place, line in enumerate(data.decode().split("\n")[1:]):
        if '"' in line and cut_line(line) != [texts[name][codes[name][place]] for name in COLUMNS]:
            raise ValueError("stray quotes")


def _coded(rows: list[LoggedSet]) -> LogFrame:
    """Code lines that were read one by one."""
    import numpy as np

    codes, values = {}, {}
    for name, item in zip(COLUMNS, fields(LoggedSet), strict=True):
        places: dict[Any, int] = {}
        column = [places.setdefault(getattr(row, item.name), len(places)) for row in rows]
        codes[name], values[name] = np.array(column, dtype=np.int64), list(places)
    return LogFrame(codes, values)
