"""What one line of the training log holds, in memory and as text.

A line is one set, or one *clearance*: the coach's word that an exercise may come back after pain (kind
`cleared`, set 0). A later line for the same set replaces the earlier one on reading, because the file
itself is only added to.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal

from planner.document import week_name

COLUMNS = (
    "date",
    "session",
    "exercise",
    "set",
    "load",
    "load_unit",
    "reps",
    "rir",
    "pain",
    "where",
    "kind",
    "next_morning",
    "gym",
    "note",
)

KINDS = ("muscle", "joint", "sharp", "numb", "slips")
CLEARED = "cleared"
SETTLED, NOT_SETTLED = "settled", "not settled"

Identity = tuple[datetime.date, str, str, int]


@dataclass(frozen=True, slots=True)
class LoggedSet:
    """One set as it was done, or one clearance.

    `load` is in `load_unit` and means what the exercise's `load_is` says (each hand, total, stack); None:
    none was written, or the body alone. `reps` None: not written; 0: begun and stopped. `rir` repetitions
    in reserve. `pain` 0-10. `where` a joint region's key, other words of the client, or "". `kind` one of
    KINDS, CLEARED or "". `next_morning` SETTLED, NOT_SETTLED or "".
    """

    date: datetime.date
    session: str
    exercise: str
    set_number: int
    load: float | None = None
    load_unit: Literal["kg", "lb"] | None = None
    reps: int | None = None
    rir: float | None = None
    pain: float | None = None
    where: str = ""
    kind: str = ""
    next_morning: str = ""
    gym: str = ""
    note: str = ""

    @property
    def identity(self) -> Identity:
        """What makes two lines the same set."""
        return (self.date, self.session, self.exercise, self.set_number)

    @property
    def is_clearance(self) -> bool:
        """Whether the line is the coach's clearance and no set."""
        return self.kind == CLEARED

    @property
    def week(self) -> str:
        """The ISO week of the date, as "2026-W49"."""
        return week_name(self.date)


def clearance(exercise: str, date: datetime.date, note: str = "") -> LoggedSet:
    """Return the line by which the coach clears an exercise on a date."""
    return LoggedSet(date=date, session="", exercise=exercise, set_number=0, kind=CLEARED, note=note)


def to_cells(line: LoggedSet) -> list[str]:
    """Return the cells of a line in the order of COLUMNS; empty where nothing was written."""
    return [
        line.date.isoformat(),
        line.session,
        line.exercise,
        str(line.set_number),
        _number(line.load),
        line.load_unit or "",
        _number(line.reps),
        _number(line.rir),
        _number(line.pain),
        line.where,
        line.kind,
        line.next_morning,
        line.gym,
        line.note,
    ]


def _number(value: float | None) -> str:
    return "" if value is None else format(value, ".10g")
