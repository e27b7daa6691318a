"""Seeded files that are nearly right: a good brief, log, workbook, week … with one to three things changed."""

from __future__ import annotations

import csv
import datetime
import io
import json
import random
import re
import zipfile
from collections.abc import Callable, Iterator
from typing import Any

Tree = Any
DEEP: Tree = []
for _ in range(40):
    DEEP = [DEEP]
TEXTS = (
    "", " ", "\x1b[2J", "a\nb", "\u2028", "\ufeff", "=1+1", "../../x", "x" * 9000, "ü" * 900, "é\u0301", "\u202eabc",
    "Mon", "front", "cable", "club", "2026-W49", "2026-W54", "0026-11-25", "2100-01-01", "2026-13-01", "nan", "1e400",
    "-1", "1,5", "1.234,5", "30.11.2026", "9" * 400, "'", '"', ",", ";", "\t", "NULL", "true", "cleared", "kg",
)  # fmt: skip
VALUES: tuple[Tree, ...] = (
    *TEXTS, 0, -1, 1, 3, 7, 10**15, 10**400, -(10**400), 0.5, 1e308, float("inf"), float("nan"), True, False, None, [],
    {}, [1], {"a": 1}, DEEP, datetime.date(26, 11, 25), datetime.date(9999, 12, 31), datetime.time(1, 2),
    {f"key {number}": number for number in range(60)}, list(range(300)),
)  # fmt: skip


def changed(tree: Tree, chance: random.Random) -> Tree:
    """Return a tree with one place changed: a value exchanged, a key dropped, renamed or added, a part doubled."""
    if not isinstance(tree, dict | list) or not tree or chance.random() < 0.08:
        return chance.choice(VALUES)
    key = chance.choice(list(tree) if isinstance(tree, dict) else range(len(tree)))
    copy: Any = dict(tree) if isinstance(tree, dict) else list(tree)
    way = chance.random()
    if way < 0.75:
        copy[key] = changed(tree[key], chance)
    elif way < 0.82:
        del copy[key]
    elif isinstance(copy, dict):
        copy[chance.choice(TEXTS) if way < 0.92 else f"{key}x"] = copy.pop(key) if way < 0.87 else tree[key]
    else:
        copy.insert(chance.randrange(len(copy) + 1), tree[key])
    return copy


def bent(data: bytes, chance: random.Random) -> bytes:
    """Return bytes that were cut, doubled, overwritten or filled in somewhere."""
    start = chance.randrange(len(data) + 1)
    end = min(len(data), start + chance.choice((1, 2, 10, 200)))
    stuff = chance.choice(
        (b"", b"\x00", b"\xff", b'"', b"[", b"\n", b"=", chance.randbytes(4), data[start:end] * 2)
    )
    return chance.choice(
        (data[:start], data[:start] + stuff + data[end:], data[:start] + stuff + data[start:])
    )


def as_toml(value: Tree) -> str:
    """Write a value of a TOML file on one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_text(key)} = {as_toml(below)}" for key, below in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(as_toml, value)) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return _text(value) if isinstance(value, str) or value is None else str(value)


def _text(value: object) -> str:
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


def toml_file(tree: Tree) -> bytes:
    """Write the tree of a TOML file."""
    if not isinstance(tree, dict):
        return as_toml(tree).encode("utf-8", "surrogatepass")
    return "".join(f"{_text(key)} = {as_toml(value)}\n" for key, value in tree.items()).encode()


def json_file(tree: Tree) -> bytes:
    """Write the tree of a JSON file."""
    return json.dumps(tree, default=str).encode()


def csv_file(rows: Tree) -> bytes:
    """Write rows, whatever their cells hold."""
    stream = io.StringIO(newline="")
    for row in rows if isinstance(rows, list) else [rows]:
        csv.writer(stream).writerow(row if isinstance(row, list) else [row])
    return stream.getvalue().encode("utf-8", "replace")


def trees(tree: Tree, write: Callable[[Tree], bytes]) -> Callable[[random.Random], bytes]:
    """Make mutants of a tree: most of them change it, some bend what is written."""

    def make(chance: random.Random) -> bytes:
        mutant = tree
        for _ in range(chance.choice((1, 1, 2, 3))):
            mutant = changed(mutant, chance)
        data = write(mutant)
        return bent(data, chance) if chance.random() < 0.2 else data

    return make


FAR = ("A1048576", "XFD1", "XFD1048576", "AZ90000", "A0", "ZZZZ9", "A99999999999")
ODD_CELLS = ("", "<v>1e999</v>", "<v>x</v>", "<v>-5e9</v>", "<f>A1</f>", "<is><t>a</t></is>", "<v>\u2028</v>")


def workbooks(book: bytes) -> Callable[[random.Random], bytes]:
    """Make mutants of a workbook: attributes, cells and texts of its parts exchanged, far cells, bent bytes."""
    with zipfile.ZipFile(io.BytesIO(book)) as parts:
        texts = {name: parts.read(name) for name in parts.namelist()}

    def make(chance: random.Random) -> bytes:
        mutant = dict(texts)
        for _ in range(chance.choice((1, 1, 2))):
            sheet = chance.random() < 0.5
            name = next(name for name in texts if "sheet1" in name) if sheet else chance.choice(list(texts))
            mutant[name] = _bent_xml(mutant[name], chance)
        if chance.random() < 0.1:
            del mutant[chance.choice(list(mutant))]
        stream = io.BytesIO()
        with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as parts:
            for name, data in mutant.items():
                parts.writestr(name, data)
        return bent(stream.getvalue(), chance) if chance.random() < 0.1 else stream.getvalue()

    return make


def _bent_xml(data: bytes, chance: random.Random) -> bytes:
    text = data.decode("utf-8", "replace")
    way = chance.random()
    if way < 0.2:
        return bent(data, chance)
    if way < 0.4:
        style = chance.choice(("", ' s="1"', ' t="s"', ' t="d"', ' t="e"', ' t="x"'))
        cell = f'<c r="{chance.choice(FAR)}"{style}>{chance.choice(ODD_CELLS)}</c>'
        row = chance.choice(("1048576", "0", "-1", "x", "2", "500000"))
        return text.replace("</sheetData>", f'<row r="{row}">{cell}</row></sheetData>').encode()
    places = list(re.finditer(r'"[^"]*"|>[^<>]+<', text))
    if not places:
        return bent(data, chance)
    place = chance.choice(places)
    odd = chance.choice((*(text for text in TEXTS if text.isprintable()), *FAR, "1", "99999999"))
    inner = odd.replace("&", "").replace("<", "").replace('"', "")
    return f"{text[: place.start() + 1]}{inner}{text[place.end() - 1 :]}".encode()


def each(make: Callable[[random.Random], bytes], seed: int, count: int) -> Iterator[bytes]:
    """Yield `count` mutants, the same for the same seed."""
    for number in range(count):
        yield make(random.Random(seed * 1_000_003 + number))
