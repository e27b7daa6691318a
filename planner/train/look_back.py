"""The whole log in a few tables: sets, delivered dose, pain and estimated maxima, week by week.

Works on whole columns: a hundred thousand sets take little longer than reading them.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from planner.document import week_name
from planner.log.file import LogFrame
from planner.log.record import CLEARED
from planner.method import LOG, TRAIN, TrainSettings
from planner.train.formulas import multiplier

SETS_MOST = LOG.sets_most + 1  # makes one number of an identity's parts
ESTIMATED_FIRST = 1e9  # a set with an estimate is better than any without


@dataclass(frozen=True)
class Track:
    """How one exercise went in one gym: the best set of each week in which it was done, oldest first.

    Best is the highest estimate, else the heaviest load, then most repetitions. `maxima`: estimated
    one-repetition maxima in `unit`; None for raises and above the formula's end.
    """

    exercise: str
    gym: str
    unit: str
    weeks: tuple[str, ...]
    loads: tuple[float, ...]
    reps: tuple[int, ...]
    maxima: tuple[float | None, ...]


@dataclass(frozen=True)
class LookBack:
    """Every week from the first logged to the last, those without a set too.

    `sets`: sets done. `dose`: head → direct sets delivered a week. `pain`: weekly maximum 0-10, muscle soreness
    apart; None where none was written. `done`: exercise → sets, a week.
    """

    weeks: tuple[str, ...]
    sets: tuple[int, ...]
    dose: Mapping[str, tuple[float, ...]]
    pain: tuple[float | None, ...]
    done: tuple[Mapping[str, int], ...]
    tracks: tuple[Track, ...]


def look_back(
    frame: LogFrame | None,
    credits: Mapping[str, Mapping[str, float]],
    heads: Sequence[str],
    multi_joint: Iterable[str],
    settings: TrainSettings = TRAIN,
) -> LookBack:
    """Summarise a log (None: an empty one). `multi_joint`: exercises whose maximum may be estimated."""
    if frame is None:
        return LookBack((), (), dict.fromkeys(heads, ()), (), (), ())
    table = _Table(frame)
    weeks = table.weeks
    counts = table.counts()
    worth = table.worth(credits, heads)
    dose = counts @ worth
    return LookBack(
        weeks=weeks,
        sets=tuple(int(total) for total in counts.sum(axis=1)),
        dose={head: tuple(map(float, dose[:, place])) for place, head in enumerate(heads)},
        pain=table.pain(),
        done=tuple(
            {table.exercises[place]: int(week[place]) for place in week.nonzero()[0]} for week in counts
        ),
        tracks=table.tracks(frozenset(multi_joint), settings),
    )


class _Table:
    """The log's columns as arrays of numbers and codes; a replaced line is left out."""

    def __init__(self, frame: LogFrame) -> None:
        import numpy as np

        self.np = np
        self.frame = frame
        codes, days = frame.codes, frame.values["date"]
        keep = self._lines_that_count()
        self.exercise, self.gym, self.unit = (codes[name][keep] for name in ("exercise", "gym", "load_unit"))
        monday = np.array([day.toordinal() - day.weekday() for day in days])[codes["date"][keep]]
        self.first = int(monday.min())
        self.week = (monday - self.first) // 7
        self.weeks = tuple(
            week_name(datetime.date.fromordinal(self.first + 7 * step))
            for step in range(int(self.week.max()) + 1)
        )
        self.exercises = frame.values["exercise"]
        self.load, self.reps = frame.numbers("load")[keep], frame.numbers("reps")[keep]
        self.rir, self.felt = frame.numbers("rir")[keep], frame.numbers("pain")[keep]
        kinds = frame.values["kind"]
        kind = codes["kind"][keep]
        self.is_set = np.array([word != CLEARED for word in kinds])[kind]
        self.is_muscle = np.array([word == "muscle" for word in kinds])[kind]
        self.done = self.is_set & (self.reps > 0)  # not written is not a number, and no number is above 0

    def _count(self, name: str) -> int:
        return len(self.frame.values[name])

    def _lines_that_count(self) -> Any:
        """Return the places of the lines that count, rising: the last of each identity."""
        identity = self.frame.codes["date"]
        for name in ("session", "exercise"):
            identity = identity * self._count(name) + self.frame.codes[name]
        identity = identity * SETS_MOST + self.frame.numbers("set").astype(self.np.int64)
        _, first_from_the_end = self.np.unique(identity[::-1], return_index=True)
        return self.np.sort(len(identity) - 1 - first_from_the_end)

    def counts(self) -> Any:
        """Return sets done, weeks × exercises."""
        shape = (len(self.weeks), len(self.exercises))
        flat = self.week[self.done] * shape[1] + self.exercise[self.done]
        return self.np.bincount(flat, minlength=shape[0] * shape[1]).reshape(shape)

    def worth(self, credits: Mapping[str, Mapping[str, float]], heads: Sequence[str]) -> Any:
        """Return direct sets a set, exercises × heads; 0 where nothing prices an exercise."""
        return self.np.array(
            [[credits.get(key, {}).get(head, 0.0) for head in heads] for key in self.exercises]
        )

    def pain(self) -> tuple[float | None, ...]:
        """Return the weekly maxima."""
        told = self.is_set & ~self.is_muscle & ~self.np.isnan(self.felt)
        worst = self.np.full(len(self.weeks), -1.0)
        self.np.maximum.at(worst, self.week[told], self.felt[told])
        return tuple(None if value < 0 else float(value) for value in worst)

    def tracks(self, multi_joint: frozenset[str], settings: TrainSettings) -> tuple[Track, ...]:
        """Return each exercise's best set of each week, gym by gym and unit by unit."""
        np = self.np
        use = self.done & (self.load > 0)
        if not use.any():
            return ()
        week, load, reps = self.week[use], self.load[use], self.reps[use]
        place = (self.exercise[use] * self._count("gym") + self.gym[use]) * self._count(
            "load_unit"
        ) + self.unit[use]
        maximum = self._maxima(use, multi_joint, settings)
        group = place * len(self.weeks) + week
        score = np.where(np.isnan(maximum), load * 1000 + reps, ESTIMATED_FIRST + maximum)
        order = np.lexsort((score, group))
        best = order[np.append(np.diff(group[order]) > 0, True)]
        starts = np.append(np.flatnonzero(np.diff(place[best], prepend=-1)), len(best))
        return tuple(
            self._track(int(place[rows[0]]), week[rows], load[rows], reps[rows], maximum[rows])
            for rows in (best[start:end] for start, end in pairwise(starts))
        )

    def _maxima(self, use: Any, multi_joint: frozenset[str], settings: TrainSettings) -> Any:
        """Estimate each set's maximum; NaN for raises and beyond the formula's end. Reserve not written counts as 0."""
        np = self.np
        total = self.reps[use] + np.nan_to_num(self.rir[use])
        allowed = np.array([key in multi_joint for key in self.exercises])[self.exercise[use]]
        allowed &= total <= settings.formula_reps_most
        safe = np.where(allowed, total, 1.0)
        estimate = self.load[use] * np.where(safe == 1, 1.0, multiplier(settings.formula)(safe))
        return np.where(allowed, estimate, np.nan)

    def _track(self, code: int, week: Any, load: Any, reps: Any, maximum: Any) -> Track:
        rest, unit = divmod(code, self._count("load_unit"))
        exercise, gym = divmod(rest, self._count("gym"))
        gyms = self.frame.values["gym"]
        units = self.frame.values["load_unit"]
        return Track(
            exercise=self.exercises[exercise],
            gym=gyms[gym],
            unit=units[unit] or "",
            weeks=tuple(map(self.weeks.__getitem__, week.tolist())),
            loads=tuple(load.tolist()),
            reps=tuple(reps.astype(int).tolist()),
            maxima=tuple(None if value != value else value for value in maximum.tolist()),
        )
