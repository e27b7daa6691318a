"""Printed names for the keys of a week document, and limits and goals in plain words."""

from __future__ import annotations

import re
from collections.abc import Iterable

from library.read import Library
from planner.document import MissedGoal
from planner.plain import UNSHOWN
from planner.sheets import say

DAY_PAIR = re.compile(r"^([A-Z][a-z]{2}(?:-\d)?)-([A-Z][a-z]{2}(?:-\d)?)$")


def name_of(library: Library, key: str) -> str:
    """Give the printed name of any key: day, pair of days, head, region, exercise, family, implement, equipment."""
    pair = DAY_PAIR.match(key)
    if pair:
        return f"{say.day(pair[1])} and {say.day(pair[2])}"
    tables = (
        library.heads,
        library.regions,
        library.exercises,
        library.families,
        library.implements,
        library.equipment,
    )
    for table in tables:
        record = table.get(key)
        if record is not None:
            return record.name
    return say.day(key.replace("_", " ")) if key != "week" else "whole week"


def in_words(library: Library, table: dict[str, str], key: str) -> str:
    """Say a limit ("joints:subacromial") or goal in plain words; one without a text is said by its own names."""
    kind, *about = key.split(":")
    names = [name_of(library, part) for part in about]
    text = table.get(kind)
    if text is None or text.count("{") > len(names):
        text = ", ".join([kind.replace("_", " "), *("{}" for _ in names)])
    return sentence(text.format(*names))


def goals_missed(library: Library, table: dict[str, str], goals: Iterable[MissedGoal]) -> list[str]:
    """Say missed goals in plain words, and by how much; what is missed by less than paper shows is not said."""
    return [
        f"{in_words(library, table, goal.goal)} (by {say.counted(goal.by, goal.unit)})"
        for goal in goals
        if goal.by >= UNSHOWN
    ]


def sentence(words: str) -> str:
    """Begin with a capital letter, and leave the rest as it is."""
    return words[:1].upper() + words[1:]


def station(library: Library, key: str) -> str:
    """Name one piece of equipment; "barbell" is an implement too, under another name."""
    return library.equipment[key].name if key in library.equipment else key.replace("_", " ")


def equipment_words(library: Library, key: str) -> str:
    """Name the station of an exercise: what must be free for it."""
    exercise = library.exercises.get(key)
    if exercise is None:
        return ""
    return say.joined([station(library, need) for need in exercise.needs]) or "no equipment"
