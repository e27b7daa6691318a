"""What is kin to a painful exercise: its movement family, and whatever loads the painful region at least as much.

The kin of an exercise that waits for clearance wait with it. The kin of one that hurt a little gain no sets.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from library.read import Library

LEAST_GRADE = 1  # where the library sees no load on the painful region, whatever it sees loading it is kin


@dataclass(frozen=True)
class OutExercise:
    """An exercise that waits for clearance, since which day, why, and the joint regions it casts doubt on."""

    exercise: str
    since: datetime.date
    reason: str
    regions: tuple[str, ...]


def barred_with(out: Iterable[OutExercise], library: Library) -> dict[str, str]:
    """Give exercise → reason for all that is out: what waits for clearance, and its kin."""
    waiting = {item.exercise: f"waits for clearance since {item.since} ({item.reason})" for item in out}
    barred = dict(waiting)
    for item in out:
        name = library.exercises[item.exercise].name if item.exercise in library.exercises else item.exercise
        for key, how in kin_of(item.exercise, item.regions, library):
            barred.setdefault(key, f"{how} {name}: {item.reason}")
    return barred


def most_sets(
    painful: Iterable[tuple[str, tuple[str, ...]]], library: Library, last: Mapping[str, int]
) -> dict[str, int]:
    """Give exercise → most sets this week where (exercise, its regions) hurt a little; `last`: sets of last week.

    Nothing kin gains sets; kin that last week did not hold stays out, unless it is of the family and loads every
    painful region less: then it may take as many sets as the painful exercise had.
    """
    capped: dict[str, int] = {}
    for exercise, regions in painful:
        before = last.get(exercise, 0)
        capped[exercise] = min(before, capped.get(exercise, before))
        for key, _ in kin_of(exercise, regions, library):
            milder = regions and all(
                grade(library, key, region) < grade(library, exercise, region) for region in regions
            )
            most = last.get(key, 0) or (before if milder else 0)
            capped[key] = min(most, capped.get(key, most))
    return capped


def kin_of(exercise: str, regions: Iterable[str], library: Library) -> Iterator[tuple[str, str]]:
    """Yield every other exercise that is kin, and how: "is of one family with", "loads the elbow as much as"."""
    painful = library.exercises.get(exercise)
    for key, other in library.exercises.items():
        if key == exercise:
            continue
        if painful is not None and other.family == painful.family:
            yield key, "is of one family with"
            continue
        for region in regions:
            if grade(library, key, region) >= max(grade(library, exercise, region), LEAST_GRADE):
                yield key, f"loads the {library.regions[region].name} as much as"
                break


def grade(library: Library, exercise: str, region: str) -> int:
    """Return how much an exercise stresses a region, 0-3; 0 where nothing is known."""
    known = library.exercises.get(exercise)
    return known.stress[region].grade if known and region in known.stress else 0
