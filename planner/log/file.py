"""log.csv as it stands on the disk, line by line; each wrong cell is named by line and column."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput
from planner.athlete.toml_text import read_text, refuse
from planner.athlete.words import as_written
from planner.log import cells as log_cells
from planner.log.record import COLUMNS, LoggedSet
from planner.method import LOG

LOG_FILE = "log.csv"
HEADER = ",".join(COLUMNS)
PUT_BACK = "put back the line as it was, or take the file out and take it in again with `planner log`"


def _load(text: str) -> float | None:
    return log_cells.number(text, "the load", LOG.load_most)


PARSERS: Mapping[str, Callable[[str], Any]] = {
    "date": log_cells.iso_date,
    "session": str,
    "exercise": str,
    "set": log_cells.set_number,
    "load": _load,
    "load_unit": log_cells.unit,
    "reps": log_cells.repetitions,
    "rir": log_cells.in_reserve,
    "pain": log_cells.pain,
    "where": str,
    "kind": log_cells.kind,
    "next_morning": log_cells.next_morning,
    "gym": str,
    "note": str,
}


def read_lines(folder: Path) -> list[LoggedSet]:
    """Read ATHLETE/log.csv, replaced lines too; no file is an empty log.

    Raises FaultyInput with every wrong line and cell.
    """
    file = folder / LOG_FILE
    if not file.exists():
        return []
    text = read_text(file, "the log as the planner wrote it", LOG.log_bytes_most)
    head, _, body = text.replace("\r\n", "\n").partition("\n")
    if head != HEADER:
        remedy = f"The first line must be {HEADER}. {PUT_BACK.capitalize()}"
        raise refuse(file, "line 1", f"read {as_written(head)}", remedy)
    reader = _LineReader(file)
    lines = enumerate(body.removesuffix("\n").split("\n"), start=2) if body else ()
    rows = [row for number, line in lines if (row := reader.read(number, line)) is not None]
    if reader.faults:
        raise FaultyInput(reader.faults)
    return rows


class _LineReader:
    """Reads line after line. A log repeats few texts: each distinct one of a column is parsed once."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.faults: list[Fault] = []
        self.known: dict[str, dict[str, Any]] = {name: {} for name in COLUMNS}

    def read(self, number: int, line: str) -> LoggedSet | None:
        """Read one line; None if it is wrong, which is then among the faults."""
        cells = cut_line(line)
        if cells is None or len(cells) != len(COLUMNS):
            read = "a quote is not closed" if cells is None else f"{len(cells)} cells of {len(COLUMNS)}"
            self.faults.append(Fault(self.file, f"line {number}", read, PUT_BACK.capitalize()))
            return None
        told = len(self.faults)
        values = [self._value(number, name, text) for name, text in zip(COLUMNS, cells, strict=True)]
        return LoggedSet(*values) if len(self.faults) == told else None

    def _value(self, number: int, name: str, text: str) -> Any:
        known = self.known[name]
        if text not in known:
            try:
                known[text] = PARSERS[name](text)
            except log_cells.CellFault as fault:
                where = f"line {number}, column {name}"
                remedy = f"{fault.remedy}, or {PUT_BACK}"
                self.faults.append(Fault(self.file, where, fault.read, remedy))
                return None
        return known[text]


def cut_line(line: str) -> list[str] | None:
    """Cut one line; None if a quote is not closed. Each line is cut alone: no quote swallows the next."""
    if '"' not in line:
        return line.split(",")
    try:
        return next(csv.reader([line], strict=True))
    except csv.Error:
        return None
