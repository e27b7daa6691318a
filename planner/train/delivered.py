"""What was really done against what was planned: dose a head, sets, and what a week left open.

A set counts once its repetitions are written and above none. Nothing is carried over: what a week left open
is said, and the coach decides.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.document import WeekDocument
from planner.log.record import LoggedSet

Credits = Mapping[str, Mapping[str, float]]  # exercise → head → direct sets a set
SHOWN_FROM = 0.05  # direct sets; less is rounding


@dataclass(frozen=True)
class HeadDelivered:
    """One head's dose in direct sets: planned for the sessions, and delivered in them."""

    head: str
    planned: float
    delivered: float

    @property
    def open(self) -> float:
        """Direct sets that were planned and not delivered."""
        return max(0.0, self.planned - self.delivered)


@dataclass(frozen=True)
class SkippedSets:
    """Sets of one exercise that were planned in a week and not done; `session` is where they were planned."""

    session: str
    exercise: str
    planned: int
    done: int


@dataclass(frozen=True)
class Delivered:
    """A week, or several added up: heads, sets planned, planned sets done, other sets done, sets skipped.

    `unpriced`: exercises done that neither the plan nor the library gives a credit.
    """

    weeks: tuple[str, ...]
    heads: tuple[HeadDelivered, ...]
    planned_sets: int
    done_as_planned: int
    other_sets: int
    skipped: tuple[SkippedSets, ...]
    unpriced: tuple[str, ...]

    @property
    def adherence(self) -> float:
        """Share of the planned sets that were done, 0-1; 1 where nothing was planned."""
        return self.done_as_planned / self.planned_sets if self.planned_sets else 1.0


def is_done(row: LoggedSet) -> bool:
    """Whether a line is a set that was really done."""
    return not row.is_clearance and row.reps is not None and row.reps > 0


def delivered_week(document: WeekDocument, log: Iterable[LoggedSet], credits: Credits) -> Delivered:
    """Compare one planned week with the log. `credits` prices exercises that the plan did not hold.

    A set counts in the ISO week of its date and for its exercise, whichever day it was done.
    """
    done = Counter(row.exercise for row in log if row.week == document.week and is_done(row))
    return compare(document, done, credits)


def compare(document: WeekDocument, done: Mapping[str, int], credits: Credits) -> Delivered:
    """Compare one planned week with the sets done in it (exercise → sets); else as `delivered_week`."""
    planned_credits = {item.exercise: item.credits for day in document.sessions for item in day.exercises}
    prices: Credits = {**credits, **planned_credits}
    skipped, as_planned = _skipped(document, done)
    planned = _dose((item.exercise, item.sets) for day in document.sessions for item in day.exercises)
    return Delivered(
        weeks=(document.week,),
        heads=_heads(document, planned, done, prices),
        planned_sets=sum(planned.values()),
        done_as_planned=as_planned,
        other_sets=sum(done.values()) - as_planned,
        skipped=skipped,
        unpriced=tuple(sorted(key for key in done if key not in prices)),
    )


def delivered_block(weeks: Sequence[Delivered]) -> Delivered:
    """Add up several weeks, heads in the order in which they first come."""
    heads: dict[str, HeadDelivered] = {}
    for item in (item for week in weeks for item in week.heads):
        was = heads.get(item.head, HeadDelivered(item.head, 0.0, 0.0))
        heads[item.head] = HeadDelivered(
            item.head, was.planned + item.planned, was.delivered + item.delivered
        )
    return Delivered(
        weeks=tuple(name for week in weeks for name in week.weeks),
        heads=tuple(heads.values()),
        planned_sets=sum(week.planned_sets for week in weeks),
        done_as_planned=sum(week.done_as_planned for week in weeks),
        other_sets=sum(week.other_sets for week in weeks),
        skipped=tuple(item for week in weeks for item in week.skipped),
        unpriced=tuple(sorted({key for week in weeks for key in week.unpriced})),
    )


def left_open(delivered: Delivered, head_names: Mapping[str, str]) -> tuple[str, ...]:
    """Say what a week left open, head by head, and that nothing of it is added to the next."""
    lines = [
        f"{head_names.get(item.head, item.head)}: {item.delivered:.1f} of {item.planned:.1f} planned sets delivered"
        for item in delivered.heads
        if item.open >= SHOWN_FROM
    ]
    missed = delivered.planned_sets - delivered.done_as_planned
    if missed and lines:
        share = f"{delivered.done_as_planned} of {delivered.planned_sets} planned sets were done"
        lines.append(f"{share}; what was left open is not added to the next week")
    return tuple(lines)


def _dose(sets: Iterable[tuple[str, int]]) -> Counter[str]:
    counted: Counter[str] = Counter()
    for exercise, number in sets:
        counted[exercise] += number
    return counted


def _heads(
    document: WeekDocument, planned: Mapping[str, int], done: Mapping[str, int], prices: Credits
) -> tuple[HeadDelivered, ...]:
    return tuple(
        HeadDelivered(row.head, _sum(planned, row.head, prices), _sum(done, row.head, prices))
        for row in document.dose
    )


def _sum(sets: Mapping[str, int], head: str, prices: Credits) -> float:
    return sum(number * prices.get(exercise, {}).get(head, 0.0) for exercise, number in sets.items())


def _skipped(document: WeekDocument, done: Mapping[str, int]) -> tuple[tuple[SkippedSets, ...], int]:
    """Deal the sets done to the places where they were planned, in order; what stays empty was skipped."""
    left, as_planned = dict(done), 0
    skipped = []
    for day in document.sessions:
        for item in day.exercises:
            used = min(left.get(item.exercise, 0), item.sets)
            left[item.exercise] = left.get(item.exercise, 0) - used
            as_planned += used
            if used < item.sets:
                skipped.append(SkippedSets(day.id, item.exercise, item.sets, used))
    return tuple(skipped), as_planned
