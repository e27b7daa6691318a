"""Cross references of the library: every name that one file uses must stand in another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from library.equipment import with_included
from library.errors import Fault
from library.faults import unknown
from library.profiles import ProfileLine
from library.schema import Equipment, EvidenceRow, Exercise
from library.tables import Tables, Written

EvidenceAt = tuple[str, str, EvidenceRow]  # file, place in it, row

# kind of name ("exercise", "joint region" …) -> the names as written, also of records with faults of
# their own; empty where a file cannot be read: then nothing is said about names of that kind
Names = Mapping[str, frozenset[str]]


def names_of(written: Written) -> Names:
    """Collect the names that the TOML files give, by kind."""
    broken = not all(written.exercises.values())
    keys = [key for tables in written.exercises.values() for key in tables]
    return {
        "exercise": frozenset(() if broken else keys),
        "head": frozenset(written.heads),
        "trained head": frozenset(key for key, head in written.heads.items() if _is_trained(head)),
        "equipment": frozenset(written.equipment),
        "implement": frozenset(written.implements),
        "joint region": frozenset(written.regions),
    }


def _is_trained(head: Any) -> bool:
    return isinstance(head, dict) and head.get("role") == "trained"


def exercise_faults(files: Mapping[str, str], tables: Tables, names: Names) -> Iterator[Fault]:
    """Yield a fault for each name in an exercise that no other file knows; `files` says where each stands."""
    for key, exercise in tables.exercises.items():
        file = files[key]
        yield from _named(file, f"{key}.implement", "implement", exercise.implement, names)
        family = tables.families.get(exercise.family)
        if family and exercise.trains != family.trains:
            yield from _named(file, f"{key}.trains", "trained head", exercise.trains, names)
        for place, need in enumerate(exercise.needs):
            yield from _named(file, f"{key}.needs[{place}]", "equipment", need, names)
        for region in exercise.stress:
            yield from _named(file, f"{key}.stress.{region}", "joint region", region, names)
        yield from _load_faults(file, exercise, tables.equipment, names)


def _named(file: str, where: str, kind: str, word: str | None, names: Names) -> Iterator[Fault]:
    if word is not None and names[kind] and word not in names[kind]:
        yield unknown(file, where, kind, word, names[kind])


def _load_faults(
    file: str, exercise: Exercise, equipment: Mapping[str, Equipment], names: Names
) -> Iterator[Fault]:
    word, where = exercise.load_from, f"{exercise.key}.load_from"
    yield from _named(file, where, "equipment", word, names)
    if word is None or word not in equipment:
        return
    if not equipment[word].has_loads:
        yield Fault(file, where, f'"{word}" has no loads', "Name equipment with has_loads = true")
    elif word not in with_included(exercise.needs):
        yield Fault(file, where, f'"{word}" is not among the needs', "Add it to needs, or name one of them")


def head_and_flag_faults(folder: str, tables: Tables, names: Names) -> Iterator[Fault]:
    """Yield a fault for each anchor, head that a family trains, and flagged region that nothing else knows."""
    for family in tables.families.values():
        where = f"{family.key}.trains"
        yield from _named(f"{folder}/families.toml", where, "trained head", family.trains, names)
    for head in tables.heads.values():
        yield from _named(f"{folder}/heads.toml", f"{head.key}.anchor", "exercise", head.anchor, names)
    for flag in tables.flags.values():
        for region in flag.regions:
            where = f"flag.{flag.key}.regions.{region}"
            yield from _named(f"{folder}/joints.toml", where, "joint region", region, names)


def evidence_faults(rows: list[EvidenceAt], names: Names) -> Iterator[Fault]:
    """Yield a fault for each evidence row that names an unknown exercise or head, or an id used before."""
    seen: Counter[str] = Counter()
    for file, place, row in rows:
        yield from _named(file, f"{place}, column exercise", "exercise", row.exercise, names)
        yield from _named(file, f"{place}, column against", "exercise", row.against, names)
        yield from _named(file, f"{place}, column head", "head", row.head, names)
        seen[row.id] += 1
        if seen[row.id] == 2:
            yield Fault(
                file, f"{place}, column id", f'"{row.id}" stands twice', "Give each row an id of its own"
            )


def profile_faults(
    file: str, lines: list[tuple[str, ProfileLine]], ids: frozenset[str], names: Names
) -> Iterator[Fault]:
    """Yield a fault for each profile line that the library's exercises, heads and evidence do not know.

    `ids` of the evidence rows; empty where the evidence has faults of its own.
    """
    known = {"exercise": names["exercise"], "head": names["head"], "evidence row": ids}
    for place, line in lines:
        words = [("exercise", line.exercise), ("head", line.head)]
        words += [("evidence row", word) for word in line.rows.split()]
        for kind, word in words:
            if known[kind] and word not in known[kind]:
                remedy = "The file is older than the rest of the library: run `planner pool`"
                yield Fault(file, place, f'unknown {kind} "{word}"', remedy)
