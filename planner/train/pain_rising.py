"""Pain that builds week on week: of an exercise, or of a joint region whatever the exercise."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from library.read import Library
from planner.log.record import LoggedSet
from planner.method import TRAIN, TrainSettings


@dataclass(frozen=True)
class Rising:
    """What pain rises: key and printed name of an exercise or a region, and its last weekly maxima (0-10)."""

    key: str
    name: str
    maxima: tuple[float, ...]

    @property
    def shown(self) -> str:
        """The maxima as they are printed: "1, 2, 4"."""
        return ", ".join(f"{value:g}" for value in self.maxima)


def rising_pain(
    rows: Iterable[LoggedSet], library: Library, settings: TrainSettings = TRAIN
) -> tuple[Rising, ...]:
    """Find what rises over the last `pain_rising_weeks` that were logged; `rows` are those that speak of pain.

    An exercise must have been done in all of them; a region without a complaint in a week stands at 0.
    """
    by_week: dict[str, list[LoggedSet]] = {}
    for row in rows:
        by_week.setdefault(row.week, []).append(row)
    weeks = [by_week[week] for week in sorted(by_week)[-settings.pain_rising_weeks :]]
    if len(weeks) < settings.pain_rising_weeks:
        return ()
    done_in_all = set.intersection(*({row.exercise for row in week} for week in weeks))
    found = [
        Rising(
            key, exercise.name, tuple(_worst(row for row in week if row.exercise == key) for week in weeks)
        )
        for key, exercise in library.exercises.items()
        if key in done_in_all
    ]
    found += [
        Rising(key, region.name, tuple(_worst(row for row in week if row.where == key) for week in weeks))
        for key, region in library.regions.items()
    ]
    return tuple(item for item in found if is_rising(item.maxima, settings))


def is_rising(maxima: tuple[float, ...], settings: TrainSettings = TRAIN) -> bool:
    """Whether each weekly maximum is above the one before and the last is high enough to matter."""
    rises = all(before < after for before, after in pairwise(maxima))
    return rises and maxima[-1] >= settings.pain_rising_last_least


def _worst(rows: Iterable[LoggedSet]) -> float:
    return max((row.pain for row in rows if row.pain is not None), default=0.0)
