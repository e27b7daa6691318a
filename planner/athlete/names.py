"""Which names a brief or a gym may use where: read from the library, handed to pydantic as its context.

A model validated without context checks no names, so a brief can be built in code without a library.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pydantic import AfterValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from library.errors import nearest
from planner.athlete.words import as_written, listed

if TYPE_CHECKING:
    from library.read import Library

FEW = 15  # so many names are listed whole in a message
OFFERED = 3  # names offered in place of a wrong one: more would be a list to choose from, no hint


@dataclass(frozen=True)
class Vocabulary:
    """The names that will do in one place, and those that exist but will not do there, with the reason."""

    noun: str
    names: tuple[str, ...]
    where_listed: str
    refused: Mapping[str, str] = field(default_factory=dict)

    def remedy(self, word: str) -> str:
        """Return what to write instead of `word`, or an empty text if it will do."""
        if word in self.names:
            return ""
        if word in self.refused:
            return self.refused[word]
        known = listed(self.names) if 0 < len(self.names) <= FEW else self.where_listed
        hint = nearest(word, self.names) or _containing(word, self.names)
        return f"No {self.noun} has this name{hint}{'' if hint else '.'} Known: {known}"


def _containing(word: str, names: tuple[str, ...]) -> str:
    """Offer the first names that hold every part of `word`: "bench" finds "barbell_bench_press"."""
    parts = [part for part in re.split(r"[\W_]+", word.lower()) if len(part) > 2]
    found = [name for name in names if parts and all(part in name for part in parts)][:OFFERED]
    return f"; did you mean {' or '.join(map(as_written, found))}?" if found else ""


Vocabularies = Mapping[str, Vocabulary]


def told(remedy: str) -> PydanticCustomError:
    """Make the error of a validator that says itself what would do."""
    return PydanticCustomError("told", "{remedy}", {"remedy": remedy})


def known(kind: str) -> AfterValidator:
    """Make a validator of names of one kind: a key of `vocabularies`."""

    def check(word: str, info: ValidationInfo) -> str:
        vocabulary: Vocabulary | None = (info.context or {}).get(kind)
        remedy = vocabulary.remedy(word) if vocabulary else ""
        if remedy:
            raise told(remedy)
        return word

    return AfterValidator(check)


def vocabularies(library: Library, gyms: Iterable[str] | None = None) -> dict[str, Vocabulary]:
    """Return every vocabulary; without `gyms` (gym.toml unreadable) gym names go unchecked."""
    words = {
        "exercise": Vocabulary("exercise", tuple(library.exercises), "`planner library` lists them"),
        "planned": _planned(library),
        "head": _trained(library),
        "equipment": Vocabulary("equipment", tuple(library.equipment), "library/equipment.toml lists it"),
        "loaded": _loaded(library),
        "region": Vocabulary("joint region", tuple(library.regions), "library/joints.toml lists them"),
        "flag": Vocabulary("history flag", tuple(library.flags), "library/joints.toml lists them"),
        "family": Vocabulary("movement family", tuple(library.families), "library/families.toml lists them"),
    }
    if gyms is not None:
        words["gym"] = Vocabulary("gym of gym.toml", tuple(gyms), "gym.toml lists them")
    return words


def _planned(library: Library) -> Vocabulary:
    refused = {
        key: "This entry is kept for comparison and never planned. Name an exercise that can be planned"
        for key, exercise in library.exercises.items()
        if exercise.compare_only
    }
    names = tuple(key for key in library.exercises if key not in refused)
    return Vocabulary("exercise", names, "`planner library` lists them", refused)


def _trained(library: Library) -> Vocabulary:
    trained = tuple(key for key, head in library.heads.items() if head.role == "trained")
    reason = f"This muscle is only watched and takes no target. Trained heads: {listed(trained)}"
    refused = {key: reason for key in library.heads if key not in trained}
    return Vocabulary("head", trained, "library/heads.toml lists them", refused)


def _loaded(library: Library) -> Vocabulary:
    loaded = tuple(key for key, item in library.equipment.items() if item.has_loads)
    refused = dict.fromkeys(library.equipment, "This equipment has no loads to list. Leave the key out")
    return Vocabulary("equipment with loads", loaded, "library/equipment.toml lists it", refused)
