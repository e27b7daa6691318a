"""Read a coach's log from a workbook (XLSX): its first sheet, a header row, a set a row, no merged cells."""

from __future__ import annotations

import datetime
import zipfile
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput
from planner.athlete.toml_text import read_bytes, refuse
from planner.log.table import Line, Sheet, column_names, no_lines
from planner.method import LOG

WORKBOOK_IS = "a training log as a workbook (XLSX)"


def read_workbook(file: Path) -> Sheet:
    """Read the first sheet. Raises FaultyInput: no workbook, merged cells, or no table."""
    worksheet = _first_sheet(file)
    _refuse_merged(file, worksheet)
    rows = [
        (number, [_text(value) for value in row])
        for number, row in enumerate(worksheet.iter_rows(values_only=True), start=1)
    ]
    rows = [(number, cells) for number, cells in rows if any(cells)]
    if not rows:
        raise no_lines(file)
    head_number, head = rows[0]
    names = column_names(file, f"row {head_number}", head)
    letters = {name: _letter(place) for place, name in enumerate(names, start=1)}
    sheet = Sheet(file, [], letters)
    for number, cells in rows[1:]:
        if any(cells[len(names) :]):
            read = f"{len(cells)} cells under {len(names)} columns"
            sheet.tell(number, sheet.place(number), read, "Give the column a name, or clear the cell")
        else:
            sheet.lines.append(Line(number, dict(zip(names, cells, strict=False))))
    return sheet


def _first_sheet(file: Path) -> Any:
    from openpyxl import load_workbook

    read_bytes(file, WORKBOOK_IS, LOG.file_bytes_most)  # missing, a folder, too long: told in words
    try:
        # a workbook is a zip of XML: openpyxl lets through whatever error its parts meet
        book = load_workbook(file, data_only=True)
    except (zipfile.BadZipFile, KeyError, ValueError, OSError, SyntaxError) as fault:
        remedy = f"Put {WORKBOOK_IS} there, or save it as CSV"
        raise refuse(file, "", f"this is no workbook ({type(fault).__name__})", remedy) from None
    if not book.worksheets:
        raise no_lines(file)
    return book.worksheets[0]


def _refuse_merged(file: Path, worksheet: Any) -> None:
    """A merged cell holds its value once: the other rows would be read as empty."""
    merged = sorted(worksheet.merged_cells.ranges, key=lambda block: (block.min_row, block.min_col))
    if merged:
        remedy = "Unmerge them and write the value into each cell"
        raise FaultyInput([Fault(file, f"cells {block.coord}", "merged", remedy) for block in merged])


def _letter(place: int) -> str:
    from openpyxl.utils import get_column_letter

    return str(get_column_letter(place))


def _text(value: Any) -> str:
    """Write a cell as a person would have typed it; a date is written as year-month-day."""
    if value is None:
        return ""
    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    if isinstance(value, float):
        return format(value, ".10g")
    return str(value).strip()
