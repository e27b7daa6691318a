"""What to do if a station is taken: other equipment, the same heads, no joint worse."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from planner.week.problem import Candidate, Problem, SessionKind

HEADS_DOSE_KEPT = 0.10  # a head's dose of the exercise may move by this part without being said
HARMLESS_GRADE = 1  # a clear region takes this much whatever the exercise replaced
FURNITURE = frozenset({"flat_bench", "adjustable_bench"})  # what another client can lend


@dataclass(frozen=True)
class Exchange:
    """A replacement: `differs` is the change of each head's dose (direct sets), `seconds` the change of time."""

    key: str
    sets: int
    differs: Mapping[str, float]
    seconds: int
    price: float  # how much the dose moves, in direct sets, heads of the replaced exercise counting fully

    def said(self, candidate: Candidate, sets: int) -> dict[str, float]:
        """Differences that must be said: those above a tenth of what the exercise gave the head."""
        return {
            head: round(change, 2)
            for head, change in self.differs.items()
            if abs(change) > HEADS_DOSE_KEPT * candidate.credits.get(head, 0.0) * sets + 1e-9
        }


def replacements(
    problem: Problem,
    session: SessionKind,
    key: str,
    sets: int,
    taken: Collection[str],
    careful: Collection[str],
) -> list[Exchange]:
    """List replacements of `sets` sets of an exercise in a session, the nearest in dose first.

    `taken` are the exercises already in that session, `careful` the joint regions that are not clear.
    """
    wanted = problem.candidate(key)
    found = [
        exchange
        for candidate in problem.candidates
        if candidate.key in session.allowed and candidate.key not in taken
        if uses_other_equipment(candidate, wanted) and no_joint_worse(candidate, wanted, careful)
        for exchange in [nearest_sets(problem, candidate, wanted, sets)]
        if gives_main_head(candidate, wanted)
    ]
    return sorted(found, key=lambda one: (one.price, problem.candidate(one.key).place))


def uses_other_equipment(candidate: Candidate, wanted: Candidate) -> bool:
    """Whether a candidate does without the equipment that is taken (a bench can be lent)."""
    occupied = set(wanted.station) - FURNITURE or set(wanted.station)
    return occupied.isdisjoint(candidate.station) and candidate.key != wanted.key


def no_joint_worse(candidate: Candidate, wanted: Candidate, careful: Collection[str]) -> bool:
    """Whether no region is stressed more: strictly where care is due, above a low grade elsewhere."""
    return all(
        grade <= wanted.grades.get(region, 0) or (region not in careful and grade <= HARMLESS_GRADE)
        for region, grade in candidate.grades.items()
    )


def gives_main_head(candidate: Candidate, wanted: Candidate) -> bool:
    """Whether the head that the exercise is mostly for is trained too: by direct sets, where it was."""
    if not wanted.credits:
        return True
    main = max(sorted(wanted.credits), key=lambda head: wanted.credits[head])
    return main in candidate.direct or (main not in wanted.direct and main in candidate.credits)


def nearest_sets(problem: Problem, candidate: Candidate, wanted: Candidate, sets: int) -> Exchange:
    """Adapt the sets so that the heads' doses stay as near as they can."""
    settings = problem.settings
    options = range(settings.smallest_block_sets, settings.largest_block_sets + 1)
    return min(
        (exchange(candidate, count, wanted, sets) for count in options),
        key=lambda one: (one.price, abs(one.sets - sets)),
    )


def exchange(candidate: Candidate, count: int, wanted: Candidate, sets: int) -> Exchange:
    """Give the exchange of `sets` sets of one exercise for `count` sets of another."""
    differs = dict(changes(candidate, count, wanted, sets))
    return Exchange(
        key=candidate.key,
        sets=count,
        differs=differs,
        seconds=candidate.seconds(count) - wanted.seconds(sets),
        price=sum(abs(change) for change in differs.values()),
    )


def changes(candidate: Candidate, count: int, wanted: Candidate, sets: int) -> Iterator[tuple[str, float]]:
    """Give each head and the change of its dose in direct sets."""
    for head in sorted(set(candidate.credits) | set(wanted.credits)):
        yield head, candidate.credits.get(head, 0.0) * count - wanted.credits.get(head, 0.0) * sets
