"""Weeks by their ISO names: 2026-W49 starts on Monday, 30 November 2026."""

from __future__ import annotations

import datetime
import re

from library.errors import Fault, FaultyInput

SHAPE = re.compile(r"\A(\d{4})-W(\d{2})\Z", re.ASCII)


def week_name(day: datetime.date) -> str:
    """Return the name of the week that holds `day`."""
    year, week, _ = day.isocalendar()
    return f"{year:04d}-W{week:02d}"


def week_start(name: str) -> datetime.date:
    """Return the Monday of a week. Raises FaultyInput if no week has this name."""
    start = _monday(name)
    if start is None:
        remedy = "Write year and week such as 2026-W49; a year has 52 or 53 weeks"
        raise FaultyInput([Fault("--week", "", f'"{name}" is no week', remedy)])
    return start


def is_week(name: str) -> bool:
    """Say whether a week has this name."""
    return _monday(name) is not None


def _monday(name: str) -> datetime.date | None:
    found = SHAPE.match(name)
    try:
        return datetime.date.fromisocalendar(int(found[1]), int(found[2]), 1) if found else None
    except ValueError:
        return None


def next_week(today: datetime.date) -> str:
    """Return the name of the week after the one that holds `today`: the week to plan by default."""
    return week_name(today + datetime.timedelta(days=7))
