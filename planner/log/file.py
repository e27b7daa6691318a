"""ATHLETE/log.csv, only ever added to; each wrong cell is named by line and column. A log repeats few texts (sixty
exercises, thirty loads): each distinct text of a column is parsed once. A later line for the same set replaces the
earlier one on reading. Writing: the whole file is made beside and renamed."""

import io
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput, as_written, refuse
from library.files import is_there, read_bytes, read_text
from library.method import FOLDER, LOG
from library.tables import csv_text, cut_line
from planner.athlete.writing import athlete_lock, write_safely
from planner.log.record import COLUMNS, PARSERS, TELLS, WORDS, CellFault, Identity, LoggedSet, to_cells

LOG_FILE = "log.csv"
LOG_IS = "the log as the planner wrote it"
PIECE = 50_000  # lines made into sets at a time
PIECE_BYTES = 4_000_000  # of a long log parsed at a time
LONG_LOG_BYTES = 1_000_000  # 15,000 sets: about where both ways take as long
HEADER = ",".join(COLUMNS)
PUT_BACK = "put back the line as it was, or take the file out and take it in again with `planner log`"


Codes = Mapping[str, Any]  # column → array of places (int)


@dataclass(frozen=True)
class LogFrame:
    """Columns of log.csv in file order, replaced lines too. `codes`: column → array of places (int); `values`: column
    → the distinct values that the places stand for."""

    codes: Codes
    values: Mapping[str, list[Any]]

    def __len__(self) -> int:
        """Count the lines below the header."""
        return len(self.codes["date"])

    def numbers(self, column: str) -> Any:
        """Return a column of numbers as floats; nothing written becomes NaN."""
        import numpy as np

        return np.array(self.values[column], dtype=float)[self.codes[column]]

    def lines(self, places: Any) -> list[LoggedSet]:
        """Return the lines at some places as sets, made piece by piece: a long log takes no more than its sets."""
        import numpy as np

        texts = [np.array([*self.values[name], None], dtype=object) for name in COLUMNS]
        rows: list[LoggedSet] = []
        for start in range(0, len(places), PIECE):
            piece = places[start : start + PIECE]
            columns = [values[self.codes[name][piece]] for name, values in zip(COLUMNS, texts, strict=True)]
            rows += map(LoggedSet._make, zip(*columns, strict=True))
        return rows

    def days(self) -> Any:
        """Return the dates as an array of days."""
        import numpy as np

        return np.array(self.values["date"], dtype="datetime64[D]")[self.codes["date"]]

    def deciding(self, painful: float) -> Any:
        """Say of each line whether a load or pain may depend on it: the last year, the last lines of each exercise in
        each gym, and whatever tells of more pain than `painful` or clears it."""
        import numpy as np

        days = self.days()
        keep = days > days.max() - np.timedelta64(LOG.deciding_days, "D")
        keep |= np.nan_to_num(self.numbers("pain")) > painful
        for name in ("kind", "next_morning"):
            keep |= np.array([bool(text) for text in self.values[name]])[self.codes[name]]
        keep |= np.array([any(of.search(text) for of in TELLS.values()) for text in self.values["note"]])[
            self.codes["note"]
        ]
        place = self.codes["exercise"].astype("int64") * len(self.values["gym"]) + self.codes["gym"]
        order = np.lexsort((days, place))
        ends = np.flatnonzero(np.diff(place[order], append=-1))
        lines_after = np.repeat(ends, np.diff(ends, prepend=-1)) - np.arange(len(order))
        keep[order[lines_after < LOG.deciding_lines]] = True
        return keep

    def standing(self) -> Any:
        """Return the places of the lines that count, the last one of each set, in file order."""
        import numpy as np

        identity = np.zeros(len(self), dtype="int64")
        for name in COLUMNS[:4]:
            same: dict[Any, int] = {}  # two texts may mean one value: 1 and 01
            place = np.array([same.setdefault(value, len(same)) for value in self.values[name]], dtype=int)
            identity = identity * len(place) + place[self.codes[name]]
        _, first_from_the_end = np.unique(identity[::-1], return_index=True)
        return np.sort(len(self) - 1 - first_from_the_end)

    def by_day(self, keep: Any = None) -> list[LoggedSet]:
        """Return the line that counts for each set, oldest day first, file order inside a day. `keep`: for each line
        whether it is wanted; None: all are."""
        import numpy as np

        places = self.standing()
        if keep is not None:
            places = places[keep[places]]
        return self.lines(places[np.argsort(self.days()[places], kind="stable")])

    def noted(self) -> list[LoggedSet]:
        """Return every line that has a note, by day."""
        import numpy as np

        return self.by_day(np.array([bool(note) for note in self.values["note"]])[self.codes["note"]])

    def about(self, exercises: Iterable[str]) -> list[LoggedSet]:
        """Return the lines of some exercises, in file order."""
        import numpy as np

        wanted = set(exercises)
        places = [place for place, name in enumerate(self.values["exercise"]) if name in wanted]
        return self.lines(np.flatnonzero(np.isin(self.codes["exercise"], places)))


