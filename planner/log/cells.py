"""What one cell of a log may hold: text into values, the same rules for a coach's sheet and for log.csv.

Each parser takes the cell's text and raises `CellFault` with what was read and what would do.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Literal

from library.errors import nearest
from planner.athlete.words import as_written, visible
from planner.log.record import CLEARED, KINDS, NOT_SETTLED, SETTLED
from planner.method import LOG

NUMBER = re.compile(r"^-?\d+(?:[.,]\d+)?$", re.ASCII)
LOAD = re.compile(r"^(?P<number>[^\s]*\d)\s*(?P<unit>kg|lbs?)?\.?$", re.IGNORECASE | re.ASCII)
THOUSANDS = re.compile(r",\d{3}$")
YES, NO = ("settled", "yes", "y"), ("not settled", "not_settled", "no", "n")
NOTE_LENGTH = 500  # characters


@dataclass(eq=False)
class CellFault(Exception):
    """What was read in a cell, and what would do."""

    read: str
    remedy: str


def refuse_cell(text: str, remedy: str) -> CellFault:
    """Make the fault of a cell that holds `text`."""
    return CellFault(f"read {as_written(text)}", remedy)


def iso_date(text: str) -> datetime.date:
    """Read 2026-11-30."""
    try:
        if len(text) == 10:
            return datetime.date.fromisoformat(text)
    except ValueError:
        pass
    raise refuse_cell(text, "Write year, month and day such as 2026-11-30")


def number(text: str, what: str, most: float) -> float | None:
    """Read a number from 0 to `most`, with a point or a comma; None where nothing is written."""
    if not text:
        return None
    if not NUMBER.match(text) or THOUSANDS.search(text):
        unclear = "; 1,234 could be a thousand: write 1.234 or 1234" if THOUSANDS.search(text) else ""
        raise refuse_cell(text, f"Write {what} as a number such as 8{unclear}")
    value = float(text.replace(",", "."))
    if not 0 <= value <= most:
        raise refuse_cell(text, f"Write {what} from 0 to {most:g}")
    return value


def whole(text: str, what: str, most: int) -> int | None:
    """Read a whole number from 0 to `most`; None where nothing is written."""
    value = number(text, what, most)
    if value is not None and value != int(value):
        raise refuse_cell(text, f"Write {what} as a whole number")
    return None if value is None else int(value)


def repetitions(text: str) -> int | None:
    """Read repetitions; 0: begun and stopped."""
    return whole(text, "the repetitions", LOG.reps_most)


def in_reserve(text: str) -> float | None:
    """Read repetitions in reserve."""
    return number(text, "the repetitions in reserve", LOG.rir_most)


def pain(text: str) -> float | None:
    """Read pain, 0-10."""
    return number(text, "pain", LOG.pain_most)


def set_number(text: str) -> int:
    """Read the number of the set; 0 is kept for clearances."""
    value = whole(text, "the number of the set", LOG.sets_most)
    if value is None:
        raise CellFault("empty", "Write the number of the set: 1, 2, 3 …")
    return value


def load(text: str) -> tuple[float | None, Literal["kg", "lb"] | None]:
    """Read a load and the unit that may stand beside it ("12.5 kg"); None for what is not written."""
    if not text:
        return None, None
    found = LOAD.match(text)
    if found is None:
        raise refuse_cell(text, "Write the load as a number such as 12.5")
    value = number(found["number"], "the load", LOG.load_most)
    return value, unit(found["unit"] or "")


def unit(text: str) -> Literal["kg", "lb"] | None:
    """Read kg or lb; None where nothing is written."""
    known: dict[str, Literal["kg", "lb"] | None] = {"": None, "kg": "kg", "lb": "lb", "lbs": "lb"}
    if text.lower() not in known:
        raise refuse_cell(text, "Write kg or lb")
    return known[text.lower()]


def kind(text: str) -> str:
    """Read the kind of pain."""
    word = text.lower()
    if word and word != CLEARED and word not in KINDS:
        raise refuse_cell(text, f"Write one of {', '.join(KINDS)}{nearest(word, KINDS)}")
    return word


def next_morning(text: str) -> str:
    """Read whether the pain had settled the next morning."""
    word = text.lower()
    if word and word not in (*YES, *NO):
        raise refuse_cell(text, f'Write "{SETTLED}" or "{NOT_SETTLED}"')
    return "" if not word else SETTLED if word in YES else NOT_SETTLED


def note(text: str) -> str:
    """Read free words, on one line."""
    if len(text) > NOTE_LENGTH:
        raise refuse_cell(text, f"Keep it to {NOTE_LENGTH} characters")
    return visible(text)
