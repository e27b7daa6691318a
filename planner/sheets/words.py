"""The texts of the sheets, read from words.toml: own wording with its source beside it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from library.schema import Exercise

HERE = "planner.sheets"


@dataclass(frozen=True)
class Rule:
    """A rule of the room and the families and implements that call for it (both lists must agree if filled)."""

    text: str
    families: tuple[str, ...]
    implements: tuple[str, ...]

    @property
    def first_sentence(self) -> str:
        """What a caution of an exercise would say too, if it says the same."""
        return self.text.partition(".")[0]

    def concerns(self, exercise: Exercise) -> bool:
        """Whether an exercise calls for this rule."""
        family_fits = not self.families or exercise.family in self.families
        return family_fits and (not self.implements or exercise.implement in self.implements)


@dataclass(frozen=True)
class StopGroup:
    """Signs that ask for the same step, under the step as title."""

    title: str
    signs: tuple[str, ...]


@dataclass(frozen=True)
class Words:
    """All texts; the plain tables map a key of the week document to its words."""

    line: dict[str, str]
    find: dict[str, str]
    rules: tuple[Rule, ...]
    stop: tuple[StopGroup, ...]
    only_after_surgery: str  # how a caution begins that concerns only athletes with an operation behind them
    box: dict[str, str]
    kinds: tuple[str, ...]
    load: dict[str, str]
    limit: dict[str, str]
    goal: dict[str, str]
    aim: dict[str, str]


@cache
def read_words() -> Words:
    """Read words.toml; cached, since both papers of a week print from it."""
    data: dict[str, Any] = tomllib.loads((files(HERE) / "words.toml").read_text(encoding="utf-8"))
    kinds = tuple(data["box"].pop("kinds"))
    return Words(
        line={key: entry["text"] for key, entry in data["line"].items()},
        find={key: entry["text"] for key, entry in data["find"].items()},
        rules=tuple(_rule(entry) for entry in data["rule"].values()),
        stop=tuple(StopGroup(entry["title"], tuple(entry["signs"])) for entry in data["stop"]),
        only_after_surgery=data["only_after"]["surgery"],
        box=data["box"],
        kinds=kinds,
        load=data["load"],
        limit=data["limit"],
        goal=data["goal"],
        aim=data["aim"],
    )


def _rule(entry: dict[str, Any]) -> Rule:
    return Rule(entry["text"], tuple(entry["families"]), tuple(entry["implements"]))