def read_log(folder: Path) -> tuple[LoggedSet, ...]:
    """Read the log, oldest day first, file order inside a day. Raises FaultyInput naming line and column."""
    if (frame := _long_log(folder)) is not None:
        return tuple(frame.by_day())
    rows = by_identity(read_lines(folder)).values()
    return tuple(sorted(rows, key=lambda row: row.date))


def deciding_log(folder: Path, painful: float) -> tuple[LoggedSet, ...]:
    """Read of a long log what may decide a load, or tells of more pain than `painful` (0-10), else all; in the same
    order. Raises FaultyInput."""
    frame = _long_log(folder)
    return read_log(folder) if frame is None else tuple(frame.by_day(frame.deciding(painful)))


def lines_about(folder: Path, exercises: Iterable[str]) -> list[LoggedSet]:
    """Return the lines of some exercises, or of more, in file order and replaced ones too. Raises FaultyInput."""
    frame = _long_log(folder)
    return read_lines(folder) if frame is None else frame.about(exercises)


def _long_log(folder: Path) -> LogFrame | None:
    """Read a long log by its columns; a short one is read line by line: the parser of columns takes longer to start."""
    file = folder / LOG_FILE
    return read_frame(folder) if file.is_file() and file.stat().st_size > LONG_LOG_BYTES else None


def by_identity(rows: Iterable[LoggedSet]) -> dict[Identity, LoggedSet]:
    """Return the line that counts for each set: the last one."""
    lines: dict[Identity, LoggedSet] = {}
    for row in rows:
        lines.pop(row.identity, None)  # a replaced line counts from where its replacement stands
        lines[row.identity] = row
    return lines


def append_to_log(folder: Path, rows: Iterable[LoggedSet]) -> None:
    """Add lines to the log; on return they are on the disk. Raises FaultyInput if it cannot be written."""
    added = csv_text(map(to_cells, rows))
    if not added:
        return
    file = folder / LOG_FILE
    with athlete_lock(folder):
        start = f"{HEADER}\n".encode()
        present = read_bytes(file, LOG_IS, LOG.log_bytes_most, link=False) if is_there(file) else start
        write_safely(file, present + (b"" if present.endswith(b"\n") else b"\n") + added.encode())


def read_frame(folder: Path) -> LogFrame | None:
    """Read ATHLETE/log.csv; None for an empty log. Raises FaultyInput with the wrong lines and cells."""
    file = folder / LOG_FILE
    if not is_there(file):
        return None
    data = read_bytes(file, LOG_IS, LOG.log_bytes_most, link=False)
    frame = None
    if len(data) > LONG_LOG_BYTES:
        # not as the planner writes it: the line reader says what is wrong, or reads it all the same
        with suppress(ValueError, LookupError, CellFault):
            frame = _parsed(data)
    frame = frame or _coded(read_lines(folder))
    return frame if len(frame) else None


