"""Read a coach's log file: CSV as spreadsheets write it, whatever the separator and decimal mark."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from planner.athlete.toml_text import read_text
from planner.athlete.words import as_written
from planner.log.table import ALLOWED, Line, Sheet, column_names, no_lines
from planner.method import LOG

SEPARATORS = (",", ";", "\t")
LOG_IS = "a training log, CSV or XLSX"


def read_sheet(file: Path) -> Sheet:
    """Read a log file, XLSX by its ending, else CSV. Raises FaultyInput where no table can be made out."""
    if file.suffix.lower() in (".xlsx", ".xlsm"):
        from planner.log.workbook import read_workbook

        return read_workbook(file)
    return _read_csv(file)


def _read_csv(file: Path) -> Sheet:
    text = read_text(file, LOG_IS, LOG.file_bytes_most)
    lines = [(number, line) for number, line in enumerate(_split(text), start=1) if line.strip(" ,;\t")]
    if lines and lines[0][1].lower().startswith("sep="):  # a spreadsheet's note to itself
        lines = lines[1:]
    if not lines:
        raise no_lines(file)
    head_number, head = lines[0]
    separator = max(SEPARATORS, key=lambda mark: _known_columns(head, mark))
    names = column_names(file, f"line {head_number}", _cells(head, separator) or [])
    sheet = Sheet(file, [])
    for number, line in lines[1:]:
        cells = _checked_cells(sheet, number, line, separator, len(names))
        if cells is not None:
            sheet.lines.append(Line(number, dict(zip(names, cells, strict=False))))
    return sheet


def _split(text: str) -> Iterator[str]:
    """Cut at line ends only: str.splitlines would cut at form feeds inside a note too."""
    return iter(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))


def _known_columns(head: str, separator: str) -> int:
    cells = _cells(head, separator) or []
    return sum("_".join(cell.lower().split()) in ALLOWED for cell in cells)


def _cells(line: str, separator: str) -> list[str] | None:
    """Cut one line; None if a quote is not closed. Each line is cut alone: no quote swallows the next."""
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator, strict=True))]
    except csv.Error:
        return None


def _checked_cells(sheet: Sheet, number: int, line: str, separator: str, width: int) -> list[str] | None:
    cells = _cells(line, separator)
    if cells is None:
        read = f"a quote is not closed: {as_written(line)}"
        sheet.tell(number, sheet.place(number), read, "Close it, and keep each set on one line")
        return None
    if len(cells) < width:
        read = f"half-written: {len(cells)} cells of {width}"
        sheet.tell(
            number, sheet.place(number), read, "Finish the line; an empty cell needs its separator too"
        )
        return None
    if any(cells[width:]):
        read = f"{len(cells)} cells of {width}"
        remedy = "Take out what is too much"
        if separator == ",":
            remedy += "; with decimal commas separate the cells with semicolons"
        sheet.tell(number, sheet.place(number), read, remedy)
        return None
    return cells
