"""Change single values of a TOML file and leave all else as it was written: comments, order, spacing."""

import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import tomlkit
from tomlkit.items import AoT, InlineTable

Path = tuple[str, ...]
WHOLE, DECIMAL = re.compile(r"[+-]?\d{1,18}"), re.compile(r"[+-]?\d{1,18}[.,]\d{1,18}")
RANGE = re.compile(r"\s*([\d.,]+)\s*(?:to|-|–)\s*([\d.,]+)\s*(?:by|step)\s*([\d.,]+)\s*")


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


SHORT_FORMS = {"target": "target", "elsewhere": "sets"}  # `side = 14` is short for `side = { target = 14 }`


def value_at(data: Any, path: Path) -> Any:
    """Give the value at a path, None where there is none; a bare number is the value that it is short for."""
    for depth, step in enumerate(path):
        if not isinstance(data, Mapping):
            return data if depth == 2 and SHORT_FORMS.get(path[0]) == step else None
        data = data.get(step)
    return data


def put(data: Any, path: Path, value: Any) -> None:
    """Let the value at a path be this one; None or an empty list takes it away, and a table in one line left empty."""
    value = None if value == [] else value
    if value_at(data, path) == value:
        return
    *above, last = path
    table, short = data, SHORT_FORMS.get(path[0])
    for depth, step in enumerate(above):
        below = table.get(step)
        if not isinstance(below, Mapping):
            if depth == 1 and short == last:  # the short form stays short
                _assign(table, step, value)
                return
            table[step] = tomlkit.table() if depth == 0 else tomlkit.inline_table()
            if depth == 1 and short and below is not None:
                table[step][short] = below
        table = table[step]
    _assign(table, last, value)
    if isinstance(table, InlineTable) and not table:  # what it was about is no longer said
        put(data, tuple(above), None)


def _assign(table: Any, key: str, value: Any) -> None:
    if value is None:
        del table[key]
    elif isinstance(value, list) and isinstance(table.get(key), list):
        _as_listed(table[key], _item(value))
    else:
        table[key] = _item(value)


def _item(value: Any) -> Any:
    """Give lists and tables as they stand in one line."""
    if isinstance(value, list):
        (made := tomlkit.array()).extend(map(_item, value))
        return made
    if isinstance(value, dict):
        (table := tomlkit.inline_table()).update(value)
        return table
    return value


def _as_listed(array: Any, value: Sequence[Any]) -> None:
    """Take out of a list what is gone and add what is new; the rest keeps its place and its comments."""
    if all(isinstance(one, str) for one in value):
        for one in [one for one in array if one not in value]:
            array.remove(one)
        array.extend(one for one in value if one not in array)
    elif list(array) != list(value):
        array.clear()
        array.extend(value)


def put_rows(data: Any, name: str, key: str, rows: Sequence[Mapping[str, Any]], known: Sequence[str]) -> None:
    """Let the tables [[name]] be these, by their `key`; a row that stays keeps its comments, one of no `known` key stays."""
    if not isinstance(data.get(name), list):
        data[name] = tomlkit.aot()
    array, wanted = data[name], {row[key]: row for row in rows}
    for place in reversed(range(len(array))):
        if array[place].get(key) in known and array[place][key] not in wanted:
            del array[place]
    stay = {table.get(key): table for table in reversed(list(array))}
    for word, row in wanted.items():
        if word in stay:
            for field, value in row.items():
                put(stay[word], (field,), value)
        else:
            table = tomlkit.table() if isinstance(array, AoT) else tomlkit.inline_table()
            table.update({field: value for field, value in row.items() if value is not None})
            array.append(table)
