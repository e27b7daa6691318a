"""The one gate for files of words. A TOML file: size and kind first, then UTF-8, then TOML; each refusal has its place.
Then its shape: what pydantic finds wrong, in a person's words, with what would do read from the model's JSON schema."""

import os
import re
import stat
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from library.errors import Fault, FaultyInput, as_written, listed, nearest, place, refuse, shortened, visible
from library.method import FOLDER

Table = dict[str, Any]
Steps = tuple[str | int, ...]
Schema = Mapping[str, Any]
Show = Callable[[Steps], str]
Model = TypeVar("Model", bound=BaseModel)
Read = TypeVar("Read")
KEY = "[key]"  # pydantic's mark of a fault in a key itself
AT = re.compile(r"\(at line (\d+), column (\d+)\)")


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
    """Yield what nobody writes, wherever it stands, keys too; what lies too deep ends there."""
    stack: list[tuple[Steps, Any]] = [((), data)]
    while stack:
        where, value = stack.pop()
        if len(where) > FOLDER.deepest_table:
            read = f"{len(where)} tables or lists in one another"
            yield Fault(path, place(where[:3]), read, "No key lies so deep: README lists them all")
        elif isinstance(value, dict | list):
            inner = value.items() if isinstance(value, dict) else enumerate(value)
            stack += [((*where, key), below) for key, below in inner][::-1]
        elif isinstance(value, int) and abs(value) > FOLDER.largest_number:
            remedy = f"Write a number up to {FOLDER.largest_number:g}"
            yield Fault(path, place(where), as_written(value), remedy)
        for text in (*where[-1:], value):
            if isinstance(text, str) and visible(text) != text:
                remedy = "Remove the control characters and line breaks"
                yield Fault(path, place(where), as_written(text), remedy)


def told(remedy: str) -> PydanticCustomError:
    """Make the error of a validator that says itself what would do."""
    return PydanticCustomError("told", "{remedy}", {"remedy": remedy})


def check_shape(
    model: type[Model], data: Any, file: Path, context: Schema | None = None, show: Show = place
) -> tuple[Model | None, list[Fault]]:
    """Validate `data`; return the model or None, and the faults of shape and name. `show` writes a place. Of very
    many faults the first are told and the others counted."""
    try:
        return model.model_validate(data, context=dict(context or {})), []
    except ValidationError as error:
        schema, details = _schema(model), error.errors(include_url=False)
        shown = [_fault(detail, file, data, schema, show) for detail in islice(details, FOLDER.faults_shown)]
        return None, [*dict.fromkeys(shown), *_more(file, len(details) - len(shown))]


@lru_cache(maxsize=8)
def _schema(model: type[BaseModel]) -> Schema:
    return model.model_json_schema()


def first_of(faults: Iterable[Fault], file: Path) -> list[Fault]:
    """Return as many faults as a person reads, and the number of the others."""
    every = list(faults)
    return every[: FOLDER.faults_shown] + _more(file, len(every) - FOLDER.faults_shown)


def _more(file: Path, count: int) -> list[Fault]:
    return [Fault(file, "", f"{count} faults more", "Mend these first")] if count > 0 else []


def _fault(detail: ErrorDetails, file: Path, data: Any, schema: Schema, show: Show) -> Fault:
    loc = detail["loc"]
    steps, value = _seen(loc, data)
    if detail["type"] == "missing":
        return Fault(file, show((*steps, loc[-1])), "missing", f"Add it: {_would_do(schema, loc)}")
    if detail["type"] == "value_error":  # a rule over several keys: its words say what was read
        read, _, remedy = str(detail["ctx"]["error"]).partition(". ")
        return Fault(file, show(steps), read, remedy)
    read = as_written(steps[-1] if loc and loc[-1] == KEY else value)
    special = REMEDIES.get(detail["type"])
    remedy = special(detail, schema) if special else f"Write {_would_do(schema, loc)}"
    return Fault(file, show(steps), read, remedy)


def _seen(loc: Steps, data: Any) -> tuple[Steps, Any]:
    """Return the steps that lead somewhere in the file, and what stands there: `side = -3` has no `side.target`."""
    seen: list[str | int] = []
    for step in loc:
        if str(step).startswith("<"):  # a branch chosen by pydantic, no key of the file
            continue
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            break
        seen.append(step)
    return tuple(seen), data


