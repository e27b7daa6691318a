"""What a roster keeps of its work below a folder, so that the next run goes on from there, and its two papers."""

import contextlib
import hashlib
import json
import os
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from library.errors import Fault, FaultyInput, PaperNotMade, refuse
from library.files import read_text
from library.method import LOG
from planner.athlete.folder import EVIDENCE_FILE, week_folder, weeks, written_as
from planner.athlete.reading import BRIEF_FILE, GYM_FILE
from planner.athlete.writing import WEEK_FILE, athlete_lock, write_safely
from planner.log.file import LOG_FILE
from planner.plain import DAY_NAMES
from planner.roster import Task, Work, failed, totals_line
from planner.sheets.render import write_pdf_safely
from planner.sunday import NO_HOUR, Row, sunday_html

KEPT = ".roster"  # in the folder of the athletes
FINISHED = "finished"
SUNDAY, PRINT = "sunday.pdf", "print.pdf"
PLACE_OF_SHEETS = "session-"  # how sheets.pdf names the place where the sheet of a day begins


def fingerprint(folder: Path, week: str = "") -> str:
    """Give a digest of all that a plan of this athlete depends on; another one means that a file has changed. Of
    `week`, which is to be planned, its place in a block alone counts."""
    digest = hashlib.sha256()
    for file in files_of(folder):
        content = file.read_bytes() if file.is_file() else b""
        if file.parent.name == week:
            mark = None
            with contextlib.suppress(ValueError, AttributeError, RecursionError):
                mark = json.loads(content).get("block")
            content = json.dumps(mark).encode() if mark else b""
        if content:
            digest.update(f"{file.relative_to(folder)}:{len(content)}:".encode() + content)
    return digest.hexdigest()


def files_of(folder: Path) -> list[Path]:
    """Name all files that a plan of this athlete depends on. Raises FaultyInput where weeks cannot be put in order."""
    ordered = (week_folder(folder, week) / WEEK_FILE for week in weeks(folder))
    return [*(folder / name for name in (BRIEF_FILE, GYM_FILE, LOG_FILE, EVIDENCE_FILE)), *ordered]


@cache
def program() -> str:
    """Give a digest of this program, its library, and what solves and draws: other ones may make other weeks."""
    digest = hashlib.sha256(f"{version('highspy')} {version('weasyprint')}".encode())
    for package in ("planner", "library"):
        root = Path(str(files(package)))
        for file in sorted(file for file in root.rglob("*.*") if file.is_file() and file.suffix != ".pyc"):
            digest.update(file.relative_to(root).as_posix().encode() + file.read_bytes())
    return digest.hexdigest()


