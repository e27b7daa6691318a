"""Reading CSV recordings: comma, semicolon or tab, decimal comma, byte order mark, lines before the header,
one time column, several, or none with a stated rate."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from library.errors import Fault, FaultyInput
from planner.emg.recording import Channel, Recording, Samples, timed_channel
from planner.emg.settings import QualitySettings

if TYPE_CHECKING:
    from pandas import DataFrame

TIME = re.compile(r"^(time|t|zeit)([ _\[(]|$)|^x ?\[m?s\]$", re.IGNORECASE)
MILLISECONDS = re.compile(r"[_ (\[]ms[)\]]?$", re.IGNORECASE)
UNIT = re.compile(r"[ _]?[\[(](?P<bracket>[^\])]+)[\])]$|_(?P<tail>[num]?V|µV|g|deg|mm|s|ms|adc)$")
NUMBER = re.compile(r"^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$|^[+-]?nan$", re.IGNORECASE)
HEAD_LINES = 200  # lines that may stand before the numbers begin


@dataclass(frozen=True)
class Layout:
    """How a file is written: its separator, decimal mark, column names and the line where numbers begin."""

    delimiter: str
    decimal: str
    names: tuple[str, ...]
    first_line: int  # counted from 0


def read_csv(
    file: Path,
    limits: QualitySettings,
    rate_hz: float | None = None,
    delimiter: str | None = None,
    time_column: str | None = None,
    rates_hz: Mapping[str, float] | None = None,
) -> Recording:
    """Read one CSV file. Raises FaultyInput.

    Where it has no time column, a column's rate is that of `rates_hz` by its name, else `rate_hz`. `limits` say which
    steps of time are uneven and which are gaps.
    """
    layout = _layout(file, _head(file), delimiter)
    frame = _frame(file, layout)
    stated = re.compile(re.escape(time_column) + "$") if time_column is not None else TIME
    times = [number for number, name in enumerate(layout.names) if stated.match(name)]
    if time_column is not None and not times:
        remedy = f"Name one of its columns ({', '.join(layout.names)})"
        raise FaultyInput([Fault(str(file), f'column "{time_column}"', "there is no such column", remedy)])
    rates = {name: (rates_hz or {}).get(name, rate_hz) for name in layout.names}
    if not times and not any(rates.values()):
        remedy = "State rate_hz in [session] or [[sensor]], or name the time column (time_column)"
        raise FaultyInput([Fault(str(file), "", "has no time column and no rate is stated", remedy)])
    channels: dict[str, Channel] = {}
    for number, name in enumerate(layout.names):
        before = [place for place in times if place < number] or times
        if number in times or not (before or rates[name]):
            continue  # a time, or no sensor and nothing says how fast it was sampled
        time = _seconds(file, layout, frame, before[-1]) if before else None
        label = name if name not in channels else f"{name} ({number + 1})"
        values = _numbers(file, layout, frame, number)
        place = (str(file), label)
        channels[label] = timed_channel(place, values, time, rates[name], _unit(name), limits)
    return Recording(str(file), channels)


def _head(file: Path) -> list[str]:
    """Return the first lines; an empty file and a file that is no text are refused."""
    try:
        with file.open(encoding=_encoding(file), newline=None) as stream:
            lines = [line.rstrip("\n") for _, line in zip(range(HEAD_LINES), stream, strict=False)]
    except UnicodeDecodeError as error:
        remedy = "Export it as CSV text"
        raise FaultyInput([Fault(str(file), f"byte {error.start}", "is no text file", remedy)]) from None
    if not any(line.strip() for line in lines):
        raise FaultyInput([Fault(str(file), "", "is empty", "Record or export it again")])
    return lines


def _encoding(file: Path) -> str:
    """Return utf-8-sig where the beginning decodes so, else latin-1 (loggers write degree signs)."""
    with file.open("rb") as stream:
        start = stream.read(65536)
    if b"\x00" in start:
        raise FaultyInput([Fault(str(file), "", "is no text file", "Export it as CSV text, EDF or C3D")])
    try:
        start[:-4].decode("utf-8-sig")
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8-sig"


def _layout(file: Path, lines: list[str], stated: str | None) -> Layout:
    tried = [stated] if stated else [";", "\t", ","]
    for delimiter in tried:
        for number, line in enumerate(lines):
            cells = _cells(line, delimiter)
            lone = NUMBER.match(line.strip()) and "," not in line  # one number, nothing that could part two
            if _numeric(cells) and (len(cells) > 1 or lone):
                return _written(lines, number, delimiter, len(cells))
    shown = next(line for line in lines if line.strip())[:60]
    read = f'has no line of numbers separated by {" or ".join(repr(d) for d in tried)}; it begins "{shown}"'
    remedy = "Save it with commas or semicolons between columns, or state delimiter in [session]"
    raise FaultyInput([Fault(str(file), "line 1", read, remedy)])


def _written(lines: list[str], number: int, delimiter: str, count: int) -> Layout:
    """Return the layout whose first line of numbers is known: decimal mark, and names from the line before."""
    later = [cell for line in lines[number:] for cell in _cells(line, delimiter)]
    decimal = "," if delimiter != "," and any("," in cell for cell in later) else "."
    header = _cells(lines[number - 1], delimiter) if number else []
    named = len(header) == count and not _numeric(header) and not lines[number - 1].startswith("#")
    names = tuple(header) if named else tuple(f"column {n + 1}" for n in range(count))
    return Layout(delimiter, decimal, names, number)


def _cells(line: str, delimiter: str) -> list[str]:
    return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter), [])]


def _numeric(cells: list[str]) -> bool:
    return any(cells) and all(NUMBER.match(cell) or not cell for cell in cells)


def _frame(file: Path, layout: Layout) -> DataFrame:
    import pandas as pd

    try:
        return pd.read_csv(
            file,
            sep=layout.delimiter,
            decimal=layout.decimal,
            header=None,
            names=list(range(len(layout.names))),
            skiprows=layout.first_line,
            encoding=_encoding(file),
            skip_blank_lines=True,
            low_memory=False,
            index_col=False,
            on_bad_lines="error",
        )
    except (pd.errors.ParserError, UnicodeDecodeError) as error:
        remedy = "Give every line the same number of columns"
        raise FaultyInput([Fault(str(file), "", f"cannot be read ({error})", remedy)]) from None


def _seconds(file: Path, layout: Layout, frame: DataFrame, number: int) -> Samples:
    values = _numbers(file, layout, frame, number)
    return values / 1000.0 if MILLISECONDS.search(layout.names[number]) else values


def _numbers(file: Path, layout: Layout, frame: DataFrame, number: int) -> Samples:
    """Return a column as float64; text among the numbers is refused with its line."""
    import pandas as pd

    column = frame[number]
    if column.dtype == object:
        read = pd.to_numeric(column.astype(str).str.replace(layout.decimal, "."), errors="coerce")
        wrong = read.isna() & column.notna() & ~column.astype(str).str.strip().isin(["", "nan", "NaN"])
        if wrong.any():
            row = int(wrong.to_numpy().argmax())
            where = f'line {layout.first_line + row + 1}, column "{layout.names[number]}"'
            fault = Fault(str(file), where, f'read "{column.iloc[row]}"', "Write a number")
            raise FaultyInput([fault])
        column = read
    values: Samples = column.to_numpy(dtype="float64")
    return values


def _unit(name: str) -> str:
    match = UNIT.search(name)
    return (match["bracket"] or match["tail"] or "") if match else ""
