"""Whole numbers among the options, told in our words when they are none."""

from __future__ import annotations

import re
from collections.abc import Callable

from library.errors import Fault, FaultyInput


def whole_number(option: str, low: int | None = None, high: int | None = None) -> Callable[[str], int]:
    """Make the reader of an option that must be a whole number, from `low` to `high` where they are given.

    The reader raises FaultyInput.
    """
    needed = "a whole number"
    if low is not None:
        needed += f", {low} or more" if high is None else f" from {low} to {high}"

    def read(text: str) -> int:
        number = int(text) if re.fullmatch(r"[+-]?\d+", str(text).strip()) else None
        if number is None or (low is not None and number < low) or (high is not None and number > high):
            raise FaultyInput([Fault(option, "", f'"{text}"', f"Write {needed}, such as {option} 3")])
        return number

    return read
