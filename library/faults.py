"""How a reading error becomes a `Fault`: the key path, what was read, what would do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from library.errors import Fault, nearest

SHOWN_LENGTH = 60  # characters of a wrong value that are repeated to the person


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
    return Fault(
        file, where, f'unknown {what} "{word}"', f"Use a name that the library lists{nearest(word, known)}"
    )


def faults_of(error: ValidationError, file: Any, record: type[BaseModel], prefix: str = "") -> list[Fault]:
    """Turn every error of one pydantic reading into a fault; `prefix` is the key that holds the record."""
    start = (prefix,) if prefix else ()
    return [
        _fault(item, file, key_path((*start, *item["loc"])), record)
        for item in error.errors(include_url=False)
    ]


def _fault(item: Mapping[str, Any], file: Any, where: str, record: type[BaseModel]) -> Fault:
    last = str(item["loc"][-1]) if item["loc"] else ""
    if item["type"] == "missing":
        return Fault(file, where, "missing", "Add it")
    if item["type"] == "extra_forbidden":
        remedy = f"Remove it{nearest(last, record.model_fields)}"
        return Fault(file, where, f'unknown key "{last}"', remedy)
    return Fault(file, where, f"read {shown(item['input'])}", str(item["msg"]))
