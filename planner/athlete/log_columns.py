"""log.csv column by column: a hundred thousand sets in a fraction of a second.

A log repeats few texts (sixty exercises, thirty loads), so each distinct text of a column is parsed once
and checked once; a row is only looked at on its own when something is wrong.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput
from planner.athlete import log_cells
from planner.athlete.log_record import COLUMNS
from planner.athlete.log_settings import LOG_DEFAULTS
from planner.athlete.toml_text import read_text, refuse
from planner.athlete.words import as_written

LOG_FILE = "log.csv"
HEADER = ",".join(COLUMNS)
COMMA_IN_QUOTES = "\x1f"  # stands for a comma inside quotes while lines are cut; no cell may hold it
PUT_BACK = "Put back the line as it was, or take the file out and take it in again with `planner log`"


def _words(text: str) -> str:
    return text.replace(COMMA_IN_QUOTES, ",")


def _load(text: str) -> float | None:
    return log_cells.number(text, "the load", LOG_DEFAULTS.load_most)


PARSERS: Mapping[str, Callable[[str], Any]] = {
    "date": log_cells.iso_date,
    "session": _words,
    "exercise": _words,
    "set": log_cells.set_number,
    "load": _load,
    "load_unit": log_cells.unit,
    "reps": log_cells.repetitions,
    "rir": log_cells.in_reserve,
    "pain": log_cells.pain,
    "where": _words,
    "kind": log_cells.kind,
    "next_morning": log_cells.next_morning,
    "gym": _words,
    "note": _words,
}


@dataclass(frozen=True)
class LogColumns:
    """The columns of log.csv as text, and the value of each distinct text; all columns are equally long."""

    texts: Mapping[str, list[str]]
    values: Mapping[str, Mapping[str, Any]]

    def __len__(self) -> int:
        """Count the lines below the header."""
        return len(self.texts["date"])

    def column(self, name: str) -> Iterator[Any]:
        """Yield the values of a column in file order."""
        return map(self.values[name].__getitem__, self.texts[name])


def read_columns(folder: Path) -> LogColumns:
    """Read ATHLETE/log.csv; no file is an empty log. Raises FaultyInput naming line and column."""
    file = folder / LOG_FILE
    body = _body(file)
    texts = _cut(body, file)
    values: dict[str, dict[str, Any]] = {}
    faults: list[Fault] = []
    for name in COLUMNS:
        values[name] = {}
        for text in dict.fromkeys(texts[name]):
            try:
                values[name][text] = PARSERS[name](text)
            except log_cells.CellFault as fault:
                where = f"line {texts[name].index(text) + 2}, column {name}"
                faults.append(Fault(file, where, fault.read, f"{fault.remedy}, or: {PUT_BACK}"))
    if faults:
        # cells in the wrong columns most likely come from lines that are too short or too long
        raise FaultyInput(list(_uneven(body, file)) or faults)
    return LogColumns(texts, values)


def _body(file: Path) -> str:
    """Return the lines below the header, without the last line end."""
    if not file.exists():
        return ""
    text = read_text(file, "the log as the planner wrote it", LOG_DEFAULTS.log_bytes_most)
    head, _, body = text.replace("\r\n", "\n").partition("\n")
    if head != HEADER:
        remedy = f"The first line must be {HEADER}. {PUT_BACK}"
        raise refuse(file, "line 1", f"read {as_written(head)}", remedy)
    return body.removesuffix("\n")


def _cut(body: str, file: Path) -> dict[str, list[str]]:
    """Cut the text into columns all at once; every line must have as many cells as the header."""
    if not body:
        return {name: [] for name in COLUMNS}
    if '"' in body:
        body = "\n".join(
            _unquoted(line, number, file) for number, line in enumerate(body.split("\n"), start=2)
        )
    cells = body.replace("\n", ",").split(",")
    width = len(COLUMNS)
    if len(cells) != width * (body.count("\n") + 1):
        raise FaultyInput(_uneven(body, file))
    return {name: cells[place::width] for place, name in enumerate(COLUMNS)}


def _unquoted(line: str, number: int, file: Path) -> str:
    if '"' not in line:
        return line
    try:
        cells = next(csv.reader([line], strict=True))
    except csv.Error:
        raise refuse(file, f"line {number}", "a quote is not closed", PUT_BACK) from None
    return ",".join(cell.replace(",", COMMA_IN_QUOTES) for cell in cells)


def _uneven(body: str, file: Path) -> Iterator[Fault]:
    for number, line in enumerate(body.split("\n"), start=2):
        cells = _unquoted(line, number, file).count(",") + 1
        if cells != len(COLUMNS):
            yield Fault(file, f"line {number}", f"{cells} cells of {len(COLUMNS)}", PUT_BACK)
