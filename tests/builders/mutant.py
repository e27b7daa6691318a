"""Seeded files that are nearly right: a good brief, log, workbook, week … with one to three things changed."""

import csv
import datetime
import io
import json
import random
import re
import tomllib
import zipfile
from collections.abc import Callable
from typing import Any

import numpy as np
from emg_signal import emg, repetitions

Tree = Any
Make = Callable[[random.Random], bytes]
DEEP = []
for _ in range(40):
    DEEP = [DEEP]
TEXTS = (
    "", " ", "\x1b[2J", "a\nb", "\u2028", "\ufeff", "=1+1", "../../x", "x" * 9000, "ü" * 900, "é\u0301", "\u202eabc",
    "Mon", "front", "cable", "club", "2026-W49", "2026-W54", "0026-11-25", "2100-01-01", "2026-13-01", "nan", "1e400",
    "-1", "1,5", "1.234,5", "30.11.2026", "9" * 400, "'", '"', ",", ";", "\t", "NULL", "true", "cleared", "kg",
)  # fmt: skip
VALUES = (
    *TEXTS, 0, -1, 1, 3, 7, 10**15, 10**400, -(10**400), 0.5, 1e308, float("inf"), float("nan"), True, False, None, [],
    {}, [1], {"a": 1}, DEEP, datetime.date(26, 11, 25), datetime.date(9999, 12, 31), datetime.time(1, 2),
    {f"key {number}": number for number in range(60)}, list(range(300)),
)  # fmt: skip

# values that may well pass: what is read right and then planned with
NEAR = {
    int: lambda value: (0, 1, value + 1, max(0, value - 1), 2 * value, value // 2),
    float: lambda value: (0.0, value / 10, value / 2, 1.5 * value, 10 * value),
    bool: lambda value: (not value,),
    str: lambda _: (
        "Mon", "Thu", "Sun", "club", "home", "novice", "advanced", "careful", "avoid", "dumbbells", "cable",
    ),
}  # fmt: skip


def changed(tree, chance):
    """Return a tree with one place changed: a value exchanged, a key dropped, renamed or added, a part doubled."""
    if not isinstance(tree, dict | list) or not tree or chance.random() < 0.08:
        near = type(tree) in NEAR and chance.random() < 0.6
        return chance.choice(NEAR[type(tree)](tree) if near else VALUES)
    key = chance.choice(list(tree) if isinstance(tree, dict) else range(len(tree)))
    copy = dict(tree) if isinstance(tree, dict) else list(tree)
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


def bent(data, chance):
    """Return bytes that were cut, doubled, overwritten or filled in somewhere."""
    start = chance.randrange(len(data) + 1)
    end = min(len(data), start + chance.choice((1, 2, 10, 200)))
    odd = (b"", b"\x00", b"\xff", b'"', b"[", b"\n", b"=", chance.randbytes(4), data[start:end] * 2)
    kept, stuff = data[:start], chance.choice(odd)
    return chance.choice((kept, kept + stuff + data[end:], kept + stuff + data[start:]))


def as_toml(value):
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_text(key)} = {as_toml(below)}" for key, below in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(as_toml, value)) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return _text(value) if isinstance(value, str) or value is None else str(value)


def _text(value):
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


def toml_file(tree):
    if not isinstance(tree, dict):
        return as_toml(tree).encode("utf-8", "surrogatepass")
    return "".join(f"{_text(key)} = {as_toml(value)}\n" for key, value in tree.items()).encode()


def json_file(tree):
    return json.dumps(tree, default=str).encode()


def csv_file(rows):
    stream = io.StringIO(newline="")
    for row in rows if isinstance(rows, list) else [rows]:
        csv.writer(stream).writerow(row if isinstance(row, list) else [row])
    return stream.getvalue().encode("utf-8", "replace")


def trees(tree, write):
    """Make mutants of a tree: most of them change it, some bend what is written."""

    def make(chance):
        mutant = tree
        for _ in range(chance.choice((1, 1, 2, 3))):
            mutant = changed(mutant, chance)
        data = write(mutant)
        return bent(data, chance) if chance.random() < 0.2 else data

    return make


FAR = ("A1048576", "XFD1", "XFD1048576", "AZ90000", "A0", "ZZZZ9", "A99999999999")
ODD_CELLS = ("", "<v>1e999</v>", "<v>x</v>", "<v>-5e9</v>", "<f>A1</f>", "<is><t>a</t></is>", "<v>\u2028</v>")


def workbooks(book):
    """Make mutants of a workbook: attributes, cells and texts of its parts exchanged, far cells, bent bytes."""
    with zipfile.ZipFile(io.BytesIO(book)) as parts:
        texts = {name: parts.read(name) for name in parts.namelist()}

    def make(chance):
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


def _bent_xml(data, chance):
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


