"""Dates of a coach's file: ISO wanted; another order is read only where the file proves which it is."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass

from planner.log.cells import CellFault, iso_date, refuse_cell
from planner.log.table import Sheet

NUMERIC = re.compile(r"^(\d{1,2})[./-](\d{1,2})[./-](\d{4})$", re.ASCII)
ISO_WANTED = "write dates as year-month-day, such as 2026-11-30"


@dataclass(frozen=True)
class DateOrder:
    """The first line that must be day first and the first that must be month first; None: there is none."""

    day_first: int | None = None
    month_first: int | None = None

    def read(self, text: str) -> datetime.date:
        """Read one date of the file. Raises CellFault where its order is not proven, or proven both ways."""
        found = NUMERIC.match(text)
        if found is None:
            return iso_date(text)
        if self.day_first is not None and self.month_first is not None:
            lines = f"line {self.day_first} puts the day first, line {self.month_first} the month"
            raise CellFault(f"dates in two orders: {lines}", f"In the whole file {ISO_WANTED}")
        if self.day_first is None and self.month_first is None:
            raise CellFault(f'"{text}" could be day or month first', f"In the whole file {ISO_WANTED}")
        first, second, year = (int(part) for part in found.groups())
        day, month = (first, second) if self.day_first is not None else (second, first)
        try:
            return datetime.date(year, month, day)
        except ValueError:
            raise refuse_cell(text, f"No such day is in the calendar; {ISO_WANTED}") from None


def date_order(sheet: Sheet) -> DateOrder:
    """Find out which order the dates of a file are in: a number above 12 can only be a day."""
    day_first = month_first = None
    for line in sheet.lines:
        found = NUMERIC.match(line.text("date"))
        if found is None:
            continue
        first, second = int(found[1]), int(found[2])
        if first > 12 >= second:
            day_first = day_first or line.number
        elif second > 12 >= first:
            month_first = month_first or line.number
    return DateOrder(day_first, month_first)
