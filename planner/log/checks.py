"""From a line of text to a logged set: every cell read, every name known, every fault of the line told."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeVar

from library.errors import nearest
from planner.athlete.words import listed, visible
from planner.log import cells as log_cells
from planner.log.cells import CellFault, refuse_cell
from planner.log.context import LogContext, session_of
from planner.log.dates import DateOrder
from planner.log.record import CLEARED, LoggedSet, clearance
from planner.log.table import Line, Sheet
from planner.method import LOG

Value = TypeVar("Value")
# a line of the blank sheet on which nothing of these was filled in is a set that was not done
FILLED_IN = ("load", "reps", "rir", "pain", "where", "kind", "next_morning", "note")


def is_empty(line: Line) -> bool:
    """Whether nothing was filled in: the set was planned and not done."""
    return not any(line.text(column) for column in FILLED_IN)


@dataclass
class Reader:
    """Reads one line; what is wrong goes to the sheet's faults and leaves `failed` set."""

    sheet: Sheet
    line: Line
    failed: bool = False

    def read(self, column: str, parser: Callable[[str], Value]) -> Value | None:
        """Parse one cell; None if it is wrong."""
        try:
            return parser(self.line.text(column))
        except CellFault as fault:
            self.tell(column, fault)
            return None

    def tell(self, column: str, fault: CellFault) -> None:
        """Add a fault of one cell."""
        self.failed = True
        self.sheet.tell(
            self.line.number, self.sheet.place(self.line.number, column), fault.read, fault.remedy
        )


def logged_set(sheet: Sheet, line: Line, order: DateOrder, context: LogContext) -> LoggedSet | None:
    """Read one line; None if something is wrong with it, which the sheet's faults then tell."""
    reader = Reader(sheet, line)
    date = reader.read("date", lambda text: _date(text, order, context.today))
    exercise = reader.read("exercise", lambda text: _exercise(text, context, hint=_is_shown(sheet)))
    if line.text("kind").lower() == CLEARED:
        note = reader.read("note", log_cells.note)
        return None if date is None or exercise is None else clearance(exercise, date, note or "")
    load, beside = reader.read("load", log_cells.load) or (None, None)
    written = reader.read("load_unit", log_cells.unit)
    number = reader.read("set", _set_number)
    reps = reader.read("reps", log_cells.repetitions)
    rir = reader.read("rir", log_cells.in_reserve)
    pain = reader.read("pain", log_cells.pain)
    kind = reader.read("kind", log_cells.kind)
    morning = reader.read("next_morning", log_cells.next_morning)
    note = reader.read("note", log_cells.note)
    session = line.text("session") or (session_of(date) if date else "")
    gym = reader.read("gym", lambda text: _gym(text, session, context))
    unit = _unit(reader, beside, written, gym, context) if load is not None and gym else None
    if reps is None and (load is not None or rir is not None) and not reader.failed:
        reader.tell("reps", CellFault("empty", "Write the repetitions; 0 if the set was begun and stopped"))
    if reader.failed or date is None or exercise is None or number is None:
        return None
    where = joint_region(line.text("where"), context)
    return LoggedSet(
        date, visible(session), exercise, number, load, unit, reps, rir, pain, where,
        kind or "", morning or "", gym or "", note or "",
    )  # fmt: skip


def _date(text: str, order: DateOrder, today: datetime.date) -> datetime.date:
    if not text:
        raise CellFault("empty", "Write the date of the session on every line, such as 2026-11-30")
    date = order.read(text)
    if date > today + datetime.timedelta(days=LOG.days_ahead_most):
        raise refuse_cell(text, f"It lies in the future: today is {today}. Write the day it was done")
    return date


def _is_shown(sheet: Sheet) -> bool:
    """Whether the next fault will be told one by one: only then is a near name worth looking for."""
    return len(sheet.faults) < LOG.faults_shown


def _exercise(text: str, context: LogContext, *, hint: bool) -> str:
    word = " ".join(text.lower().split())
    key = context.keys.get(word) or context.keys.get(word.replace(" ", "_"))
    if key is None:
        near = nearest(word, context.keys) if hint else ""
        raise refuse_cell(text, f"No exercise of the library has this name{near}")
    return key


def _set_number(text: str) -> int:
    number = log_cells.set_number(text)
    if number == 0:
        raise refuse_cell(text, "Number the sets from 1")
    return number


def _gym(text: str, session: str, context: LogContext) -> str:
    gym = text or context.gym_for(session)
    if gym is None:
        raise CellFault("empty", f"Write where it was done: one of {listed(context.gyms)}")
    if gym not in context.gyms:
        raise refuse_cell(text, f"gym.toml lists {listed(context.gyms)}{nearest(gym, context.gyms)}")
    return gym


def joint_region(text: str, context: LogContext) -> str:
    """Return the key of the joint region that the words name; else the words as they are."""
    word = " ".join(text.lower().split())
    return context.regions.get(word) or context.regions.get(word.replace(" ", "_")) or visible(text)


def _unit(
    reader: Reader, beside: str | None, written: str | None, gym: str, context: LogContext
) -> Literal["kg", "lb"] | None:
    """Loads are in the gym's unit; another one is refused, because kilograms and pounds are never mixed."""
    unit = context.gyms[gym].unit
    for word, column in ((beside, "load"), (written, "load_unit")):
        if word is not None and word != unit:
            remedy = f'"{gym}" works in {unit} (gym.toml): write the load in {unit}'
            reader.tell(column, CellFault(f"read {word}", remedy))
            return None
    return unit