def library_file(file):
    if file.suffix == ".toml":
        return trees(tomllib.loads(file.read_text(encoding="utf-8")), toml_file)
    return trees(list(csv.reader(file.open(encoding="utf-8", newline=""))), csv_file)


RATE = 1000
ODD_NUMBERS = (
    "", "0", "-1", "1", "7", "1e9", "1e-9", "-0", "nan", "inf", "99999999", "0.5", "x", "1,5", "\x1b[2J",
)  # fmt: skip


def _recorded(count=1):
    angle, effort, _ = repetitions(count, 0.4, 0.6, 0.1, rest=0.4, rate=RATE)
    return emg(effort, 5, RATE), angle


def recorded_table(count=1):
    """Return a recorded set of so many repetitions as the cells of a CSV file."""
    signal, angle = _recorded(count)
    numbers = zip(np.arange(len(angle)) / RATE, signal, angle, strict=True)
    return [["time_s", "side_mV", "arm_deg"], *([f"{cell:.5f}" for cell in row] for row in numbers)]


def recording_tables():
    """Make mutants of a recorded set as CSV: cells, whole columns, lines, the head, the marks between cells."""
    table = recorded_table()

    def make(chance):
        rows = list(table)
        for _ in range(chance.choice((1, 1, 2, 3))):
            _change_table(rows, chance)
        mark = "," if chance.random() < 0.8 else chance.choice((";", "\t", "|", " "))
        text = "\n".join(mark.join(row) for row in rows) + "\n"
        text = text.replace(".", ",") if mark == ";" and chance.random() < 0.5 else text
        data = text.encode("utf-8", "replace")
        return bent(data, chance) if chance.random() < 0.2 else data

    return make


def _change_table(rows, chance):
    way, start, column = chance.random(), chance.randrange(len(rows) or 1), chance.randrange(3)
    if not rows:
        rows.append(["1", "2", "3"])
    elif way < 0.3 or start == 0:
        odd = chance.choice((*TEXTS, *ODD_NUMBERS))
        rows[start] = [odd if place == column else cell for place, cell in enumerate(rows[start])]
    elif way < 0.7:  # from here on a column is all alike, backwards, faster or slower, or empty
        odd = chance.choice(("same", "back", "scaled", *ODD_NUMBERS))
        factor = chance.choice((0.0, 1e-9, 1e6, 1e300))
        cells = [row[column] if column < len(row) else "" for row in rows]
        new = {"same": [cells[start]] * len(cells), "back": cells[::-1]}.get(odd, [odd] * len(cells))
        for number, row in enumerate(rows[start:], start=start):
            cell = f"{number * factor:g}" if odd == "scaled" else new[number]
            rows[number] = [*row[:column], cell, *row[column + 1 :]]
    elif way < 0.85:
        end = min(len(rows), start + chance.choice((1, 5, 500)))
        rows[start:end] = chance.choice(([], rows[start:end] * 2, rows[start:end][::-1], [[]], [["# note"]]))
    else:
        rows[start:] = [row[:column] + row[column + 1 :] for row in rows[start:]]


FIXED_FIELDS = (8, 80, 80, 8, 8, 8, 44, 8, 8, 4)  # widths in bytes (EDF, 1992)
SIGNAL_FIELDS = (16, 80, 8, 8, 8, 8, 8, 80, 8, 32)


def signal_files(kind):
    """Make mutants of a recorded set as EDF or BDF: fields of its header exchanged, bytes bent."""
    import edfio

    file, signal = (edfio.Edf, edfio.EdfSignal) if kind == "edf" else (edfio.Bdf, edfio.BdfSignal)
    emg_mv, angle = _recorded()
    whole = len(angle) // RATE * RATE
    named = {"side_mV": (emg_mv, "mV"), "arm_deg": (angle, "deg")}
    both = named.items()
    signals = [signal(of[:whole], RATE, label=name, physical_dimension=unit) for name, (of, unit) in both]
    stream = io.BytesIO()
    file(signals, annotations=[edfio.EdfAnnotation(1.0, None, "lift")]).write(stream)
    data = stream.getvalue()
    count = int(data[252:256])
    widths = [*FIXED_FIELDS, *(width for width in SIGNAL_FIELDS for _ in range(count))]

    def make(chance):
        mutant = bytearray(data)
        for _ in range(chance.choice((1, 1, 2, 3))):
            place = chance.randrange(len(widths))
            start, width = sum(widths[:place]), widths[place]
            odd = chance.choice((*ODD_NUMBERS, *TEXTS, "EDF+D", "01.01.85", "\x00", "256", "2048"))
            number = chance.choice((odd, str(chance.randrange(-5, 3000))))
            mutant[start : start + width] = number.encode("latin-1", "replace")[:width].ljust(width)
        return bent(bytes(mutant), chance) if chance.random() < 0.3 else bytes(mutant)

    return make


def mutant(make, number):
    return make(random.Random(11 * 1_000_003 + number))
