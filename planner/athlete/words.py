"""How a value or a place in a file is written back to the coach: short, quoted, no control characters."""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Iterable, Mapping

LONGEST = 60  # characters of a value that a message repeats
MOST_LISTED = 20  # names that a message lists: more are not read
BARE_KEY = re.compile(r"^[A-Za-z0-9_-]+$")
LINE_ENDS = {"Zl", "Zp"}


def is_control(character: str) -> bool:
    """Say whether a character steers a terminal or breaks a line; right-to-left text does neither."""
    category = unicodedata.category(character)
    return category == "Cc" or category in LINE_ENDS


def visible(text: str) -> str:
    """Return `text` with control characters spelled out as escapes."""
    return "".join(f"\\u{ord(c):04x}" if is_control(c) else c for c in text)


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
        return _table(value)
    if isinstance(value, list | tuple):
        return "an empty list" if not value else f"a list of {len(value)}"
    return _number(value)


def _number(value: object) -> str:
    try:
        return shortened(repr(value))
    except ValueError:  # Python writes no decimal number of more than 4300 digits
        return "a number of thousands of digits"


def _table(value: Mapping[str, object]) -> str:
    return f"a table with {listed(value)}" if value else "an empty table"


def listed(names: Iterable[str]) -> str:
    """Return names in quotes, with commas; a long list is cut."""
    shown = [f'"{visible(shortened(name))}"' for name in names]
    return ", ".join(
        shown if len(shown) <= MOST_LISTED else [*shown[:MOST_LISTED], f"… ({len(shown)} in all)"]
    )


def place(parts: Iterable[str | int]) -> str:
    """Return a key path as the coach sees it: `session[2].minutes`, lists counted from 1."""
    path = ""
    for part in parts:
        if isinstance(part, int):
            path += f"[{part + 1}]"
        else:
            key = part if BARE_KEY.match(part) else f'"{visible(shortened(part))}"'
            path += f".{key}" if path else key
    return path
