"""The log: a file handed in, or the planned sets typed into a table; what it comes to, and progress in pictures."""

import hashlib
import re
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from starlette.datastructures import UploadFile
from starlette.responses import FileResponse, Response

from library.errors import Fault, FaultyInput, PaperNotMade, PlannerError, as_written, refuse
from library.tables import csv_text, no_formula
from planner.athlete.folder import in_force, read_week, weeks
from planner.athlete.writing import athlete_lock
from planner.cli import whole_number
from planner.desk.app import Visit, inner, said
from planner.desk.proposals import PRINTING
from planner.document import week_name
from planner.log.blank import SHEET_COLUMNS, blank_rows, figures, last_sets, write_blank
from planner.log.file import read_log
from planner.log.intake import Manner
from planner.log.record import KINDS, NOT_SETTLED, SETTLED
from planner.train.desk import ONE_DAY
from planner.train.desk import Desk as LogDesk
from planner.train.pain import pain_rules
from planner.train.progress import read_progress
from planner.train.progress_page import progress_html, write_page

FILE_ENDINGS = (".csv", ".xlsx", ".json")  # a table, or what a phone sheet saved
TYPED = ["load", "reps", "rir", "pain", "where", "kind", "next_morning", "note"]  # columns typed in here
CELL = re.compile(r"line (\d+)(?:, column (\w+))?")
Row = dict[str, Any]


def log(visit: Visit) -> Response:
    """Show the table to fill; take in what was typed or handed in."""
    folder, today = visit.folder, visit.today
    desk, asked = LogDesk.open(folder, today), visit.text("week") or week_name(today)
    document = read_week(folder, asked) if asked in weeks(folder) else in_force(folder, today)
    rows: list[Row] = list(blank_rows(document)) if document else []
    if visit.request.method == "GET":
        return _log_page(visit, _logged(visit, rows))
    uploads = visit.files()
    given = [{of: text for of in TYPED if (text := visit.text(f"{at}.{of}"))} for at in range(len(rows))]
    filled = rows if uploads else [row | line for row, line in zip(rows, given, strict=True)]
    yes = (lambda _: True) if visit.text("yes") else None
    manner = Manner(bool(visit.text("keep_good")), yes, bool(visit.text("correct")))
    try:
        with tempfile.TemporaryDirectory() as room:
            if not uploads and visit.text("rows") != _mark(rows):
                read = "the week was planned anew since it was opened"
                raise refuse(Path("the table"), "", read, "Fill it in anew")
            files = [_uploaded(one, Path(room)) for one in uploads] or [_typed(filled, Path(room))]
            taken = desk.take(files, manner)
    except FaultyInput as error:
        return _log_page(visit, filled, error.faults)
    try:
        report = desk.report(taken).text()
    except PlannerError as error:  # a damaged week, say: the lines are in all the same
        report = f"{taken.said}; no next loads: {error}"
    return _log_page(visit, _logged(visit, rows), taken.left_out, report)


def _logged(visit: Visit, rows: Sequence[Row]) -> list[Row]:
    """Give each planned set with what the log has of it, as it is typed."""
    books = visit.library
    log = read_log(visit.folder)
    known = {(row.date, books.exercises[row.exercise].name, row.set_number): row for row in log}
    filled = []
    for row in rows:
        done = known.get((row["date"], row["exercise"], row["set"]))
        brought = {name: getattr(done, name) for name in TYPED} if done else {}
        typed = {of: f"{it:g}" if isinstance(it, float) else str(it) for of, it in brought.items()}
        if brought.get("where") in books.regions:
            typed["where"] = books.regions[brought["where"]].name
        filled.append(row | {of: text for of, text in typed.items() if brought[of] not in (None, "")})
    return filled


def _mark(rows: Sequence[Row]) -> str:
    """Tell one table of planned sets from another: what is typed in belongs to a line by its number."""
    planned = [[row.get(name) for name in ("date", "session", "exercise", "set")] for row in rows]
    return hashlib.sha256(repr(planned).encode()).hexdigest()


def _typed(rows: Sequence[Row], room: Path) -> Path:
    """Lay what was typed on the disk as the sheet that `planner log --blank` writes, filled in."""
    lines = [SHEET_COLUMNS, *([no_formula(row.get(column)) for column in SHEET_COLUMNS] for row in rows)]
    (file := room / "the table.csv").write_text(csv_text(lines), encoding="utf-8")
    return file


