"""Reading one recording by its kind of file: CSV, EDF, EDF+ and BDF (edfio). CSV: comma, semicolon or tab, decimal
comma, byte order mark, lines before the header, one time column, several, or none with a stated rate."""

import csv
import re
import warnings
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from library.errors import FaultyInput, nearest, refuse
from planner.emg.session import Card, Session
from planner.emg.signals import Channel, Mark, Recording, Samples, timed_channel
from planner.method import QualitySettings

TEXT = (".csv", ".txt", ".tsv")
KINDS = (*TEXT, ".edf", ".bdf")
SIGNAL_FIELDS_BEFORE_SAMPLES = 216  # bytes a signal in the header before its number of samples (EDF, 1992)
FIXED_HEADER = 256  # bytes of the header before the signals' fields
SAMPLE_BYTES = {".edf": 2, ".bdf": 3}
TIME = re.compile(r"^(time|t|zeit)([ _\[(]|$)|^x ?\[m?s\]$", re.IGNORECASE)
MILLISECONDS = re.compile(r"[_ (\[]ms[)\]]?$", re.IGNORECASE)
UNIT = re.compile(r"[ _]?[\[(]([^\])]+)[\])]$|_([num]?V|µV|g|deg|mm|s|ms|adc)$")
NUMBER = re.compile(r"^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$|^[+-]?nan$", re.IGNORECASE)
HEAD_LINES, HEAD_BYTES = 200, 1_000_000  # that may stand before the numbers begin


def read_recording(folder: Path, name: str, session: Session, limits: QualitySettings) -> Recording:
    """Read FOLDER/NAME. Raises FaultyInput where it is missing, elsewhere, of an unknown kind, too long, empty or broken."""
    file = folder / name
    try:
        inside = file.resolve().is_relative_to(folder.resolve())
    except (OSError, ValueError):  # a name with a null byte, a link in a circle
        inside = False
    if not inside:
        remedy = "Put it beside session.toml, the file itself"
        raise refuse(file, "", "lies outside the session's folder", remedy)
    if not file.is_file():
        there = sorted(path.name for path in folder.iterdir() if path.suffix.lower() in KINDS)
        remedy = f"Put it there or mend the name{nearest(name, there)}"
        raise refuse(file, "", "there is no such file", remedy)
    if (size := file.stat().st_size) > limits.largest_recording_bytes:
        read = f"{size} bytes; at most {limits.largest_recording_bytes} are read"
        raise refuse(file, "", read, "Export each part as a file of its own")
    kind = file.suffix.lower()
    if kind in SAMPLE_BYTES:
        return read_edf(file, session.labels)
    if kind not in TEXT:
        raise refuse(file, "", f'is of the unknown kind "{kind}"', f"Export it as one of {', '.join(KINDS)}")
    rates = {sensor.channel: sensor.rate_hz for sensor in session.sensor if sensor.rate_hz}
    return read_csv(file, limits, session.session, rates, session.labels)


def read_edf(file: Path, labels: Collection[str] | None = None) -> Recording:
    """Read one EDF, EDF+ or BDF file. Raises FaultyInput where it is empty, truncated, broken or has gaps. Of
    channels not among `labels` (None: all count) no samples are kept: they read as no numbers and take no memory."""
    import edfio

    _refuse_truncated(file)
    reader: Any = edfio.read_bdf if file.suffix.lower() == ".bdf" else edfio.read_edf
    channels: dict[str, Channel] = {}
    try:
        with warnings.catch_warnings(action="ignore"):
            read = reader(file, header_encoding="latin-1")
            for number, signal in enumerate(read.signals):
                label = signal.label if signal.label not in channels else f"{signal.label} ({number + 1})"
                low, high = sorted((float(signal.physical_min), float(signal.physical_max)))
                rate, unit = float(signal.sampling_frequency), signal.physical_dimension
                if not 0 < rate < np.inf:
                    raise ValueError(f'rate of "{label}": {rate:g} Hz')
                wanted = labels is None or label in labels
                count = round(rate * read.num_data_records * read.data_record_duration)
                values = signal.data if wanted else np.broadcast_to(np.nan, count)
                channels[label] = Channel(label, rate, values, unit, ends=(low, high))
            marks = tuple(Mark(a.onset, a.duration or 0.0, a.text) for a in read.annotations)
            whole = read.is_continuous
    except Exception as error:  # whatever a broken header makes the library meet
        words = f"cannot be read ({error or type(error).__name__})"
        raise refuse(file, "", words, "Export it again as EDF+ (continuous)") from None
    if not whole:
        remedy = "Export it again as one continuous recording (EDF+C)"
        raise refuse(file, "", "has pauses between its records (EDF+D)", remedy)
    return Recording(str(file), channels, marks)


