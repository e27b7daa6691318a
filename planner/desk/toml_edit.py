"""Change single values of a TOML file and leave all else as it was written: comments, order, spacing.

Only what differs from what the file says is touched, so that a form that is saved unchanged changes no byte.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

import tomlkit
from tomlkit.items import AoT, InlineTable, Table

Path = tuple[str, ...]
WHOLE, DECIMAL = re.compile(r"[+-]?\d{1,9}"), re.compile(r"[+-]?\d{1,9}[.,]\d{1,9}")
RANGE = re.compile(r"\s*([\d.]+)\s*(?:to|-|–)\s*([\d.]+)\s*(?:by|step)\s*([\d.]+)\s*")


def number_of(text: str) -> int | float | str:
    """Read a number as a person types it; what is none stays text, so that its reader says what is wrong."""
    text = text.strip()
    if WHOLE.fullmatch(text):
        return int(text)
    return float(text.replace(",", ".")) if DECIMAL.fullmatch(text) else text


def date_of(text: str) -> date | str:
    """Read a date; what is none stays text."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def loads_of(text: str) -> Any:
    """Read loads as "2 to 40 by 2" or "4, 6, 8"; what is neither stays text."""
    if match := RANGE.fullmatch(text):
        return dict(zip(("from", "to", "step"), map(number_of, match.groups()), strict=True))
    return [number_of(part) for part in re.split(r"[;\s]+|,\s+|,(?!\d)", text.strip()) if part]


def loads_text(value: Any) -> str:
    """Write loads as `loads_of` reads them."""
    if isinstance(value, Mapping):
        return f"{value.get('from', '')} to {value.get('to', '')} by {value.get('step', '')}"
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def value_at(data: Any, path: Path) -> Any:
    """Give the value at a path, None where there is none; a bare number stands for its table's first key."""
    for step in path:
        if not isinstance(data, Mapping):
            return data if step in SHORT_FORMS and not isinstance(data, Mapping) else None
        data = data.get(step)
    return data


SHORT_FORMS = ("target", "sets")  # `side = 14` is short for `side = { target = 14 }`


def put(data: Any, path: Path, value: Any) -> None:
    """Let the value at a path be this one; None or an empty list or table: take it away, with tables left empty."""
    empty = value is None or value == [] or value == {}
    now = value_at(data, path)
    if (now is None and empty) or (now == value and type(_plain(now)) is type(_plain(value))):
        return
    *above, last = path
    for depth, step in enumerate(above):
        inner = data.get(step)
        if not isinstance(inner, Mapping):
            short = SHORT_FORMS[0] if path[0] == "target" else SHORT_FORMS[1]
            if inner is not None and last == short:  # the short form stays short
                _assign(data, step, value, empty)
                return
            data[step] = _table(depth, len(above), {short: inner} if inner is not None else {})
            inner = data[step]
        data = inner
    if isinstance(value, list) and isinstance(data.get(last), list) and not empty:
        _as_listed(data[last], value)
    else:
        _assign(data, last, value, empty)


def _assign(data: Any, key: str, value: Any, empty: bool) -> None:
    if empty:
        del data[key]
        return
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        table.update(value)
        value = table
    data[key] = value


def _table(depth: int, above: int, content: Mapping[str, Any]) -> Any:
    """Tables that the file names in brackets, below them tables in one line."""
    table: Table | InlineTable = tomlkit.table() if depth == 0 and above else tomlkit.inline_table()
    for key, value in content.items():
        table[key] = value
    return table


def _as_listed(array: Any, value: Sequence[Any]) -> None:
    """Take out of a list what is gone and add what is new; the rest keeps its place and its comments."""
    if all(isinstance(one, str) for one in value):
        for one in [one for one in array if one not in value]:
            array.remove(one)
        for one in value:
            if one not in array:
                array.append(one)
    elif list(array) != list(value):
        array[:] = value


def put_rows(data: Any, name: str, key: str, rows: Iterable[Mapping[str, Any]]) -> None:
    """Let the tables [[name]] be these, known by their `key`; a row that stays keeps its comments."""
    wanted = {row[key]: row for row in rows}
    array = data.get(name)
    if not isinstance(array, AoT):
        array = tomlkit.aot()
        data[name] = array
    for place in reversed(range(len(array))):
        if array[place].get(key) not in wanted:
            del array[place]
    stay = {table.get(key): table for table in reversed(list(array))}
    for word, row in wanted.items():
        if word in stay:
            for field, value in row.items():
                put(stay[word], (field,), value)
        else:
            table = tomlkit.table()
            table.update(row)
            array.append(table)


def _plain(value: Any) -> Any:
    return value.unwrap() if hasattr(value, "unwrap") else value