def _would_do(schema: Schema, loc: Steps) -> str:
    is_key = loc[-1:] == (KEY,)
    node = node_at(schema, loc[:-2] if is_key else loc)
    while node is None and loc:  # one of several kinds: the place that may have any of them
        loc = loc[:-1]
        node = node_at(schema, loc)
    if node and is_key:
        node = {"type": "string", **node.get("propertyNames", {})}
    return in_words(node) if node else "another value"


def _unknown_key(detail: ErrorDetails, schema: Schema) -> str:
    keys = (node_at(schema, detail["loc"][:-1]) or {}).get("properties", {})
    hint = nearest(str(detail["loc"][-1])[:100], keys)
    return f"There is no such key here{hint or '.'} Known: {listed(keys)}"


def _unknown_choice(detail: ErrorDetails, schema: Schema) -> str:
    choices, read = (node_at(schema, detail["loc"]) or {}).get("enum", ()), detail["input"]
    hint = nearest(read[:100], choices) if isinstance(read, str) else ""
    return f"Write {_would_do(schema, detail['loc'])}{hint}"


REMEDIES: dict[str, Callable[[ErrorDetails, Schema], str]] = {
    "extra_forbidden": _unknown_key,
    "literal_error": _unknown_choice,
    "told": lambda detail, _: str(detail["ctx"]["remedy"]),
}


def node_at(schema: Schema, steps: Steps, node: Schema | None = None) -> Schema | None:
    """Return the part of a JSON schema that describes the place `steps` (below `node`; None: the whole), or None."""
    node = schema if node is None else node
    if "$ref" in node:  # what stands beside a reference describes it further
        beside = {key: value for key, value in node.items() if key != "$ref"}
        node = {**schema["$defs"][node["$ref"].rsplit("/", 1)[1]], **beside}
    if not steps:
        return node
    if str(steps[0]).startswith("<"):
        return node_at(schema, steps[1:], node)
    below = node.get("properties", {}).get(steps[0], node.get("additionalProperties"))
    if isinstance(steps[0], int):
        below = dict(enumerate(node.get("prefixItems", ()))).get(steps[0], node.get("items"))
    nodes = [(steps, branch) for branch in _branches(node)]
    nodes += [(steps[1:], below)] if isinstance(below, Mapping) else []
    return next((found for entry in nodes if (found := node_at(schema, *entry)) is not None), None)


def _branches(node: Schema) -> list[Schema]:
    return [*node.get("anyOf", ()), *node.get("oneOf", ())]


BOUNDS = {"from": "minimum", "above": "exclusiveMinimum", "to": "maximum", "below": "exclusiveMaximum"}
NUMBERS = {"integer": "a whole number", "number": "a number"}


def in_words(node: Schema) -> str:
    """Return what would do: "a whole number from 10 to 240 (minutes, warm-up included)"."""
    kind, keys = node.get("type", ""), node.get("properties")
    if "remedy" in node:
        return str(node["remedy"])
    if branches := [branch for branch in _branches(node) if branch.get("type") != "null"]:
        return " or ".join(in_words(branch) for branch in branches)
    if "enum" in node or "const" in node:
        return f"one of {listed(map(str, node.get('enum', [node.get('const')])))}"
    if kind == "boolean":
        return "true or false"
    if kind == "object":
        return f"a table with the keys {listed(keys)}" if keys else "a table"
    if kind == "array":
        least = "at least one " if node.get("minItems") else ""
        texts = node.get("items", {}).get("type") == "string"
        return f"a list of {least}texts in quotes" if texts else f"a list with {least}entry"
    if kind in NUMBERS:
        bounds = (f"{word} {node[key]:.12g}" for word, key in BOUNDS.items() if key in node)
        text = " ".join([NUMBERS[kind], *bounds])
    elif kind != "string":
        return "another value"
    elif node.get("format") == "date":
        text = "a date such as 2026-09-01, without quotes"
    else:
        text = "text in quotes"
        if "maxLength" in node:
            text += f", {node.get('minLength', 0)} to {node['maxLength']} characters"
    return f"{text} ({node['description']})" if node.get("description") else text


def attempt(read: Callable[[], Read], faults: list[Fault]) -> Read | None:
    """Read something; None where it is faulty, and then its faults join the others."""
    try:
        return read()
    except FaultyInput as error:
        faults += error.faults
        return None
