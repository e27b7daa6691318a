"""Read a file of words safely: size first, then UTF-8, then TOML, each refusal with its place."""

from __future__ import annotations

import re
import stat
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput
from planner.athlete.words import as_written, is_control, place, shortened, visible
from planner.method import FolderSettings

Table = dict[str, Any]
AT = re.compile(r"\(at line (\d+), column (\d+)\)")


def refuse(file: Path, where: str, read: str, remedy: str) -> FaultyInput:
    """Return the error of a file with one fault."""
    return FaultyInput([Fault(file, where, read, remedy)])


def read_bytes(path: Path, what: str, most: int | None = None) -> bytes:
    """Return a file's bytes. `what` says in the remedy what the file should be. Raises FaultyInput.

    `most`: bytes above which the file is refused unread; None: the folder's default.
    """
    most = FolderSettings().largest_file_bytes if most is None else most
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise refuse(path, "", "this is a folder", f"Put {what} there, a file")
        if not stat.S_ISREG(found.st_mode):
            raise refuse(path, "", "this is no ordinary file", f"Put {what} there, a file")
        if found.st_size > most:
            raise _too_long(path, found.st_size, most, what)
        with path.open("rb") as stream:
            data = stream.read(most + 1)  # it may have grown since it was measured
    except FileNotFoundError:
        raise refuse(path, "", "this file is missing", f"Put {what} there") from None
    except (OSError, ValueError) as fault:  # ValueError: a name with a null byte
        reason = fault.strerror if isinstance(fault, OSError) else str(fault)
        raise refuse(path, "", f"cannot be read ({reason})", "Make the file readable") from None
    if len(data) > most:
        raise _too_long(path, len(data), most, what)
    return data


def _too_long(path: Path, size: int, most: int, what: str) -> FaultyInput:
    return refuse(path, "", f"{size} bytes", f"At most {most} bytes are read: put {what} there")


def read_text(path: Path, what: str, most: int | None = None) -> str:
    """Return a UTF-8 file's text, without a byte order mark; `most` as above. Raises FaultyInput."""
    data = read_bytes(path, what, most)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        read = f"byte 0x{data[fault.start]:02x} is no UTF-8"
        raise refuse(path, f"line {line}", read, "Save the file as UTF-8 text") from None


def read_toml(path: Path, what: str) -> Table:
    """Return a TOML file as tables. Raises FaultyInput with line and column of what is broken."""
    text = read_text(path, what)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise _broken(path, text, str(fault)) from None
    except RecursionError:
        raise refuse(path, "", "tables or lists nested too deeply", f"Put {what} there") from None
    except ValueError as fault:  # such as a number of more than 4300 digits
        raise refuse(path, "", f"cannot be read ({fault})", f"Put {what} there") from None
    faults = [
        Fault(path, place(where), as_written(text), "Remove the control characters and line breaks")
        for where, text in _texts(data)
        if any(map(is_control, text))
    ]
    if faults:
        raise FaultyInput(faults)
    return data


def _broken(path: Path, text: str, message: str) -> FaultyInput:
    lines = text.splitlines() or [""]
    found = AT.search(message)
    line, column = (int(found[1]), int(found[2])) if found else (len(lines), len(lines[-1]) + 1)
    reason = visible(AT.sub("", message).replace("(at end of document)", "").strip())
    shown = visible(shortened(lines[min(line, len(lines)) - 1].strip()))
    read = f"`{shown}`" if shown else "an empty line"
    return refuse(path, f"line {line}, column {column}", read, f"This is broken TOML: {reason}")


def _texts(data: object, where: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Yield every text of a file, keys included, with its place."""
    if isinstance(data, str):
        yield where, data
    elif isinstance(data, Mapping):
        for key, value in data.items():
            yield (*where, key), key
            yield from _texts(value, (*where, key))
    elif isinstance(data, list):
        for number, value in enumerate(data):
            yield from _texts(value, (*where, number))
