"""What several keys of a file must hold together: one rule, one function.

Each rule reads the file as it stands, before and besides the models, and passes over whatever has not the
expected shape: so a wrong number in one session does not hide that two sessions share a day.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from library.errors import Fault
from planner.athlete.brief import DAYS
from planner.athlete.toml_text import Table
from planner.athlete.words import as_written, place

DOSES = ("floor", "target", "ceiling")  # in the order they must have
Rule = Callable[[Table, Path], Iterator[Fault]]


def table(data: Any, *keys: str) -> Table:
    """Return the table at `keys`, or an empty one."""
    for key in keys:
        data = data.get(key) if isinstance(data, dict) else None
    return data if isinstance(data, dict) else {}


def words(data: Any, *keys: str) -> list[str]:
    """Return the texts of the list at `keys`."""
    found = table(data, *keys[:-1]).get(keys[-1])
    return [word for word in found if isinstance(word, str)] if isinstance(found, list) else []


def _days(data: Table) -> list[tuple[int, str]]:
    sessions = data.get("session")
    rows = enumerate(sessions) if isinstance(sessions, list) else ()
    return [(i, row["day"]) for i, row in rows if isinstance(row, dict) and row.get("day") in DAYS]


def one_session_a_day(data: Table, file: Path) -> Iterator[Fault]:
    """Two sessions never share a day: a session is known by its day."""
    seen: set[str] = set()
    for number, day in _days(data):
        if day in seen:
            where = place(("session", number, "day"))
            yield Fault(
                file, where, f"two sessions on {day}", "Keep one session a day: join or move the other"
            )
        seen.add(day)


def pins_on_training_days(data: Table, file: Path) -> Iterator[Fault]:
    """A pin names a day that has a session."""
    days = [day for _, day in _days(data)]
    for key, pin in table(data, "preferences", "pin").items():
        day = table(pin).get("day")
        if days and day in DAYS and day not in days:
            where = place(("preferences", "pin", key, "day"))
            yield Fault(
                file, where, as_written(day), f"No session is on {day}. Pin it to one of {', '.join(days)}"
            )


def wanted_or_excluded(data: Table, file: Path) -> Iterator[Fault]:
    """An excluded exercise is neither pinned nor preferred."""
    excluded = words(data, "preferences", "exclude")
    wanted = {"pin": [*table(data, "preferences", "pin")], "prefer": words(data, "preferences", "prefer")}
    for verb, keys in wanted.items():
        for key in dict.fromkeys(keys):
            if key in excluded:
                where = place(("preferences", verb))
                yield Fault(
                    file, where, as_written(key), "It is excluded too. Take it out of `exclude` or from here"
                )


def doses_in_order(data: Table, file: Path) -> Iterator[Fault]:
    """floor ≤ target ≤ ceiling, for those of the three that a head names."""
    for head, asked in table(data, "target").items():
        numbers = [(key, value) for key in DOSES if (value := _number(table(asked).get(key))) is not None]
        for (low, lower), (high, higher) in itertools.pairwise(numbers):
            if lower > higher and not (high == "target" and higher == 0):  # target 0: not trained
                read = f"{low} = {as_written(lower)}, {high} = {as_written(higher)}"
                yield Fault(
                    file, place(("target", head)), read, f"Write a {low} that does not exceed the {high}"
                )


def _number(value: Any) -> int | float | None:
    usable = isinstance(value, int | float) and not isinstance(value, bool) and not math.isnan(value)
    return value if usable else None


def loads_of_what_is_there(data: Table, file: Path) -> Iterator[Fault]:
    """gym.toml lists loads only of equipment that the gym has."""
    for gym in data:
        has = words(data, gym, "equipment")
        for key in table(data, gym, "loads"):
            if key not in has:
                remedy = f"Add {as_written(key)} to the gym's equipment or leave its loads out"
                yield Fault(file, gym_place((gym, "loads", key)), as_written(key), remedy)


def gym_place(steps: tuple[str | int, ...]) -> str:
    """Return a place of gym.toml as the coach sees it: gym `club`.loads.dumbbells."""
    if not steps:
        return ""
    below = place(steps[1:])
    return f"gym `{place(steps[:1])}`" + (f".{below}" if below else "")


BRIEF_RULES: tuple[Rule, ...] = (one_session_a_day, pins_on_training_days, wanted_or_excluded, doses_in_order)
GYM_RULES: tuple[Rule, ...] = (loads_of_what_is_there,)
