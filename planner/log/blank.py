"""A log sheet ready to fill, from the week in force: one line a planned set, as CSV or as a workbook."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from planner.athlete.brief import DAYS
from planner.athlete.toml_text import refuse
from planner.document import PlannedExercise, PlannedSession, WeekDocument
from planner.log.record import KINDS, NOT_SETTLED, SETTLED

COLUMNS = (
    "date", "session", "exercise", "set", "asked", "load", "load_unit", "reps", "rir", "pain", "where", "kind",
    "next_morning", "gym", "note",
)  # fmt: skip
MEANS = {"each_hand": "each hand", "total": "in all", "stack": "on the stack", "body": "body", "band": "band"}
WIDTHS = {"date": 12, "exercise": 38, "asked": 38, "next_morning": 14, "note": 30, "where": 24}  # characters
WIDTH = 9
WITHOUT_NUMBER = ("body", "band")

Row = dict[str, str | int | datetime.date]


def write_blank(document: WeekDocument, units: Mapping[str, str], file: Path) -> int:
    """Write the sheet, by its ending CSV or XLSX, and return its number of sets; `units` of each gym.

    Raises FaultyInput for another ending, if the file exists, because it may be filled in, or cannot be written.
    """
    writers = {".xlsx": _as_workbook, ".csv": _as_csv}
    writer = writers.get(file.suffix.lower())
    if writer is None:
        read = f'"{file.suffix}"' if file.suffix else "a name without an ending"
        raise refuse(file, "", read, "Name a file that ends in .csv or .xlsx")
    rows = list(blank_rows(document, units))
    content = writer(rows)
    try:
        with file.open("xb") as stream:
            stream.write(content)
    except FileExistsError:
        raise refuse(file, "", "this file exists", "Name another one: it may be filled in") from None
    except OSError as fault:
        remedy = "Name a file in a folder that can be written"
        raise refuse(file, "", f"cannot be written ({fault.strerror})", remedy) from None
    return len(rows)


def blank_rows(document: WeekDocument, units: Mapping[str, str]) -> Iterator[Row]:
    """Yield a line for each planned set, with what is known filled in."""
    for session in document.sessions:
        date = session_date(document, session)
        for item in session.exercises:
            for number in range(1, item.sets + 1):
                yield {
                    "date": date,
                    "session": session.id,
                    "exercise": item.name,
                    "set": number,
                    "asked": asked_text(item),
                    "load_unit": "" if item.load_is in WITHOUT_NUMBER else units.get(session.gym, ""),
                    "gym": session.gym,
                }


def session_date(document: WeekDocument, session: PlannedSession) -> datetime.date:
    """Return the date on which a session of a week is planned."""
    offset = [str(day) for day in DAYS].index(session.day)
    return datetime.date.fromisoformat(document.week_start) + datetime.timedelta(days=offset)


def asked_text(item: PlannedExercise) -> str:
    """Say what a set is asked to be: "8–12 reps, 2 in reserve, 22 kg each hand"."""
    reps = f"{item.reps[0]}–{item.reps[1]} reps, {item.rir} in reserve"
    return reps if item.load is None else f"{reps}, {item.load:g} {item.load_unit} {MEANS[item.load_is]}"


def _as_csv(rows: list[Row]) -> bytes:
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode("utf-8-sig")  # the mark lets a spreadsheet see that it is UTF-8


def _as_workbook(rows: list[Row]) -> bytes:
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    sheet = book.active
    sheet.title = "log"
    sheet.append(COLUMNS)
    for row in rows:
        sheet.append([row.get(column) or None for column in COLUMNS])
    for place, column in enumerate(COLUMNS, start=1):
        sheet.cell(1, place).font = Font(bold=True)
        sheet.column_dimensions[get_column_letter(place)].width = WIDTHS.get(column, WIDTH)
    for (cell,) in sheet.iter_rows(min_row=2, max_col=1):
        cell.number_format = "yyyy-mm-dd"
    sheet.freeze_panes = "F2"
    _offer_choices(sheet, len(rows) + 1)
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def _offer_choices(sheet: Any, last_row: int) -> None:
    """Let the spreadsheet offer the words and refuse a pain above 10."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    words = {"kind": ",".join(KINDS), "next_morning": f"{SETTLED},{NOT_SETTLED}"}
    rules = {
        name: DataValidation(type="list", formula1=f'"{text}"', allow_blank=True)
        for name, text in words.items()
    }
    rules["pain"] = DataValidation(
        type="decimal", operator="between", formula1="0", formula2="10", allow_blank=True
    )
    for name, rule in rules.items():
        letter = get_column_letter(COLUMNS.index(name) + 1)
        rule.add(f"{letter}2:{letter}{max(last_row, 2)}")
        sheet.add_data_validation(rule)
