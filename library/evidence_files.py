"""Reading evidence/*.csv: one row a number, with its source; column names are the fields of `EvidenceRow`."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from importlib.resources.abc import Traversable

from pydantic import ValidationError

from library.errors import Fault, nearest
from library.faults import shown
from library.schema import EvidenceRow, Record
from library.toml_files import AnyRecord, read_text

ORDERINGS = "orderings.csv"  # lies among the evidence, but holds no numbers (library/orderings.py)
FIRST_ROW = 2  # the header is row 1 of the sheet, so that row numbers are those a spreadsheet shows


def read_evidence(file: Traversable, faults: list[Fault]) -> list[tuple[str, EvidenceRow]]:
    """Read one evidence file; returns (place for a message: "row 3", row) for every row that can be read."""
    read = []
    for place, row in read_csv(file, EvidenceRow, faults):
        fault = _kind_fault(row)
        if fault:
            faults.append(Fault(str(file), place, *fault))
        else:
            read.append((place, row))
    return read


def _kind_fault(row: EvidenceRow) -> tuple[str, str] | None:
    if (row.kind == "practice") != (row.status == "practice"):
        return (
            f'kind "{row.kind}" with status "{row.status}"',
            "Practice rows, and only they, have status practice",
        )
    if (row.kind == "practice") != (row.against is not None):
        return (
            f'kind "{row.kind}", against {shown(row.against)}',
            "Practice rows, and only they, name `against`",
        )
    if row.against == row.exercise:
        return f'"{row.exercise}" against itself', "Name another exercise in `against`"
    return None


def read_csv(
    file: Traversable, record: type[AnyRecord], faults: list[Fault]
) -> Iterator[tuple[str, AnyRecord]]:
    """Read the rows of one CSV file as records; yields ("row 3", record).

    An empty cell means the field's default.
    """
    text = read_text(file, faults)
    if text is None:
        return
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    try:  # the header too is read here, and may be broken
        if _header_faults(file, list(reader.fieldnames or ()), record, faults):
            return
        for number, cells in enumerate(reader, FIRST_ROW):
            row = _read_row(file, f"row {number}", cells, record, faults)
            if row is not None:
                yield f"row {number}", row
    except csv.Error as error:
        faults.append(Fault(str(file), f"line {reader.line_num}", f"is no CSV: {error}", "Mend the line"))


def _header_faults(file: Traversable, columns: list[str], record: type[Record], faults: list[Fault]) -> bool:
    fields = record.model_fields
    found = [
        Fault(str(file), "header", f'unknown column "{name}"', f"Remove it{nearest(name, fields)}")
        for name in columns
        if name not in fields
    ]
    found += [
        Fault(str(file), "header", f'column "{name}" is missing', "Add it")
        for name, field in fields.items()
        if field.is_required() and name not in columns
    ]
    faults += found
    return bool(found)


def _read_row(
    file: Traversable,
    place: str,
    cells: dict[str | None, str | list[str] | None],
    record: type[AnyRecord],
    faults: list[Fault],
) -> AnyRecord | None:
    if None in cells or None in cells.values():
        remedy = "Give every row as many cells as the header; put text with commas in double quotes"
        faults.append(Fault(str(file), place, "has more or fewer cells than the header", remedy))
        return None
    try:
        return record.model_validate({name: value for name, value in cells.items() if value != ""})
    except ValidationError as error:
        faults += [
            Fault(
                str(file),
                f"{place}, column {item['loc'][0] if item['loc'] else '?'}",
                "is empty" if item["type"] == "missing" else f"read {shown(item['input'])}",
                "Fill it in" if item["type"] == "missing" else item["msg"],
            )
            for item in error.errors(include_url=False)
        ]
        return None
