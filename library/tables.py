"""Read a table as a person hands it in, CSV of any spreadsheet or XLSX, into lines of text cells with their places."""

import csv
import datetime
import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput, as_written, listed, nearest, place, refuse
from library.files import Model, attempt, check_shape, read_bytes, read_text
from library.method import FOLDER, LOG

SEPARATORS = (",", ";", "\t")
FORMULA = ("=", "+", "-", "@", "\t")  # what a spreadsheet takes for the start of a formula
MERGED = re.compile(rb'<(?:\w+:)?mergeCell [^>]*ref="([A-Z0-9:]{1,40})"')


@dataclass(frozen=True)
class Columns:
    """The columns that a table may have and must have; `what` the file should be, `hint` where to get one."""

    names: tuple[str, ...]
    needed: tuple[str, ...]
    what: str
    hint: str
    bytes_most: int
    instead: Mapping[str, str] = field(default_factory=dict)  # a column that is none here -> what to write


@dataclass(frozen=True)
class Line:
    """One line of a table: its number in the file and the text of each column (stripped, "" where empty)."""

    number: int
    cells: Mapping[str, str]

    def text(self, column: str) -> str:
        """Return the cell of a column; empty if the file has no such column."""
        return self.cells.get(column, "")


@dataclass
class Sheet:
    """A table. `faults` belong to a line (by number) or to the whole file (None)."""

    file: Path
    lines: list[Line]
    letters: Mapping[str, str] = field(default_factory=dict)  # workbook: column name → its letter
    faults: list[tuple[int | None, Fault]] = field(default_factory=list)

    def place(self, line: int, column: str = "") -> str:
        """Say where a cell or a line stands: "line 7, column reps", in a workbook "cell F7" or "row 7"."""
        if self.letters:
            return f"cell {self.letters[column]}{line}" if column in self.letters else f"row {line}"
        return f"line {line}, column {column}" if column else f"line {line}"

    def tell(self, line: int | None, where: str, read: str, remedy: str) -> None:
        """Add a fault of a line, or of the whole file (line None)."""
        self.faults.append((line, Fault(self.file, where, read, remedy)))


def read_sheet(file: Path, columns: Columns, *, link: bool = True) -> Sheet:
    """Read a table, XLSX by its ending, else CSV. Raises FaultyInput where no table can be made out."""
    if file.suffix.lower() in (".xlsx", ".xlsm"):
        return _read_workbook(file, columns)
    text = read_text(file, columns.what, columns.bytes_most, link=link)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    # cut at line ends only: str.splitlines would cut at form feeds inside a note too
    lines = [(number, line) for number, line in enumerate(text.split("\n"), start=1) if line.strip(" ,;\t")]
    if lines and lines[0][1].lower().startswith("sep="):  # a spreadsheet's note to itself
        lines = lines[1:]
    if not lines:
        raise _no_lines(file, columns)
    number, head = lines[0]
    cut = {mark: cut_line(head, mark) or [] for mark in SEPARATORS}
    separator = max(SEPARATORS, key=lambda mark: sum(_column(cell) in columns.names for cell in cut[mark]))
    names = _column_names(file, f"line {number}", cut[separator], columns)
    sheet = Sheet(file, [])
    for number, line in lines[1:]:
        cells = cut_line(line, separator)
        fault = _wrong_cells(line, cells, separator, len(names))
        if cells is None or fault:
            sheet.tell(number, sheet.place(number), *(fault or ("", "")))
        else:
            texts = {name: _plain(cell) for name, cell in zip(names, cells, strict=False)}
            sheet.lines.append(Line(number, texts))
    return sheet


def read_rows(
    file: Path,
    record: type[Model],
    what: str,
    faults: list[Fault],
    *,
    most: int = LOG.file_bytes_most,
    link: bool = True,
) -> list[tuple[str, Model]]:
    """Read a table whose columns are the fields of a record; returns ("line 3", record) pairs. An empty cell: the default."""
    needed = tuple(name for name, field in record.model_fields.items() if field.is_required())
    columns = Columns(tuple(record.model_fields), needed, what, "", most)
    rows, before = list[tuple[str, Model]](), len(faults)
    sheet = attempt(lambda: read_sheet(file, columns, link=link), faults) or Sheet(file, [])
    faults += [fault for _, fault in sheet.faults]
    for line in sheet.lines:
        at, cells = sheet.place(line.number), {name: text for name, text in line.cells.items() if text}
        show = lambda steps, at=at: f"{at}, column {place(steps)}" if steps else at  # noqa: E731
        row, wrong = check_shape(record, cells, file, show=show)
        faults += wrong
        rows += [(at, row)] if row else []
        if len(faults) - before > FOLDER.faults_shown:
            break
    return rows


def cut_line(line: str, separator: str = ",") -> list[str] | None:
    """Cut one line; None if a quote is not closed. Each line is cut alone: no quote swallows the next."""
    if '"' not in line:
        return line.split(separator)
    try:
        return next(csv.reader([line], delimiter=separator, strict=True))
    except csv.Error:
        return None


def csv_text(rows: Iterable[Iterable[object]], line_end: str = "\n") -> str:
    """Return rows as CSV; None is an empty cell."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator=line_end).writerows(rows)
    return stream.getvalue()


def no_formula(cell: object) -> object:
    """Return a cell of a sheet to fill as text that no spreadsheet takes for a formula: `=a` becomes `'=a`."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA) else cell


def _plain(cell: str) -> str:
    cell = cell.strip()
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(FORMULA) else cell


