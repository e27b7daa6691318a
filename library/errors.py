"""The errors a person can cause or meet, each with the exit code that reaches the shell. The library knows nobody, so
the base classes stand here; `planner.errors` adds the planner's own."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

if TYPE_CHECKING:
    from pydantic import BaseModel, ValidationError

LINE_BYTES = 700  # of one fault, as it is printed: no file fills the screen of whoever hands it in
MESSAGE_BYTES = 1900  # of all faults together
PARTS = re.compile(r"[^\W_]+")  # the parts of a name: letters and digits between anything else
SHOWN_LENGTH = 60  # characters of a wrong value that are repeated to the person


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


def nearest(word: str, known: Iterable[str], alike: float = 0.5) -> str:
    """Return `; did you mean "x"?` for the known word nearest to `word`, or an empty text if none is near. Of names
    made of several parts those that hold every part of `word` come first ("incline_y" is part of
    "incline_cable_y_raise"), the shortest of them before the others; else the letters decide, a share of `alike` of them."""
    names, wanted = list(known), PARTS.findall(word.lower())
    parts_of = {name: PARTS.findall(name.lower()) for name in names} if len(wanted) > 1 else {}
    holding = [n for n, parts in parts_of.items() if all(any(p.startswith(w) for p in parts) for w in wanted)]
    near = [min(holding, key=len)] if holding else difflib.get_close_matches(word, names, n=1, cutoff=alike)
    return f'; did you mean "{near[0]}"?' if near else ""


def key_path(location: Iterable[int | str]) -> str:
    """Write a location as a person finds it in the file: ("reps", 0) becomes "reps[0]"."""
    path = ""
    for part in location:
        path += f"[{part}]" if isinstance(part, int) else f".{part}" if path else part
    return path


def shown(value: Any) -> str:
    """Return a wrong value as it is repeated to the person, cut where it is long."""
    text = repr(value)
    return text if len(text) <= SHOWN_LENGTH else f"{text[:SHOWN_LENGTH]}…"


def unknown(file: Any, where: str, what: str, word: str, known: Iterable[str]) -> Fault:
    """Make the fault for a name that nobody knows; `what` says what it should have named ("exercise")."""
    remedy = f"Use a name that the library lists{nearest(word, known)}"
    return Fault(file, where, f'unknown {what} "{word}"', remedy)


def faults_of(error: ValidationError, file: Any, record: type[BaseModel], prefix: str = "") -> list[Fault]:
    """Turn every error of one pydantic reading into a fault; `prefix` is the key that holds the record."""
    start, items = ((prefix,) if prefix else ()), error.errors(include_url=False)
    return [fault_of(item, file, key_path((*start, *item["loc"])), record) for item in items]


def fault_of(item: Mapping[str, Any], file: Any, where: str, record: type[BaseModel]) -> Fault:
    """Turn one error of a pydantic reading into a fault."""
    if item["type"] == "missing":
        return Fault(file, where, "missing", "Fill it in")
    if item["type"] == "extra_forbidden":
        last = str(item["loc"][-1])
        return Fault(file, where, f'unknown key "{last}"', f"Remove it{nearest(last, record.model_fields)}")
    return Fault(file, where, f"read {shown(item['input'])}", str(item["msg"]))
