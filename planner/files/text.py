"""Read a file of words safely, and write values and places back to the coach: short, quoted, no control characters.
Size and kind first, then UTF-8, then TOML; each refusal has its place."""

import datetime
import os
import re
import stat
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput, visible
from planner.method import FOLDER

Table = dict[str, Any]
Steps = tuple[str | int, ...]
LONGEST = 60  # characters of a value that a message repeats
MOST_LISTED = 20  # names that a message lists: more are not read
AT = re.compile(r"\(at line (\d+), column (\d+)\)")
BARE_KEY = re.compile(r"^[A-Za-z0-9_-]+$")


def refuse(file: Path | str, where: str, read: str, remedy: str) -> FaultyInput:
    """Return the error of a file with one fault."""
    return FaultyInput([Fault(file, where, read, remedy)])


def is_there(path: Path) -> bool:
    """Say whether something has this name, a dead link or a pipe too: its reader says what is wrong with it."""
    return os.path.lexists(path)


def read_bytes(path: Path, what: str, most: int | None = None, *, link: bool = True) -> bytes:
    """Return a file's bytes. `what` says in the remedy what the file should be. Raises FaultyInput. `most`: bytes
    above which the file is refused unread; None: the folder's default. `link` False: a link is refused."""
    most = FOLDER.largest_file_bytes if most is None else most
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0)  # a pipe without a writer is not waited for
    try:
        if not link and path.is_symlink():
            raise refuse(path, "", "this is a link to somewhere else", f"Put {what} there, the file itself")
        with open(os.open(path, flags), "rb") as stream:  # noqa: PTH123
            status = os.fstat(stream.fileno())
            if stat.S_ISDIR(status.st_mode):
                raise IsADirectoryError
            if not stat.S_ISREG(status.st_mode):
                raise refuse(path, "", "this is no ordinary file", f"Put {what} there, a file")
            data = stream.read(most + 1) if status.st_size <= most else b""
    except FileNotFoundError:
        raise refuse(path, "", "this file is missing", f"Put {what} there") from None
    except IsADirectoryError:
        raise refuse(path, "", "this is a folder", f"Put {what} there, a file") from None
    except (OSError, ValueError) as fault:  # ValueError: a name with a null byte
        reason = fault.strerror if isinstance(fault, OSError) else str(fault)
        raise refuse(path, "", f"cannot be read ({reason})", "Make the file readable") from None
    if (size := max(status.st_size, len(data))) > most:  # it may have grown since it was measured
        raise refuse(path, "", f"{size} bytes", f"At most {most} bytes are read: put {what} there")
    return data


def read_text(path: Path, what: str, most: int | None = None, *, link: bool = True) -> str:
    """Return a UTF-8 file's text, without a byte order mark; `most` and `link` as above. Raises FaultyInput."""
    data = read_bytes(path, what, most, link=link)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        read = f"byte 0x{data[fault.start]:02x} is no UTF-8"
        raise refuse(path, f"line {line}", read, "Save the file as UTF-8 text") from None


def read_toml(path: Path, what: str) -> Table:
    """Return a TOML file as tables. Raises FaultyInput with line and column of what is broken. Refused too, wherever
    it stands: control characters, a number of too many digits, tables in tables without end."""
    text = read_text(path, what)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise _broken(path, text, str(fault)) from None
    except RecursionError:
        raise refuse(path, "", "tables or lists nested too deeply", f"Put {what} there") from None
    except ValueError as fault:  # such as a number of more than 4300 digits
        raise refuse(path, "", f"cannot be read ({fault})", f"Put {what} there") from None
    if faults := list(_unusable(path, data)):
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


def _unusable(path: Path, data: Table) -> Iterator[Fault]:
    for where, value in _values(data, ()):
        if len(where) > FOLDER.deepest_table:
            read = f"{len(where)} tables or lists in one another"
            yield Fault(path, place(where[:3]), read, "No key lies so deep: README lists them all")
        elif isinstance(value, str) and visible(value) != value:
            remedy = "Remove the control characters and line breaks"
            yield Fault(path, place(where), as_written(value), remedy)
        elif isinstance(value, int) and abs(value) > FOLDER.largest_number:
            remedy = f"Write a number up to {FOLDER.largest_number:g}"
            yield Fault(path, place(where), as_written(value), remedy)


def _values(data: object, where: Steps) -> Iterator[tuple[Steps, object]]:
    """Yield every value of a file with its place, keys as texts of their own; what lies too deep ends there."""
    if not isinstance(data, Mapping | list) or len(where) > FOLDER.deepest_table:
        yield where, data
        return
    for key, value in data.items() if isinstance(data, Mapping) else enumerate(data):
        if isinstance(key, str):
            yield (*where, key), key
        yield from _values(value, (*where, key))


def shortened(text: str) -> str:
    """Return `text` cut to what a message can carry."""
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}… ({len(text)} characters)"


def as_written(value: object) -> str:
    """Return a value of a TOML file nearly as the coach wrote it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{visible(shortened(value))}"'
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, Mapping):
        return f"a table with {listed(value)}" if value else "an empty table"
    if isinstance(value, list | tuple):
        return "an empty list" if not value else f"a list of {len(value)}"
    try:
        return shortened(repr(value))
    except ValueError:  # Python writes no decimal number of more than 4300 digits
        return "a number of thousands of digits"


def listed(names: Iterable[str]) -> str:
    """Return names in quotes, with commas; a long list is cut."""
    every = list(names)
    shown = [f'"{visible(shortened(name))}"' for name in every[:MOST_LISTED]]
    return ", ".join(shown if len(every) <= MOST_LISTED else [*shown, f"… ({len(every)} in all)"])


def place(parts: Iterable[str | int]) -> str:
    """Return a key path as the coach sees it: `session[2].minutes`, lists counted from 1."""
    path = ""
    for part in parts:
        if isinstance(part, int):
            path += f"[{part + 1}]"
        else:
            key = part if BARE_KEY.match(part) and len(part) <= LONGEST else f'"{visible(shortened(part))}"'
            path += f".{key}" if path else key
    return path
