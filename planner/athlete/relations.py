"""What several keys of a file must hold together: one rule, one function.

Each rule reads the file as it stands, before and besides the models, and passes over whatever has not the
expected shape: so a wrong number in one session does not hide that two sessions share a day.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from library.errors import Fault
from planner.athlete.brief import DAYS, Brief
from planner.athlete.gym import Gym
from planner.athlete.toml_text import Table
from planner.athlete.words import as_written, listed, place

if TYPE_CHECKING:
    from library.read import Library

DOSES = ("floor", "target", "ceiling")  # in the order they must have
Rule = Callable[[Table, Path, "Library"], Iterator[Fault]]


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


def one_session_a_day(data: Table, file: Path, _: Library) -> Iterator[Fault]:
    """Two sessions never share a day: a session is known by its day."""
    seen: set[str] = set()
    for number, day in _days(data):
        if day in seen:
            where = place(("session", number, "day"))
            yield Fault(
                file, where, f"two sessions on {day}", "Keep one session a day: join or move the other"
            )
        seen.add(day)


def pins_on_training_days(data: Table, file: Path, _: Library) -> Iterator[Fault]:
    """A pin names a day that has a session."""
    days = [day for _, day in _days(data)]
    for key, pin in table(data, "preferences", "pin").items():
        day = table(pin).get("day")
        if days and day in DAYS and day not in days:
            where = place(("preferences", "pin", key, "day"))
            yield Fault(
                file, where, as_written(day), f"No session is on {day}. Pin it to one of {', '.join(days)}"
            )


def wanted_or_excluded(data: Table, file: Path, library: Library) -> Iterator[Fault]:
    """What is pinned, preferred, asked for as a family or the only thing held is not excluded, nor outside `only`."""
    excluded, only = words(data, "preferences", "exclude"), words(data, "preferences", "only")
    wanted = {
        ("preferences", "pin"): [*table(data, "preferences", "pin")],
        ("preferences", "prefer"): words(data, "preferences", "prefer"),
        ("preferences", "only"): only,
        ("variety", "families"): words(data, "variety", "families"),
    }
    for steps, names in wanted.items():
        for name in dict.fromkeys(names):
            exercise = library.exercises.get(name) if steps[1] in ("pin", "prefer") else None
            groups = (exercise.family, exercise.implement) if exercise else ()
            barred = [
                word
                for word in (name, *groups)
                if word in excluded and (word == name or word not in library.exercises)
            ]
            if barred:
                read = (
                    as_written(name)
                    if barred[0] == name
                    else f"{as_written(name)}, of {as_written(barred[0])}"
                )
                yield Fault(
                    file, place(steps), read, "It is excluded too. Take it out of `exclude` or from here"
                )
            elif exercise and only and exercise.implement not in only:
                read = f"{as_written(name)} is held as {as_written(exercise.implement)}"
                yield Fault(
                    file, place(steps), read, "`only` does not list that. Add it there or take this out"
                )


def weeks_in_one_list(data: Table, file: Path, _: Library) -> Iterator[Fault]:
    """A week away is not a lighter week too."""
    away = words(data, "block", "away")
    for week in dict.fromkeys(words(data, "block", "lighter")):
        if week in away:
            yield Fault(
                file, "block.lighter", as_written(week), "It is a week away too. Take it out of one list"
            )


def doses_in_order(data: Table, file: Path, _: Library) -> Iterator[Fault]:
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


def loads_of_what_is_there(data: Table, file: Path, _: Library) -> Iterator[Fault]:
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


def rooms_without_work(
    brief: Brief, gyms: Mapping[str, Gym], library: Library, file: Path
) -> Iterator[Fault]:
    """`only` and `exclude` leave something to do in each room that a session is held in."""
    asked = brief.preferences
    if not asked.only and not asked.exclude:
        return
    excluded = asked.excluded(library)
    for name in dict.fromkeys(session.gym for session in brief.session):
        fits = [
            key
            for key, one in library.exercises.items()
            if not one.compare_only and set(one.needs) <= set(gyms[name].equipment)
        ]
        if any(
            key not in excluded and (not asked.only or library.exercises[key].implement in asked.only)
            for key in fits
        ):
            continue
        where = "preferences.only" if asked.only else "preferences.exclude"
        held = listed(sorted({library.exercises[key].implement for key in fits}))
        yield Fault(
            file,
            where,
            f"this leaves nothing to train in {as_written(name)}",
            f"What can be held there is {held}: allow one of them, or add to the equipment in gym.toml",
        )


BRIEF_RULES: tuple[Rule, ...] = (
    one_session_a_day,
    pins_on_training_days,
    wanted_or_excluded,
    weeks_in_one_list,
    doses_in_order,
)
GYM_RULES: tuple[Rule, ...] = (loads_of_what_is_there,)