def _wrong_cells(line: str, cells: list[str] | None, separator: str, width: int) -> tuple[str, str] | None:
    if cells is None:
        return f"a quote is not closed: {as_written(line)}", "Close it, and keep each line on one line"
    read = f"{len(cells)} cells of {width}"
    if len(cells) < width:
        return f"half-written: {read}", "Finish the line; an empty cell needs its separator too"
    commas = "; with decimal commas separate the cells with semicolons" if separator == "," else ""
    return (read, f"Take out what is too much{commas}") if any(map(str.strip, cells[width:])) else None


def _column(cell: str) -> str:
    return "_".join(cell.lower().split())


def _column_names(file: Path, where: str, cells: Iterable[str], columns: Columns) -> list[str]:
    """Return the header's columns by their names here; trailing empty ones are dropped. Raises FaultyInput: unknown
    or repeated columns, or one missing that is needed."""
    names = [_column(cell) for cell in cells]
    while names and not names[-1]:
        names.pop()
    every = f"Columns are {', '.join(columns.names)}{columns.hint}"
    faults = []
    for name in (name for name in names[: LOG.columns_most] if name not in columns.names):
        remedy = f"{every}{columns.instead.get(name) or nearest(name[:100], columns.names)}"
        faults.append(Fault(file, where, f"unknown column {as_written(name)}", remedy))
    if missing := [name for name in columns.needed if name not in names]:
        faults.append(Fault(file, where, f"no column {listed(missing)}", every))
    if twice := [name for name in dict.fromkeys(names) if names.count(name) > 1]:
        faults.append(Fault(file, where, f"column {as_written(twice[0])} stands twice", "Keep one of them"))
    if faults:
        raise FaultyInput(faults)
    return names


def _no_lines(file: Path, columns: Columns) -> FaultyInput:
    return refuse(file, "", "nothing stands in it", f"Put {columns.what} there{columns.hint}")


def _read_workbook(file: Path, columns: Columns) -> Sheet:
    """Read the first sheet: a header row, a line a row. Raises FaultyInput: no workbook, merged cells, no table."""
    rows = _workbook_rows(file, columns)
    if not rows:
        raise _no_lines(file, columns)
    head_number, head = rows[0]
    names = _column_names(file, f"row {head_number}", head, columns)
    letters = [(chr(64 + at // 26) if at >= 26 else "") + chr(65 + at % 26) for at in range(len(names))]
    sheet = Sheet(file, [], dict(zip(names, letters, strict=True)))
    for number, cells in rows[1:]:
        if any(cells[len(names) :]):
            read = f"{len(cells)} cells under {len(names)} columns"
            sheet.tell(number, sheet.place(number), read, "Give the column a name, or clear the cell")
        else:
            sheet.lines.append(Line(number, dict(zip(names, cells, strict=False))))
    return sheet


def _workbook_rows(file: Path, columns: Columns) -> list[tuple[int, list[str]]]:
    """Read the rows in which something stands. The one place where the workbook library is called."""
    data = io.BytesIO(read_bytes(file, columns.what, columns.bytes_most))
    remedy = f"Put {columns.what} there, or save it as CSV"
    try:
        with zipfile.ZipFile(data) as parts:  # what a part says of its size bounds what is unpacked of it
            size = sum(part.file_size for part in parts.infolist())
        if size > LOG.workbook_bytes_most:
            raise refuse(file, "", f"{size} bytes unpacked", f"At most {LOG.workbook_bytes_most}: {remedy}")
        with warnings.catch_warnings(action="ignore"):  # of styles and the like, which are not read
            return list(_filled_rows(file, data))
    except FaultyInput:
        raise
    except Exception as fault:  # a workbook is a zip of XML: the library lets through whatever its parts meet
        raise refuse(file, "", f"this is no workbook ({type(fault).__name__})", remedy) from None


def _filled_rows(file: Path, data: io.BytesIO) -> Iterator[tuple[int, list[str]]]:
    from openpyxl import load_workbook
    from openpyxl.worksheet._reader import WorkSheetParser

    book = load_workbook(data, read_only=True, data_only=True)
    if not book.worksheets:
        return
    sheet = book.worksheets[0]
    # a merged cell holds its value once: the other rows would be read as empty
    with sheet._get_source() as source:
        merged = [block.decode() for block in MERGED.findall(source.read())]
    if merged:
        remedy = "Unmerge them and write the value into each cell"
        raise FaultyInput([Fault(file, f"cells {block}", "merged", remedy) for block in merged])
    with sheet._get_source() as source:
        # below iter_rows, which makes a row of every number up to the last: a cell far down would take minutes
        styles = (book.epoch, book._date_formats, book._timedelta_formats)
        parser = WorkSheetParser(source, sheet._shared_strings, True, *styles)
        for count, (number, cells) in enumerate(parser.parse()):
            if count > LOG.rows_most:
                raise refuse(file, f"row {number}", "too many rows", f"At most {LOG.rows_most}: cut the file")
            texts = {cell["column"]: text for cell in cells if (text := _typed(cell["value"]))}
            if texts:
                last = max(texts)  # what stands beyond the columns that are looked at counts as one more
                row = [texts.get(column, "") for column in range(1, min(last, LOG.columns_most) + 1)]
                yield number, row if last <= LOG.columns_most else [*row, texts[last]]


def _typed(value: Any) -> str:
    """Write a cell as a person would have typed it; a date is written as year-month-day."""
    if value is None:
        return ""
    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    if isinstance(value, float):
        return format(value, ".10g")
    return _plain(str(value))
