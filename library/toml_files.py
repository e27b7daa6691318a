"""Reading one TOML file, with the line named where its syntax is broken."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from pydantic import ValidationError

from library.errors import Fault
from library.faults import faults_of, key_path, shown
from library.schema import Record

AnyRecord = TypeVar("AnyRecord", bound=Record)
LINE = re.compile(r"^(?P<text>.*) \(at (?P<line>line \d+, column \d+|end of document)\)$", re.DOTALL)


def read_text(file: Traversable, faults: list[Fault]) -> str | None:
    """Return a file's text (UTF-8, with or without a byte order mark), or None and a fault."""
    try:
        return file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        faults.append(Fault(str(file), f"byte {error.start}", "is no UTF-8 text", "Save the file as UTF-8"))
    except FileNotFoundError:
        faults.append(Fault(str(file), "", "there is no such file", "Put it there"))
    except OSError as error:
        faults.append(Fault(str(file), "", f"cannot be read ({error.strerror})", "Make it a readable file"))
    return None


def read_toml(file: Traversable, faults: list[Fault]) -> dict[str, Any]:
    """Return the tables of one TOML file; a broken file gives a fault with its line and no tables."""
    text = read_text(file, faults)
    if text is None:
        return {}
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        found = LINE.match(str(error))
        where, said = (found["line"], found["text"]) if found else ("", str(error))
        faults.append(Fault(str(file), where, f"is no TOML: {said}", "Mend the line"))
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
    read: dict[str, AnyRecord] = {}
    for key, table in tables.items():
        where = key_path((prefix, key)) if prefix else key
        if not isinstance(table, dict):
            faults.append(Fault(str(file), where, f"read {shown(table)}", f"Write a table [{where}]"))
            continue
        if "key" in table:
            faults.append(
                Fault(str(file), f"{where}.key", "is written twice", "The table's name is the key: remove it")
            )
            continue
        try:
            read[key] = record.model_validate({**table, "key": key})
        except ValidationError as error:
            faults += faults_of(error, str(file), record, where)
    return read
