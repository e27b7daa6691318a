"""The errors a person can cause or meet, each with the exit code that reaches the shell.

The library knows nobody, so the base classes stand here; `planner.errors` adds the planner's own.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar


class PlannerError(Exception):
    """Base of every error that is told to the user in words; anything else is a fault of ours (exit 1)."""

    exit_code: ClassVar[int] = 1


@dataclass(frozen=True)
class Fault:
    """One thing wrong in one file: where it stands, what was read there, what would do."""

    file: Path | str
    where: str  # key path ("session[2].minutes"), "line 7", "row 3, column mean", or ""
    read: str  # what was read, as the person wrote it
    remedy: str  # what would do, as an instruction

    def __str__(self) -> str:
        place = f"{self.file}: {self.where}" if self.where else f"{self.file}"
        return f"{place}: {self.read}. {self.remedy}"


class FaultyInput(PlannerError):
    """A file or an option is wrong; all the faults of the file are told at once (exit 2)."""

    exit_code = 2

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = list(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


def nearest(word: str, known: Iterable[str]) -> str:
    """Return `; did you mean "x"?` for the known word nearest to `word`, or an empty text if none is near."""
    found = difflib.get_close_matches(word, list(known), n=1, cutoff=0.5)
    return f'; did you mean "{found[0]}"?' if found else ""
