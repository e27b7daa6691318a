"""Files: TOML tables and CSV rows read as records, every fault of a file collected."""

import csv
import io
import re
import tomllib
from collections.abc import Iterator, Mapping
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from pydantic import ValidationError

from library.errors import Fault, fault_of, faults_of, key_path, nearest, shown
from library.schema import Record

AnyRecord = TypeVar("AnyRecord", bound=Record)
Rows = Iterator[tuple[str, AnyRecord]]
LINE = re.compile(r"^(?P<text>.*) \(at (?P<line>line \d+, column \d+|end of document)\)$", re.DOTALL)
# what steers a terminal, as written or as an escape of TOML: in a CSV note it is shown as an escape instead
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f]|\\(?:[bef]|u00[0189]|U000000[0189])")
FIRST_ROW = 2  # the header is row 1 of the sheet, so that row numbers are those a spreadsheet shows


def read_text(file: Traversable, faults: list[Fault]) -> str:
    """Return a file's text (UTF-8, with or without a byte order mark), or no text and a fault."""
    try:
        return file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        faults.append(Fault(str(file), f"byte {error.start}", "is no UTF-8 text", "Save the file as UTF-8"))
    except FileNotFoundError:
        faults.append(Fault(str(file), "", "there is no such file", "Put it there"))
    except OSError as error:
        faults.append(Fault(str(file), "", f"cannot be read ({error.strerror})", "Make it a readable file"))
    return ""


def read_toml(file: Traversable, faults: list[Fault]) -> dict[str, Any]:
    """Return the tables of one TOML file; a broken file gives a fault with its line and no tables."""
    text = read_text(file, faults)
    try:
        if steered := CONTROL.search(text):
            where = f"line {text.count(chr(10), 0, steered.start()) + 1}"
            faults.append(Fault(str(file), where, f"the control character {steered[0]!r}", "Take it out"))
            return {}
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        match = LINE.match(str(error))
        where, words = (match["line"], match["text"]) if match else ("", str(error))
        faults.append(Fault(str(file), where, f"is no TOML: {words}", "Mend the line"))
    except RecursionError:
        faults.append(Fault(str(file), "", "is no TOML: brackets nested without end", "Mend the file"))
    return {}


def read_records(
    file: Traversable,
    tables: Mapping[str, Any],
    record: type[AnyRecord],
    faults: list[Fault],
    prefix: str = "",
) -> dict[str, AnyRecord]:
    """Read `[key] field = …` tables as records of one kind, in file order; wrong ones become faults."""
    records: dict[str, AnyRecord] = {}
    for key, table in tables.items():
        where = key_path((prefix, key)) if prefix else key
        if not isinstance(table, dict):
            faults.append(Fault(str(file), where, f"read {shown(table)}", f"Write a table [{where}]"))
        elif "key" in table:
            remedy = "The table's name is the key: remove it"
            faults.append(Fault(str(file), f"{where}.key", "is written twice", remedy))
        else:
            try:
                records[key] = record.model_validate({**table, "key": key})
            except ValidationError as error:
                faults += faults_of(error, str(file), record, where)
    return records


def read_csv(file: Traversable, record: type[AnyRecord], faults: list[Fault]) -> Rows[AnyRecord]:
    """Read the rows of a CSV file, columns named as fields, as records; yields ("row 3", record). An empty cell: the default."""
    before = len(faults)
    reader = csv.DictReader(io.StringIO(read_text(file, faults), newline=""), strict=True)
    if len(faults) > before:
        return
    fields = record.model_fields
    try:  # the header too is read here, and may be broken
        columns = list(reader.fieldnames or ())
        unknown = [name for name in columns if name not in fields]
        odd = [(f'unknown column "{name}"', f"Remove it{nearest(name, fields)}") for name in unknown]
        needed = [name for name, field in fields.items() if field.is_required() and name not in columns]
        wrong = [*odd, *((f'column "{name}" is missing', "Add it") for name in needed)]
        faults += [Fault(str(file), "header", *words) for words in wrong]
        for number, cells in enumerate(() if wrong else reader, FIRST_ROW):
            row = _read_row(str(file), f"row {number}", cells, record, faults)
            if row is not None:
                yield f"row {number}", row
    except csv.Error as error:
        faults.append(Fault(str(file), f"line {reader.line_num}", f"is no CSV: {error}", "Mend the line"))


def _read_row(
    file: str, place: str, cells: dict[str | Any, Any], record: type[AnyRecord], faults: list[Fault]
) -> AnyRecord | None:
    if None in cells or None in cells.values():
        remedy = "Give every row as many cells as the header; put text with commas in double quotes"
        faults.append(Fault(file, place, "has more or fewer cells than the header", remedy))
        return None
    try:
        return record.model_validate({name: value for name, value in cells.items() if value != ""})
    except ValidationError as error:
        for item in error.errors(include_url=False):
            if item["loc"]:
                faults.append(fault_of(item, file, f"{place}, column {item['loc'][0]}", record))
            else:  # a rule over several cells: its words say what was read
                read, _, remedy = item["msg"].removeprefix("Value error, ").partition(". ")
                faults.append(Fault(file, place, read, remedy))
    return None


def files_in(folder: Traversable, ending: str) -> list[Traversable]:
    """Return the files of a folder that end so, by name; none where there is no folder."""
    files = folder.iterdir() if folder.is_dir() else ()
    return sorted((file for file in files if file.name.endswith(ending)), key=lambda file: file.name)
