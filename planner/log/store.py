"""The training log of an athlete: ATHLETE/log.csv, only ever added to.

Reading: a later line for the same set replaces the earlier one. Writing: the whole file is made beside,
flushed to the disk and renamed, under the athlete's lock; a kill at any moment leaves the old log or the
new one.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from planner.athlete.lock import athlete_lock
from planner.athlete.toml_text import refuse
from planner.athlete.writing import flush_folder, write_through
from planner.log.file import HEADER, LOG_FILE, read_lines
from planner.log.record import Identity, LoggedSet, to_cells


def read_log(folder: Path) -> tuple[LoggedSet, ...]:
    """Read the log, oldest day first, file order inside a day. Raises FaultyInput naming line and column."""
    rows = by_identity(read_lines(folder)).values()
    return tuple(sorted(rows, key=lambda row: row.date))


def by_identity(rows: Iterable[LoggedSet]) -> dict[Identity, LoggedSet]:
    """Return the line that counts for each set: the last one."""
    found: dict[Identity, LoggedSet] = {}
    for row in rows:
        found.pop(row.identity, None)  # a replaced line counts from where its replacement stands
        found[row.identity] = row
    return found


def append_to_log(folder: Path, rows: Iterable[LoggedSet]) -> None:
    """Add lines to the log; on return they are on the disk. Raises FaultyInput if it cannot be written."""
    added = _as_text(rows)
    if not added:
        return
    file = folder / LOG_FILE
    with athlete_lock(folder):
        try:
            present = file.read_bytes() if file.exists() else f"{HEADER}\n".encode()
            if not present.endswith(b"\n"):
                present += b"\n"
            _replace(file, present + added.encode())
        except OSError as fault:
            remedy = "Make the file and its folder writable; nothing was changed"
            raise refuse(file, "", f"cannot be written ({fault.strerror})", remedy) from None


def _as_text(rows: Iterable[LoggedSet]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(map(to_cells, rows))
    return text.getvalue()


def _replace(file: Path, content: bytes) -> None:
    """Write beside, flush, rename; what a killed run left beside is written over."""
    beside = file.with_name(f".{file.name}.new")
    write_through(beside, content)
    beside.replace(file)
    flush_folder(file.parent)
