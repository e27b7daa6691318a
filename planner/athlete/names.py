"""Which names a brief or a gym may use where: read from the library, handed to pydantic as its context. A model
validated without context checks no names, so a brief can be built in code without a library."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import AfterValidator, ValidationInfo

from library.errors import as_written, listed, nearest
from library.files import told
from library.read import Library

ARM = "arm_at_most_degrees"  # stands among the regions of [joints] in the file, beside them in the brief
FEW = 15  # so many names are listed whole in a message
OFFERED = 3  # names offered in place of a wrong one: more would be a list to choose from, no hint
SHOULDER = {"shoulder", "delt", "schulter", "pinch", "pinches", "pinching", "zwickt"}  # words of a client
ITS_SIDES = {"front", "vorn", "vorne", "top", "oben", "side", "outer", "in", "at", "the"}  # said alone


@dataclass(frozen=True)
class Vocabulary:
    """The names that will do in one place, and those that exist but will not do there, with the reason."""

    noun: str
    names: tuple[str, ...]
    where_listed: str
    refused: Mapping[str, str] = field(default_factory=dict)
    # trade names, as `plain_word` writes them, to the name; exercise -> family, where a family will do too
    also: Mapping[str, str] = field(default_factory=dict)
    family_of: Mapping[str, str] = field(default_factory=dict)

    def name(self, word: str) -> str:
        """Return the name that `word` stands for, or the word itself."""
        return word if word in self.names else self.also.get(plain_word(word), word)

    def remedy(self, word: str) -> str:
        """Return what to write instead of `word`, or an empty text if it will do."""
        if word in self.names:
            return ""
        if word in self.refused:
            return self.refused[word]
        known, short = listed(self.names) if 0 < len(self.names) <= FEW else self.where_listed, word[:100]
        hint = self._family(short) or nearest(short, self.names)
        if not hint:  # the first names that hold it: "bench" finds "barbell_bench_press"
            part = plain_word(short)
            holding = [name for name in self.names if part and part in name][:OFFERED]
            hint = f"; did you mean {' or '.join(map(as_written, holding))}?" if holding else ""
        return f"No {self.noun} has this name{hint or '.'} Known: {known}"

    def _family(self, word: str) -> str:
        """Offer the family whose exercises are the only ones to hold every part: "upright_rows" finds upright_pull."""
        parts = [part.removesuffix("s") for part in plain_word(word).split("_")]
        holding = [key for key in self.family_of if len(parts) > 1 and all(part in key for part in parts)]
        families = {self.family_of[key] for key in holding}
        alone = len(holding) > 1 and len(families) == 1
        return f"; did you mean {as_written(families.pop())}, the whole family?" if alone else ""


def plain_word(text: str) -> str:
    """Return a name as it is compared: "AC joint" and "ac-joint" are "ac_joint"."""
    return "_".join(re.findall(r"[^\W_]+", text.lower()))


def known(kind: str) -> AfterValidator:
    """Make a validator of names of one kind: a key of `vocabularies`."""

    def check(word: str, info: ValidationInfo) -> str:
        vocabulary: Vocabulary | None = (info.context or {}).get(kind)
        if vocabulary is None:
            return word
        word = vocabulary.name(word)
        if remedy := vocabulary.remedy(word):
            raise told(remedy)
        return word

    return AfterValidator(check)


def unmistakable(table: Mapping[str, Any], kind: str, info: ValidationInfo) -> Mapping[str, Any]:
    """Return a table whose keys are names of one kind; two keys for the same name are refused."""
    vocabulary: Vocabulary | None = (info.context or {}).get(kind)
    names = [vocabulary.name(key) if vocabulary else key for key in table]
    times = Counter(names)
    for name, key in zip(names, table, strict=True):
        if times[name] > 1:
            raise told(f"{as_written(key)} and another line both mean {as_written(name)}. Keep one of them")
    return table


def vocabularies(library: Library, gyms: Iterable[str] | None = None) -> dict[str, Vocabulary]:
    """Return every vocabulary; without `gyms` (gym.toml unreadable) gym names go unchecked."""
    exercises, equipment, heads = library.exercises, library.equipment, library.heads
    in_library, in_joints = "`planner library` lists them", "library/joints.toml lists them"
    compared = "This entry is kept for comparison and never planned. Name an exercise that can be planned"
    not_planned = {key: compared for key, exercise in exercises.items() if exercise.compare_only}
    planned = tuple(key for key in exercises if key not in not_planned)
    trained = tuple(key for key, head in heads.items() if head.role == "trained")
    reason = f"This muscle is only watched and takes no target. Trained heads: {listed(trained)}"
    watched = {key: reason for key in heads if key not in trained}
    loaded = tuple(key for key, item in equipment.items() if item.has_loads)
    no_loads = dict.fromkeys(equipment, "This equipment has no loads to list. Leave the key out")
    flags = {word: key for key, of in library.flags.items() for word in (*of.also, key, plain_word(of.name))}
    groups = (*exercises, *library.families, *library.implements)
    printed = {plain_word(of.name): key for key, of in library.families.items()}
    printed |= {plain_word(of.name): key for key, of in exercises.items()}
    families = {key: item.family for key, item in exercises.items()}
    noun, implements = "exercise, movement family or implement", tuple(library.implements)
    words = {
        "exercise": Vocabulary("exercise", tuple(exercises), in_library),
        "planned": Vocabulary("exercise", planned, in_library, not_planned),
        "head": Vocabulary("head", trained, "library/heads.toml lists them", watched),
        "equipment": Vocabulary("equipment", tuple(equipment), "library/equipment.toml lists it"),
        "loaded": Vocabulary("equipment with loads", loaded, "library/equipment.toml lists it", no_loads),
        "region": Vocabulary("joint region", (*library.regions, ARM), in_joints, also=region_names(library)),
        "flag": Vocabulary("history flag", tuple(library.flags), in_joints, also=flags),
        "family": Vocabulary("movement family", tuple(library.families), "library/families.toml lists them"),
        "implement": Vocabulary("implement", implements, "library/equipment.toml lists them"),
        "excluded": Vocabulary(noun, groups, in_library, also=printed, family_of=families),
    }
    if gyms is not None:
        words["gym"] = Vocabulary("gym of gym.toml", tuple(gyms), "gym.toml lists them")
    return words


def region_felt(text: str, library: Library) -> str:
    """Return the key of the region that a client's words name ("left front of shoulder"), or an empty text."""
    words, regions = {*plain_word(text).split("_")}, library.regions
    shoulder = bool(words & SHOULDER)  # what is felt there is never told of another joint alone
    words |= {"shoulder"} if shoulder or words <= ITS_SIDES else set()
    fits = [key for key, of in regions.items() if of.felt and all(words & {*group} for group in of.felt)]
    return next((key for key in reversed(fits) if regions[key].shoulder or not shoulder), "")


def region_names(library: Library) -> dict[str, str]:
    """Return what else joint regions are called, as `plain_word` writes it, to the region's key. A printed name
    counts whole and up to its comma: "top of the shoulder, under the arch"."""
    names: dict[str, str] = {}
    for key, of in library.regions.items():
        names |= dict.fromkeys((*of.also, key, plain_word(of.name), plain_word(of.name.split(",")[0])), key)
    return names
