"""Asking for what was done: a sheet ready to fill from a week."""

import datetime
import io
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from library.errors import refuse
from library.tables import csv_text, no_formula
from planner.athlete import brief, writing
from planner.document import PlannedSession, WeekDocument
from planner.log.record import COLUMNS, KINDS, NOT_SETTLED, SETTLED, LoggedSet

SHEET_COLUMNS = (*COLUMNS[:4], "asked", *COLUMNS[4:])
MEANS = {"each_hand": "each hand", "total": "in all", "stack": "on the stack", "body": "body", "band": "band"}
WIDTHS = {"date": 12, "exercise": 38, "asked": 38, "next_morning": 14, "note": 30, "where": 24}  # characters
WIDTH = 9
WITHOUT_NUMBER = ("body", "band")
Row = dict[str, str | int | datetime.date]


def write_blank(document: WeekDocument, file: Path) -> int:
    """Write the sheet, by its ending CSV or XLSX, and return its number of sets. Raises FaultyInput for another ending,
    if the file exists, because it may be filled in, or cannot be written."""
    writer = {".xlsx": _as_workbook, ".csv": _as_csv}.get(file.suffix.lower())
    if writer is None:
        read = f'"{file.suffix}"' if file.suffix else "a name without an ending"
        raise refuse(file, "", read, "Name a file that ends in .csv or .xlsx")
    rows = list(blank_rows(document))
    try:
        writing.write_through(file, writer(rows))
    except OSError as fault:
        remedy = "Name another one, where it can be written; one that stands may be filled in"
        raise refuse(file, "", f"cannot be written ({fault.strerror})", remedy) from None
    return len(rows)


def blank_rows(document: WeekDocument) -> Iterator[Row]:
    """Yield a line for each planned set, with what is known filled in."""
    for session in document.sessions:
        of: Row = {"date": session_date(document, session), "session": session.id, "gym": session.gym}
        for item in session.exercises:
            # such as "8–12 reps, 2 in reserve, 22 kg each hand"
            asked = f"{item.reps_asked[0]}–{item.reps_asked[1]} reps, {item.rir} in reserve"
            load = "" if item.load is None else f", {item.load:g} {item.load_unit} {MEANS[item.load_is]}"
            of |= {"exercise": item.name, "asked": asked + load, "load_unit": item.load_unit or ""}
            yield from (of | {"set": number} for number in range(1, item.sets + 1))


def session_date(document: WeekDocument, session: PlannedSession) -> datetime.date:
    """Return the date on which a session of a week is planned."""
    offset = [str(day) for day in brief.DAYS].index(session.day)
    return datetime.date.fromisoformat(document.week_start) + datetime.timedelta(days=offset)


def _as_csv(rows: list[Row]) -> bytes:
    lines = [SHEET_COLUMNS, *([no_formula(row.get(column)) for column in SHEET_COLUMNS] for row in rows)]
    return csv_text(lines, "\r\n").encode("utf-8-sig")  # the mark lets a spreadsheet see that it is UTF-8


def _as_workbook(rows: list[Row]) -> bytes:
    """Make a workbook that offers the words of a column and refuses a pain above 10."""
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.worksheet.datavalidation import DataValidation

    book = Workbook()
    sheet = book.active
    sheet.title = "log"
    sheet.append(SHEET_COLUMNS)
    for row in rows:
        sheet.append([row.get(column) or None for column in SHEET_COLUMNS])
        for cell in sheet[sheet.max_row]:
            if cell.data_type == "f":  # a gym named =… is a name, no formula
                cell.data_type = "s"
    for (cell,) in sheet.iter_rows(min_row=2, max_col=1):
        cell.number_format = "yyyy-mm-dd"
    words = {"kind": ",".join(KINDS), "next_morning": f"{SETTLED},{NOT_SETTLED}"}
    rules = {name: {"type": "list", "formula1": f'"{text}"'} for name, text in words.items()}
    rules["pain"] = {"type": "decimal", "operator": "between", "formula1": "0", "formula2": "10"}
    for cell, column in zip(sheet[1], SHEET_COLUMNS, strict=True):
        letter, cell.font = cell.column_letter, Font(bold=True)
        sheet.column_dimensions[letter].width = WIDTHS.get(column, WIDTH)
        if column in rules:
            rule = DataValidation(**rules[column], allow_blank=True)
            rule.add(f"{letter}2:{letter}{max(len(rows) + 1, 2)}")
            sheet.add_data_validation(rule)
    sheet.freeze_panes = "F2"
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def last_sets(log: Iterable[LoggedSet], exercise: str, gym: str, before: datetime.date) -> list[LoggedSet]:
    """Return the sets of the newest day on which the exercise was done in that gym, before a date."""
    done = [row for row in log if row.exercise == exercise and row.gym == gym and row.date < before]
    done = [row for row in done if row.reps is not None and not row.is_clearance]
    newest = max((row.date for row in done), default=None)
    return sorted((row for row in done if row.date == newest), key=lambda row: row.set_number)


def figures(sets: Sequence[LoggedSet]) -> str:
    """Write sets as a coach does: "2026-11-23: 22 kg × 10, 22 kg × 9, with 2, 1 in reserve"."""
    loads = (f"{row.load:g} {row.load_unit} " if row.load else "" for row in sets)
    done = ", ".join(f"{load}× {row.reps}" for load, row in zip(loads, sets, strict=True))
    reserve = [f"{row.rir:g}" for row in sets if row.rir is not None]
    return f"{sets[0].date}: {done}" + (f", with {', '.join(reserve)} in reserve" if reserve else "")
