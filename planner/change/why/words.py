"""Limits that bind and goals that are missed, in plain words, each with the file and key where it stands."""

from __future__ import annotations

from dataclasses import dataclass

from library.read import Library
from planner.change.why.easing import BRIEF
from planner.document import LimitUse, MissedGoal
from planner.plain import DAY_NAMES, number


@dataclass(frozen=True)
class Said:
    """One sentence and where what it speaks of can be changed."""

    words: str
    file: str
    where: str


# kind: sentence, key; {0}, {1} are what it is about by name, {k0}, {k1} by key, {used}, {allowed}, {by} numbers
LIMITS = {
    "time": ("{0} is full: {used} of {allowed} minutes are used", "session {k0}: minutes"),
    "exercises": ("{0}: {used} exercises, as many as there may be", "method.exercises_per_session"),
    "joints": ("{0}: {used} of {allowed} grade-sets a week are used", "joints.{k0}"),
    "session_hard_cap": (
        "{0} on {1}: {used} of at most {allowed} direct sets",
        "method.session_hard_cap_sets",
    ),
    "trapezius": (
        "the upper trapezius works at {used} of a shrug, {allowed} at most",
        "preferences.trapezius",
    ),
}
GOALS = {
    "dose": ("{0} is {by} sets short of its target", "target.{k0}"),
    "ceiling": ("{0} is {by} sets over its ceiling", "target.{k0}.ceiling"),
    "direct": ("{0} lacks {by} direct sets", "method.direct_share"),
    "session_cap": ("{0} on {1}: {by} sets more than one session should hold", "method.session_cap_sets"),
    "spread": ("{0} is trained on {by} days too few", "target.{k0}.sessions"),
    "heavy_days": ("{0}: two heavy days side by side, {1}", "method.heavy_day_sets"),
    "share": ("{0} gives {1} {by} sets more than its share", "variety.share"),
    "implements": ("{by} implements too few", "variety.implements"),
    "family": ("{0} is asked for and not trained", "variety.families"),
    "rotation": ("{by} of last week's exercises did not stay", "variety.keep"),
    "new": ("{0}: {by} new exercises too many", "method.new_exercises_per_head"),
    "prefer": ("{0} is preferred and not planned", "preferences.prefer"),
}


def limit_said(use: LimitUse, library: Library) -> Said:
    """Say a limit that binds."""
    kind, *about = use.limit.split(":")
    words, where = LIMITS.get(kind, ("{used} of {allowed} " + use.unit, ""))
    if about == ["week"]:
        where = "method.exercises_per_week"
    return said(words, where, about, library, used=number(use.used), allowed=number(use.allowed))


def goal_said(goal: MissedGoal, library: Library) -> Said:
    """Say a goal that is missed."""
    kind, *about = goal.goal.split(":")
    words, where = GOALS.get(kind, ("{by} " + goal.unit, ""))
    return said(words, where, about, library, by=number(goal.by))


def said(words: str, where: str, about: list[str], library: Library, **numbers: str) -> Said:
    """Fill a sentence with names, its key with keys."""
    names = [name_of(key, library) for key in about]
    keys = {f"k{at}": key for at, key in enumerate(about)}
    text = words.format(*names, **numbers)
    return Said(text[:1].upper() + text[1:], BRIEF, where.format(**keys))


def name_of(key: str, library: Library) -> str:
    """Give the printed name of a day, a pair of days, a head, a region, an exercise or a family."""
    if key == "week":
        return "the week"
    if all(part in DAY_NAMES for part in key.split("-")):
        return " and ".join(DAY_NAMES[part] for part in key.split("-"))
    for table in (library.heads, library.regions, library.exercises, library.families):
        if key in table:
            return str(table[key].name)
    return key.replace("_", " ")