class Kept:
    """What runs over a folder have planned, in FOLDER/.roster: a line a row, under a digest of all it depends on. A
    run that came to its end says so in its last line. What is damaged is planned again."""

    def __init__(self, folder: Path, *, changed_only: bool) -> None:
        self.folder, self.shape, self.finished = folder, TypeAdapter(Row), ""
        self.rows: dict[str, Row] = {}
        text = ""
        with contextlib.suppress(FaultyInput):
            text = read_text(folder / KEPT, "what a roster keeps", LOG.log_bytes_most, link=False)
        for line in text.splitlines():
            key, _, row = line.partition(" ")
            with contextlib.suppress(ValueError):  # half a line of a killed run
                self.finished = row if key == FINISHED else ""
                self.rows |= {} if self.finished else {key: self.shape.validate_json(row)}
        if self.finished and not changed_only:
            self.rows = {}

    def plan(self, tasks: Sequence[Task], work: Work) -> Iterator[tuple[Row, bool]]:
        """Give every row in order, and whether its week stood; what is planned is kept as soon as it is there."""
        keys, ready = dict[Path, str](), dict[Path, tuple[Row, bool]]()
        to_do, lines = list[Task](), list[str]()
        for task in tasks:
            folder = task.folder
            try:
                place, now = folder.relative_to(self.folder), fingerprint(folder, task.week)
                depends = f"{program()} {task.week} {place} {now}"
                keys[folder] = hashlib.sha256(depends.encode()).hexdigest()
            except FaultyInput as fault:  # told like any other fault of an athlete's files
                ready[folder] = failed(task, fault.exit_code, str(fault)), False
                continue
            row = self.rows.get(keys[folder])
            made = written_as(folder, task.week) if row else ""
            if row and row.made == made:
                sheets = week_folder(folder, task.week) / "sheets.pdf"
                row = replace(row, folder=str(folder), sheets=str(sheets))
                ready[folder] = row, True
                lines.append(self._line(keys[folder], row))
            else:
                to_do.append(replace(task, stands=bool(made)))
        with athlete_lock(self.folder):
            write_safely(self.folder / KEPT, "".join(lines))

        def keep(task: Task, row: Row) -> None:
            if row.made:
                self._add(self._line(keys[task.folder], row))

        planned = work(to_do, keep)
        for task in tasks:
            yield ready.get(task.folder) or (next(planned), False)

    def papers(self, rows: Sequence[Row], week: str) -> PaperNotMade | None:
        """Write sunday.pdf and print.pdf, unless they stand as they would be; give the renderer's complaint. Raises
        FaultyInput where they cannot be written, or where sheets are no PDF and could not be joined."""
        shown = (replace(row, folder="", sheets="") for row in rows)  # wherever the folder lies
        stamp = hashlib.sha256("".join(self._line(program(), row) for row in shown).encode()).hexdigest()
        sunday, sheets = self.folder / SUNDAY, self.folder / PRINT
        fault = None
        made = [row for row in rows if row.made]
        if not (stamp == self.finished and sunday.exists() and (sheets.exists() or not made)):
            with athlete_lock(self.folder):
                try:
                    write_pdf_safely(sunday, sunday_html(rows, week, totals_line(rows)))
                except PaperNotMade as complaint:
                    fault = complaint
                content, faults = joined_sheets(made)
                if content:
                    write_safely(sheets, content)
                else:  # nobody has a sheet: those of the last run are of another week
                    sheets.unlink(missing_ok=True)
            if faults:
                raise FaultyInput(faults)
        self._add(f"{FINISHED} {'' if fault else stamp}\n")
        return fault

    def _line(self, key: str, row: Row) -> str:
        return f"{key} {self.shape.dump_json(row).decode()}\n"

    def _add(self, line: str) -> None:
        """Add a line in one piece: threads, and another roster, may add theirs."""
        file, flags = self.folder / KEPT, os.O_WRONLY | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0)
        try:
            with open(os.open(file, flags), "wb", buffering=0) as stream:  # noqa: PTH123
                stream.write(line.encode())
        except OSError as fault:
            remedy = "Make room and give the command again: it goes on from here"
            raise refuse(file, "", f"cannot be written ({fault.strerror})", remedy) from None


def joined_sheets(rows: Sequence[Row]) -> tuple[bytes, list[Fault]]:
    """Join the sheets of all athletes into one PDF, by day, hour and name; who has no hour comes last in a day. The
    same sheets give the same bytes; none give none. Gives the files too that are no PDF and are left out."""
    import io
    import re

    from pypdfium2 import PdfDocument, PdfiumError

    joined_pdf, places, digest, faults = PdfDocument.new(), [], hashlib.sha256(), list[Fault]()
    for row in rows:
        file, hours = Path(row.sheets), dict(row.look.hours)
        digest.update(content := file.read_bytes())
        try:
            sheets = PdfDocument(content)
        except PdfiumError:
            faults.append(Fault(file, "", "this is no PDF", f"Plan it again: planner week {row.folder}"))
            continue
        starts, day = _starts(sheets), ""
        for page in range(len(sheets)):
            day = starts.get(page, day)
            when = [*DAY_NAMES, ""].index(day[:3]), hours.get(day) or NO_HOUR
            places.append((*when, row.name.casefold(), row.folder, page, sheets))
    for *_, page, sheets in sorted(places, key=lambda place: place[:5]):
        joined_pdf.import_pages(sheets, [page])
    if not places:
        return b"", faults
    stream = io.BytesIO()
    joined_pdf.save(stream)
    name = b"/ID[<%s><%s>]" % ((digest.hexdigest()[:32].upper().encode(),) * 2)
    content = re.sub(rb"/CreationDate\(D:\d{14}", b"/CreationDate(D:20260101000000", stream.getvalue())
    return re.sub(rb"/ID\s*\[\s*<\w*>\s*<\w*>\s*\]", name, content), faults


def _starts(sheets: Any) -> dict[int, str]:
    """Give the day of each page on which a session's sheet begins, by the names that the sheets have for them."""
    from ctypes import byref, c_long, create_string_buffer

    import pypdfium2.raw as raw

    starts = {}
    for place in range(raw.FPDF_CountNamedDests(sheets)):
        buffer, size = create_string_buffer(200), c_long(200)
        target = raw.FPDF_GetNamedDest(sheets, place, buffer, byref(size))
        name = buffer.raw[: max(0, size.value)].decode("utf-16-le").rstrip("\0")
        if name.startswith(PLACE_OF_SHEETS):
            day = name.removeprefix(PLACE_OF_SHEETS).split(".")[0]
            starts[raw.FPDFDest_GetDestPageIndex(sheets, target)] = day if day[:3] in DAY_NAMES else ""
    return starts
