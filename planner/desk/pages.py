"""The Sunday page, the log (a file handed in, or the planned sets typed into a table) and the library."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, Response

from library.errors import Fault, FaultyInput, PlannerError
from planner.athlete.folder import in_force
from planner.desk.app import Visit, said, told
from planner.files.tables import csv_text, no_formula
from planner.log.blank import SHEET_COLUMNS, blank_rows
from planner.log.intake import Manner
from planner.log.record import KINDS, NOT_SETTLED, SETTLED
from planner.train.desk import Desk as LogDesk

FILE_ENDINGS = (".csv", ".xlsx")
TYPED = ("load", "reps", "rir", "pain", "where", "kind", "next_morning", "note")
SHOWN = ("exercise", "set", "asked")
Row = dict[str, Any]


def sunday(visit: Visit) -> Response:
    """Show every athlete: whom to see first, what was logged, whether the week stands."""
    room = visit.desk.room
    proposed = {key for key, folder in room.athletes().items() if folder in visit.desk.proposals.of}
    return visit.page("sunday.html", rows=room.standings(), proposed=proposed, today=room.today())


def log(visit: Visit) -> Response:
    """Show the table to fill; take in what was typed or handed in."""
    desk = LogDesk.open(visit.folder, visit.desk.room.today())
    rows = planned_rows(visit, desk)
    if visit.request.method == "GET":
        return _page(visit, rows)
    upload = visit.form.get("file")
    handed_in = isinstance(upload, UploadFile) and bool(upload.filename)
    manner = Manner(
        keep_good=bool(visit.text("keep_good")),
        confirm=(lambda _: True) if visit.text("yes") else None,
        correct=bool(visit.text("correct")),
    )
    try:
        with tempfile.TemporaryDirectory() as room:
            file = _uploaded(upload, Path(room)) if isinstance(upload, UploadFile) and handed_in else None
            taken = desk.take([file or _typed(rows, Path(room))], manner)
    except FaultyInput as error:
        return _page(visit, [] if handed_in else rows, 422, faults=error.faults)
    left_out = [said(fault) for fault in taken.left_out]
    return _page(
        visit, planned_rows(visit, desk, blank=True), report=desk.report(taken).text(), left_out=left_out
    )


def planned_rows(visit: Visit, desk: LogDesk, *, blank: bool = False) -> list[Row]:
    """Give a row for each planned set of the week in force, with what the form brought; none without a week."""
    document = in_force(visit.folder, visit.desk.room.today())
    rows: list[Row] = list(blank_rows(document, desk.units)) if document else []
    if blank:
        return rows
    for number, row in enumerate(rows):
        row |= {column: text for column in TYPED if (text := visit.text(f"{number}.{column}"))}
    return rows


def _typed(rows: Sequence[Row], room: Path) -> Path:
    """Lay what was typed on the disk as the sheet that `planner log --blank` writes, filled in."""
    file = room / "the table.csv"
    lines = [SHEET_COLUMNS, *([no_formula(row.get(column)) for column in SHEET_COLUMNS] for row in rows)]
    file.write_text(csv_text(lines), encoding="utf-8")
    return file


def _uploaded(upload: UploadFile, room: Path) -> Path:
    """Lay an uploaded file on the disk under a name of ours; only its ending is the sender's."""
    ending = Path(upload.filename or "").suffix.lower()
    if ending not in FILE_ENDINGS:
        read = f"it ends in {ending or 'nothing'}"
        raise FaultyInput(
            [Fault("your file", "", read, f"Hand in a file that ends in {' or '.join(FILE_ENDINGS)}")]
        )
    file = room / f"your file{ending}"
    file.write_bytes(upload.file.read())
    return file


def _page(
    visit: Visit,
    rows: Sequence[Row],
    status: int = 200,
    *,
    faults: Sequence[Fault] = (),
    report: str = "",
    left_out: Sequence[str] = (),
) -> Response:
    at_row: dict[int, list[str]] = {}
    for fault in faults:
        line = fault.where.removeprefix("line ").partition(",")[0]
        if rows and line.isdecimal():  # the heading is line 1
            at_row.setdefault(int(line) - 2, []).append(said(fault))
    values = {"rows": rows, "at_row": at_row, "typed": TYPED, "shown": SHOWN, "report": report}
    values |= {"choices": {"kind": KINDS, "next_morning": (SETTLED, NOT_SETTLED)}, "key": visit.key}
    return visit.page("log.html", status, faults=[*map(said, faults), *left_out], **values)


def progress(visit: Visit) -> Response:
    """Write progress.pdf into the athlete's folder, as `planner progress` does, and show it."""
    from planner.train.progress import read_progress
    from planner.train.progress_page import write_page

    try:
        file = write_page(read_progress(visit.folder, visit.desk.room.today()), visit.folder)
    except PlannerError as error:
        raise HTTPException(422, "\n".join(told(error))) from None
    return FileResponse(file, filename=file.name, content_disposition_type="inline")


def library(visit: Visit) -> Response:
    """Show all exercises and what a set of each is worth."""
    from library.method import CreditSettings
    from library.table import table_rows

    books = visit.desk.room.library
    heading, rows = table_rows(books, list(books.exercises.values()), CreditSettings())
    return visit.page("library.html", heading=heading, rows=rows, exercises=books.exercises)


def exercise(visit: Visit) -> Response:
    """Show one exercise with every row behind its numbers, as `planner library NAME` does."""
    from library.method import CreditSettings
    from library.page import page_lines
    from library.pool import pool_library
    from library.read import read_orderings, shipped_folder

    books = visit.desk.room.library
    one = books.exercises.get(visit.request.path_params["name"])
    if one is None:
        raise HTTPException(404, "The library has no such exercise.")
    orderings = read_orderings(shipped_folder(), books)
    lines = page_lines(books, one, pool_library(books), orderings, CreditSettings())
    return visit.page("exercise.html", title=one.name, text="\n".join(lines))
