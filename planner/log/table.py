"""A log as a coach hands it in, before anything is believed: lines of text cells, each with its place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from library.errors import Fault, FaultyInput, nearest
from planner.athlete.toml_text import refuse
from planner.athlete.words import as_written, listed
from planner.log.record import COLUMNS

NEEDED = ("date", "exercise", "set", "reps")
ALLOWED = (*COLUMNS, "athlete", "asked")  # asked: what the blank sheet prints beside the empty cells


@dataclass(frozen=True)
class Line:
    """One line of a log: its number in the file and the text of each column (stripped, "" where empty)."""

    number: int
    cells: Mapping[str, str]

    def text(self, column: str) -> str:
        """Return the cell of a column; empty if the file has no such column."""
        return self.cells.get(column, "")


@dataclass
class Sheet:
    """A file of logged sets. `faults` belong to a line (by number) or to the whole file (None)."""

    file: Path
    lines: list[Line]
    letters: Mapping[str, str] = field(default_factory=dict)  # workbook: column name → its letter
    faults: list[tuple[int | None, Fault]] = field(default_factory=list)

    def place(self, line: int, column: str = "") -> str:
        """Say where a cell or a line stands: "line 7, column reps", in a workbook "cell F7" or "row 7"."""
        if self.letters:
            return f"cell {self.letters[column]}{line}" if column in self.letters else f"row {line}"
        return f"line {line}, column {column}" if column else f"line {line}"

    def tell(self, line: int | None, where: str, read: str, remedy: str) -> None:
        """Add a fault of a line, or of the whole file (line None)."""
        self.faults.append((line, Fault(self.file, where, read, remedy)))


def column_names(file: Path, place: str, cells: Iterable[str]) -> list[str]:
    """Return the header's columns by their names here; trailing empty ones are dropped.

    Raises FaultyInput: unknown or repeated columns, or one missing that is needed.
    """
    names = ["_".join(cell.lower().split()) for cell in cells]
    while names and not names[-1]:
        names.pop()
    faults = [
        Fault(
            file, place, f"unknown column {as_written(name)}", f"Columns are {_all()}{nearest(name, ALLOWED)}"
        )
        for name in names
        if name not in ALLOWED
    ]
    missing = [name for name in NEEDED if name not in names]
    if missing:
        faults.append(Fault(file, place, f"no column {listed(missing)}", f"Columns are {_all()}"))
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        faults.append(Fault(file, place, f"column {as_written(twice)} stands twice", "Keep one of them"))
    if faults:
        raise FaultyInput(faults)
    return names


def _all() -> str:
    return f"{', '.join(COLUMNS)}; `planner log ATHLETE --blank FILE` writes a sheet that has them"


def no_lines(file: Path) -> FaultyInput:
    """Return the error of a file in which nothing stands."""
    return refuse(
        file, "", "nothing stands in it", "`planner log ATHLETE --blank FILE` writes a sheet to fill"
    )