def _parsed(data: bytes) -> LogFrame:
    """Parse the log piece by piece: it takes little more memory than its codes."""
    import numpy as np
    import pandas

    if not data.startswith(f"{HEADER}\n".encode()):
        raise ValueError("another header")
    known: dict[str, dict[str, int]] = {name: {} for name in COLUMNS}
    parts: dict[str, list[Any]] = {name: [np.zeros(0, dtype="int32")] for name in COLUMNS}
    reading = {"header": None, "names": COLUMNS, "index_col": False, "dtype": "category"}
    start = len(HEADER) + 1
    while start < len(data):
        piece = data[start : data.find(b"\n", start + PIECE_BYTES) + 1 or len(data)]
        start += len(piece)
        # a parser error of pandas is a ValueError
        table = pandas.read_csv(io.BytesIO(piece), na_filter=False, skip_blank_lines=False, **reading)
        texts = {name: list(table[name].cat.categories) for name in COLUMNS}
        codes = {name: table[name].cat.codes.to_numpy() for name in COLUMNS}
        _refuse_other_writing(piece, codes, texts, len(table))
        for name, column in known.items():
            places = [column.setdefault(text, len(column)) for text in texts[name]]
            parts[name].append(np.array(places, dtype="int32")[codes[name]])
    values = {name: [PARSERS[name](text) for text in column] for name, column in known.items()}
    return LogFrame({name: np.concatenate(part) for name, part in parts.items()}, values)


def _refuse_other_writing(data: bytes, codes: Codes, texts: Mapping[str, list[str]], lines: int) -> None:
    """Make sure that nothing passed which the line reader would read otherwise, or refuse. The parser of pandas fills
    lines that are too short with empty cells and lets stray quotes pass."""
    import numpy as np

    commas = (len(COLUMNS) - 1) * lines
    for name in WORDS:
        times = np.bincount(codes[name], minlength=len(texts[name])).tolist()
        commas += sum(count * text.count(",") for text, count in zip(texts[name], times, strict=True))
    if data.count(b",") != commas:
        raise ValueError("short lines")
    if b'"' not in data:
        return
    for place, line in enumerate(data.decode().split("\n")):
        if '"' in line and cut_line(line) != [texts[name][codes[name][place]] for name in COLUMNS]:
            raise ValueError("stray quotes")


def _coded(rows: list[LoggedSet]) -> LogFrame:
    """Code lines that were read one by one."""
    import numpy as np

    codes, values = {}, {}
    for name, column in zip(COLUMNS, zip(*rows, strict=True) if rows else [()] * len(COLUMNS), strict=True):
        places: dict[Any, int] = {}
        codes[name] = np.array([places.setdefault(cell, len(places)) for cell in column], dtype=np.int64)
        values[name] = list(places)
    return LogFrame(codes, values)


def read_lines(folder: Path) -> list[LoggedSet]:
    """Read ATHLETE/log.csv, replaced lines too; no file is an empty log. Raises FaultyInput with the wrong lines and
    cells."""
    file = folder / LOG_FILE
    if not is_there(file):
        return []
    text = read_text(file, LOG_IS, LOG.log_bytes_most, link=False)
    head, _, body = text.replace("\r\n", "\n").partition("\n")
    if head != HEADER:
        remedy = f"The first line must be {HEADER}. {PUT_BACK.capitalize()}"
        raise refuse(file, "line 1", f"read {as_written(head)}", remedy)
    known: dict[str, dict[str, Any]] = {name: {} for name in COLUMNS}
    faults: list[Fault] = []
    rows = []
    for number, line in enumerate(body.removesuffix("\n").split("\n") if body else (), start=2):
        cells = cut_line(line)
        if cells is None or len(cells) != len(COLUMNS):
            read = "a quote is not closed" if cells is None else f"{len(cells)} cells of {len(COLUMNS)}"
            faults.append(Fault(file, f"line {number}", read, PUT_BACK.capitalize()))
            continue
        values: list[Any] = []
        for name, cell in zip(COLUMNS, cells, strict=True):
            if cell not in known[name]:
                try:
                    known[name][cell] = PARSERS[name](cell)
                except CellFault as fault:
                    where, remedy = f"line {number}, column {name}", f"{fault.remedy}, or {PUT_BACK}"
                    faults.append(Fault(file, where, fault.read, remedy))
            values.append(known[name].get(cell))
        rows.append(LoggedSet(*values))
        if len(faults) > FOLDER.faults_shown:
            break
    if faults:
        raise FaultyInput(faults)
    return rows