def _refuse_truncated(file: Path) -> None:
    """Compare the file's length with what its header promises."""
    size = file.stat().st_size
    with file.open("rb") as stream:
        header = stream.read(FIXED_HEADER)
        try:
            signals, start = int(header[252:256]), int(header[184:192])
            records, seconds = int(header[236:244]), float(header[244:252])
            stream.seek(FIXED_HEADER + signals * SIGNAL_FIELDS_BEFORE_SAMPLES)
            samples = sum(int(stream.read(8)) for _ in range(signals))
        except (ValueError, OSError, OverflowError):  # OSError: a count below zero leads before the file
            read = "is empty" if size == 0 else "is no EDF or BDF file, or its header is cut"
            raise refuse(file, "", read, "Record or export it again") from None
    record_bytes = samples * SAMPLE_BYTES[file.suffix.lower()]
    whole = max((size - start) // record_bytes if record_bytes else 0, 0)
    if records == 0 or whole < records:
        read = f"is truncated: {records} records promised, {whole} whole ones found"
        remedy = "Copy or export it again; what is there cannot be trusted to be the set"
        raise refuse(file, f"all channels, second {whole * seconds:.1f}", read, remedy)


class Layout(NamedTuple):
    """How a CSV file is written."""

    encoding: str
    delimiter: str
    decimal: str
    names: list[str]
    first_line: int  # of numbers, counted from 0


def read_csv(
    file: Path, limits: QualitySettings, card: Card, rates_hz: Mapping[str, float] | None = None,
    labels: Collection[str] | None = None,
) -> Recording:  # fmt: skip
    """Read one CSV file as `card` says; `rates_hz` by column for files whose columns differ. Each column is timed by
    the time column before it, so that sensors with clocks of their own keep them. Raises FaultyInput where it is no
    table of numbers, or nothing tells the time; a column not among `labels` (None: all count) is empty then."""
    layout = _layout(file, card.delimiter)
    columns, stated = _columns(file, layout), card.time_column
    timing = re.compile(re.escape(stated) + "$") if stated is not None else TIME
    times = [number for number, name in enumerate(layout.names) if timing.match(name)]
    if stated is not None and not times:
        remedy = f"Name one of its columns ({', '.join(layout.names)})"
        raise refuse(file, f'column "{stated}"', "there is no such column", remedy)
    rates = {name: (rates_hz or {}).get(name, card.rate_hz) for name in layout.names}
    if not times and not any(rates.values()):
        remedy = "State rate_hz in [session] or [[sensor]], or name the time column (time_column)"
        raise refuse(file, "", "has no time column and no rate is stated", remedy)
    channels: dict[str, Channel] = {}
    for number, name in enumerate(layout.names):
        before = [place for place in times if place < number] or times
        if number in times or not (before or rates[name]):
            continue  # a time, or no sensor and nothing says how fast it was sampled
        label, unit = name if name not in channels else f"{name} ({number + 1})", UNIT.search(name)
        try:
            time = _numbers(file, layout, columns, before[-1]) if before else None
            values = _numbers(file, layout, columns, number)
            channel = Channel(label, rates[name] or 1.0, values, (unit[1] or unit[2]) if unit else "")
            channels[label] = timed_channel(file, channel, time, limits)
        except FaultyInput:
            if labels is None or label in labels:
                raise
            channels[label] = Channel(label, 1.0, np.empty(0))
    return Recording(str(file), channels)


def _columns(file: Path, layout: Layout) -> Any:
    """Return the table below the header, a pandas data frame with numbers for names."""
    import pandas as pd

    how: dict[str, Any] = {"sep": layout.delimiter, "decimal": layout.decimal, "skiprows": layout.first_line}
    how |= {"header": None, "index_col": False, "encoding": layout.encoding, "low_memory": False}
    try:
        return pd.read_csv(file, names=list(range(len(layout.names))), **how)
    except (pd.errors.ParserError, UnicodeDecodeError) as error:
        remedy = "Give every line the same number of columns"
        raise refuse(file, "", f"cannot be read ({error})", remedy) from None


def _layout(file: Path, stated: str | None) -> Layout:
    """Find the first line of numbers, and by what they are parted; loggers that write degree signs use latin-1."""
    with file.open("rb") as stream:
        start = stream.read(HEAD_BYTES)
    if b"\x00" in start:
        raise refuse(file, "", "is no text file", "Export it as CSV text or EDF")
    try:
        start[:-4].decode(encoding := "utf-8-sig")
    except UnicodeDecodeError:
        encoding = "latin-1"
    text = start.decode(encoding, "ignore").replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n", HEAD_LINES)[:HEAD_LINES]
    if not any(line.strip() for line in lines):
        raise refuse(file, "", "is empty", "Record or export it again")
    tried = [stated] if stated else [";", "\t", ","]
    for delimiter in tried:
        for number, line in enumerate(lines):
            lone = NUMBER.match(line.strip()) and "," not in line  # one number, nothing that could part two
            cells = _cells(line, delimiter) if lone or delimiter in line else []
            if _numeric(cells) and (len(cells) > 1 or lone):
                commas = delimiter != "," and any("," in line for line in lines[number:])
                above = lines[number - 1] if number else "#"
                header = [] if above.startswith("#") else _cells(above, delimiter)
                named = len(header) == len(cells) and not _numeric(header)
                names = header if named else [f"column {n + 1}" for n in range(len(cells))]
                return Layout(encoding, delimiter, "," if commas else ".", names, number)
    first = next(line for line in lines if line.strip())[:60]
    read = f'has no line of numbers separated by {" or ".join(repr(d) for d in tried)}; it begins "{first}"'
    remedy = "Save it with commas or semicolons between columns, or state delimiter in [session]"
    raise refuse(file, "line 1", read, remedy)


def _cells(line: str, delimiter: str) -> list[str]:
    return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter), [])]


def _numeric(cells: list[str]) -> bool:
    return any(cells) and all(NUMBER.match(cell) or not cell for cell in cells)


def _numbers(file: Path, layout: Layout, columns: Any, number: int) -> Samples:
    """Return a column as float64, milliseconds as seconds; text among the numbers is refused with its line."""
    import pandas as pd

    column = columns[number]
    if not pd.api.types.is_numeric_dtype(column):  # text is of another type from pandas 3 on
        text = column.astype(str).str.strip()
        read = pd.to_numeric(text.str.replace(layout.decimal, "."), errors="coerce")
        wrong = read.isna() & column.notna() & ~text.isin(["", "nan", "NaN"])
        if wrong.any():
            row = int(wrong.to_numpy().argmax())
            where = f'line {layout.first_line + row + 1}, column "{layout.names[number]}"'
            raise refuse(file, where, f'read "{column.iloc[row]}"', "Write a number")
        column = read
    values: Samples = column.to_numpy(dtype="float64")
    return values / 1000.0 if MILLISECONDS.search(layout.names[number]) else values