def _uploaded(upload: UploadFile, room: Path) -> Path:
    """Lay an uploaded file on the disk under a name of ours; only its ending is the sender's."""
    ending = Path(upload.filename or "").suffix.lower()
    if ending not in FILE_ENDINGS:
        remedy = f"Hand in files that end in {', '.join(FILE_ENDINGS)}"
        raise refuse(Path("your file"), "", f"it ends in {as_written(ending)}", remedy)
    file = Path(tempfile.mkdtemp(dir=room)) / f"your file{ending}"
    file.write_bytes(upload.file.read())
    return file


def _log_page(visit: Visit, rows: Sequence[Row], faults: Sequence[Fault] = (), report: str = "") -> Response:
    """Fill in the log's page; faults of a typed table stand below their rows too, and mark their cells."""
    at_row, wrong = dict[int, list[str]](), set[str]()
    for fault in () if report or visit.files() else faults:
        if cell := CELL.match(fault.where):
            number = int(cell[1]) - 2  # the heading is line 1
            at_row.setdefault(number, []).append(f"{cell[2] or 'line'}: {fault.read}. {fault.remedy}")
            wrong.add(f"{number}.{cell[2]}")
    places = [region.name for region in visit.library.regions.values()]
    choices = {"where": places, "kind": KINDS, "next_morning": (SETTLED, NOT_SETTLED)}
    values = {"rows": rows, "mark": _mark(rows), "at_row": at_row, "wrong": wrong, "report": report}
    values |= {"typed": TYPED, "choices": choices, "endings": FILE_ENDINGS, "names": weeks(visit.folder)}
    values["week"] = week_name(rows[0]["date"]) if rows else ""
    return visit.page("log.html", **values, **_known(visit, rows), faults=[*map(said, faults)])


def cleared(visit: Visit) -> Response:
    """Record that an exercise may come back after pain, as `planner log --cleared` does: the coach's word."""
    desk = LogDesk.open(visit.folder, visit.today)
    with athlete_lock(visit.folder):  # whether it is out is read and written in one
        return visit.go("log", desk.clear(visit.text("exercise"), desk.day(visit.text("day") or None)))


def blank_log(visit: Visit) -> Response:
    """Give a table to fill in of the week that is due, as `planner log --blank` writes it: .xlsx, or .csv by ?as=csv."""
    name = "log.csv" if visit.text("as") == "csv" else "log.xlsx"
    with tempfile.TemporaryDirectory() as room:
        write_blank(LogDesk.open(visit.folder, visit.today).due(), file := Path(room) / name)
        kept = {"Content-Disposition": f'attachment; filename="{name}"'}
        return Response(file.read_bytes(), media_type="application/octet-stream", headers=kept)


def _known(visit: Visit, rows: Sequence[Row]) -> dict[str, Any]:
    """Give by key the exercises that wait for the coach's word after pain, and what was done of each planned one the
    time before, by its name, gym and day."""
    log, every, tomorrow = read_log(visit.folder), visit.library.exercises, visit.today + ONE_DAY
    settings = LogDesk.open(visit.folder, visit.today).settings
    out = pain_rules(log, visit.library, tomorrow, settings).out
    keys = {one.name: key for key, one in every.items()}
    asked = dict.fromkeys((row["exercise"], row["gym"], row["date"]) for row in rows)
    times = {of: last_sets(log, keys.get(of[0], ""), *of[1:]) for of in asked}
    waiting = {of.exercise: every[of.exercise].name for of in out if of.exercise in every}
    return {"waiting": waiting, "last": {place: figures(sets) for place, sets in times.items() if sets}}


def progress(visit: Visit) -> Response:
    """Show what the progress page shows, as pictures; or write progress.pdf, as `planner progress` does, and show it."""
    asked = visit.text("weeks")
    seen = read_progress(visit.folder, visit.today).newest(whole_number("weeks", 1)(asked) if asked else None)
    if visit.request.method == "GET":
        return visit.page("progress.html", inner=inner(progress_html(seen)), count=asked)
    try:
        with PRINTING:
            file = write_page(seen, visit.folder)
    except PaperNotMade:  # its HTML is written
        file = visit.folder / "progress.html"
    return FileResponse(file, filename=file.name, content_disposition_type="inline")
