"""The errors a person can cause or meet, one class a cause, one exit code a class of cause: 0 done · 2 a file or option
is wrong · 3 no week can satisfy what must hold · 4 the PDF could not be made · 1 a fault of ours. And how values and
places are written back to a person: short, quoted, no control characters."""

import datetime
import difflib
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

LINE_BYTES = 700  # of one fault, as it is printed: no file fills the screen of whoever hands it in
MESSAGE_BYTES = 1900  # of all faults together
PARTS = re.compile(r"[^\W_]+")  # the parts of a name: letters and digits between anything else
LONGEST = 60  # characters of a value that a message repeats
MOST_LISTED = 20  # names that a message lists: more are not read
BARE_KEY = re.compile(r"^[A-Za-z0-9_-]+$")


def visible(text: str) -> str:
    """Return `text` with what steers a terminal or breaks a line spelled out as escapes; right-to-left text stays."""
    return text if text.isprintable() else "".join(f"\\u{ord(c):04x}" if is_control(c) else c for c in text)


def is_control(character: str) -> bool:
    """Say whether a character steers a terminal, breaks a line or is half of one."""
    return unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp")


def cut(text: str, most: int) -> str:
    """Return `text` cut to `most` bytes of UTF-8."""
    data = text.encode()
    return text if len(data) <= most else f"{data[: most - 3].decode(errors='ignore')}…"


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
        return cut(visible(f"{place}: {self.read}. {self.remedy}"), LINE_BYTES)


class FaultyInput(PlannerError):
    """A file or an option is wrong; all the faults of the file are told at once (exit 2)."""

    exit_code = 2

    def __init__(self, faults: Iterable[Fault]) -> None:
        """Say as many faults as a screen holds, and the number of the others."""
        self.faults, lines, room = list(faults), [], MESSAGE_BYTES
        for number, fault in enumerate(self.faults):
            lines.append(str(fault))
            room -= len(lines[-1].encode()) + 1
            if room < 0:
                lines[-1] = f"{len(self.faults) - number} faults more: mend these first"
                break
        super().__init__("\n".join(lines))


class NoWeekPossible(PlannerError):
    """What must hold cannot hold together (exit 3); the message names the rules that clash."""

    exit_code = 3


class NotCleared(PlannerError):
    """An operation stands in the history without clearance by a doctor (exit 3)."""

    exit_code = 3


class PaperNotMade(PlannerError):
    """The PDF could not be made (exit 4); `html` is what the caller writes in its place."""

    exit_code = 4

    def __init__(self, message: str, html: str = "") -> None:
        super().__init__(message)
        self.html = html


class SolverFault(PlannerError):
    """The solver ended in a way that says nothing about the week: a fault of ours (exit 1)."""


class BrokenPlan(PlannerError):
    """The recheck found a plan that breaks a hard limit or misstates a number: a fault of ours (exit 1)."""


def nearest(word: str, known: Iterable[str], alike: float = 0.5) -> str:
    """Return `; did you mean "x"?` for the known word nearest to `word`, or an empty text if none is near. Of names
    made of several parts those that hold every part of `word` come first ("incline_y" is part of
    "incline_cable_y_raise"), the shortest of them before the others; else the letters decide, a share of `alike` of them."""
    names, wanted = list(known), PARTS.findall(word.lower())
    parts_of = {name: PARTS.findall(name.lower()) for name in names} if len(wanted) > 1 else {}
    holding = [n for n, parts in parts_of.items() if all(any(p.startswith(w) for p in parts) for w in wanted)]
    near = [min(holding, key=len)] if holding else difflib.get_close_matches(word, names, n=1, cutoff=alike)
    return f'; did you mean "{near[0]}"?' if near else ""


def refuse(file: Path | str, where: str, read: str, remedy: str) -> FaultyInput:
    """Return the error of a file with one fault."""
    return FaultyInput([Fault(file, where, read, remedy)])


def unknown(file: Any, where: str, what: str, word: str, known: Iterable[str]) -> Fault:
    """Make the fault for a name that nobody knows; `what` says what it should have named ("exercise")."""
    remedy = f"Use a name that the library lists{nearest(word, known)}"
    return Fault(file, where, f'unknown {what} "{word}"', remedy)


def shortened(text: str) -> str:
    """Return `text` cut to what a message can carry."""
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}… ({len(text)} characters)"


def as_written(value: object) -> str:
    """Return a value of a TOML file nearly as the coach wrote it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{visible(shortened(value))}"'
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, Mapping):
        return f"a table with {listed(value)}" if value else "an empty table"
    if isinstance(value, list | tuple):
        return "an empty list" if not value else f"a list of {len(value)}"
    try:
        return shortened(repr(value))
    except ValueError:  # Python writes no decimal number of more than 4300 digits
        return "a number of thousands of digits"


def listed(names: Iterable[str]) -> str:
    """Return names in quotes, with commas; a long list is cut."""
    every = list(names)
    shown = [f'"{visible(shortened(name))}"' for name in every[:MOST_LISTED]]
    return ", ".join(shown if len(every) <= MOST_LISTED else [*shown, f"… ({len(every)} in all)"])


def place(parts: Iterable[str | int]) -> str:
    """Return a key path as the coach sees it: `session[2].minutes`, lists counted from 1."""
    path = ""
    for part in parts:
        if isinstance(part, int):
            path += f"[{part + 1}]"
        else:
            key = part if BARE_KEY.match(part) and len(part) <= LONGEST else f'"{visible(shortened(part))}"'
            path += f".{key}" if path else key
    return path
