"""What was really done: against what was planned, and the whole log week by week.

A set counts once its repetitions are written and above none. Nothing is carried over: what a week left open is said,
and the coach decides. The whole log is summed as columns: a hundred thousand sets take little longer than reading them.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from library.credit import movers_credit, set_credit
from library.method import CreditSettings
from library.read import Library
from planner.document import WeekDocument, week_name
from planner.log.frame import LogFrame
from planner.log.record import CLEARED, LoggedSet
from planner.method import LOG, TRAIN, TrainSettings
from planner.plain import UNSHOWN
from planner.train.loads import FORMULAS

Credits = Mapping[str, Mapping[str, float]]  # exercise → head → direct sets a set
SETS_MOST = LOG.sets_most + 1  # makes one number of an identity's parts
ESTIMATED_FIRST = 1e9  # a set with an estimate is better than any without


@dataclass(frozen=True)
class HeadDelivered:
    """One head's dose in direct sets: planned for the sessions, and delivered in them."""

    head: str
    planned: float
    delivered: float


@dataclass(frozen=True)
class SkippedSets:
    """Sets of one exercise that were planned in a week and not done; `session` is where they were planned."""

    session: str
    exercise: str
    planned: int
    done: int


@dataclass(frozen=True)
class Delivered:
    """A week, or several added up: heads, sets planned, planned sets done, other sets done, sets skipped."""

    weeks: tuple[str, ...]
    heads: tuple[HeadDelivered, ...]
    planned_sets: int
    done_as_planned: int
    other_sets: int
    skipped: tuple[SkippedSets, ...]

    @property
    def adherence(self) -> float:
        """Share of the planned sets that were done, 0-1; 1 where nothing was planned."""
        return self.done_as_planned / self.planned_sets if self.planned_sets else 1.0


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

    `dose`: head → direct sets delivered a week. `pain`: weekly maximum 0-10, muscle soreness
    apart; None where none was written. `done`: exercise → sets, a week.
    """

    weeks: tuple[str, ...]
    dose: Mapping[str, tuple[float, ...]]
    pain: tuple[float | None, ...]
    done: tuple[Mapping[str, int], ...]
    tracks: tuple[Track, ...]


def library_credits(
    library: Library, settings: CreditSettings, counting: str = "activation"
) -> dict[str, dict[str, float]]:
    """Return what a set of any exercise is worth to each trained head, zeros left out."""
    credits: dict[str, dict[str, float]] = {}
    for head in (key for key, item in library.heads.items() if item.role == "trained"):
        for key, profile in library.profiles.get(head, {}).items():
            exercise = library.exercises.get(key)
            if exercise is None:
                continue
            share = exercise.eccentric_share.value
            by_activation = set_credit(profile.ratio, share, settings.eccentric_weight, settings)
            worth = movers_credit(profile.ratio, settings) if counting == "movers" else by_activation
            if worth > 0:
                credits.setdefault(key, {})[head] = worth
    return credits


def planned_credits(documents: Iterable[WeekDocument]) -> dict[str, dict[str, float]]:
    """Return the credits that plans were made with; of several plans the last one's."""
    lines = (item for document in documents for session in document.sessions for item in session.exercises)
    return {item.exercise: dict(item.credits) for item in lines}


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
    """Compare one planned week with the sets done in it (exercise → sets); else as `delivered_week`.

    Sets done are dealt to the places where they were planned, in order; what stays empty was skipped.
    """
    prices = {**credits, **planned_credits([document])}
    planned: Counter[str] = Counter()
    left, skipped = dict(done), []
    for session in document.sessions:
        for item in session.exercises:
            planned[item.exercise] += item.sets
            used = min(left.get(item.exercise, 0), item.sets)
            left[item.exercise] = left.get(item.exercise, 0) - used
            if used < item.sets:
                skipped.append(SkippedSets(session.id, item.exercise, item.sets, used))
    return Delivered(
        weeks=(document.week,),
        heads=tuple(
            HeadDelivered(row.head, _sum(planned, row.head, prices), _sum(done, row.head, prices))
            for row in document.dose
        ),
        planned_sets=planned.total(),
        done_as_planned=sum(done.values()) - sum(left.values()),
        other_sets=sum(left.values()),
        skipped=tuple(skipped),
    )


def _sum(sets: Mapping[str, int], head: str, prices: Credits) -> float:
    return sum(number * prices.get(exercise, {}).get(head, 0.0) for exercise, number in sets.items())


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
    )


def left_open(delivered: Delivered, head_names: Mapping[str, str]) -> tuple[str, ...]:
    """Say what a week left open, head by head, and that nothing of it is added to the next."""
    lines = [
        f"{head_names.get(item.head, item.head)}: {item.delivered:.1f} of {item.planned:.1f} planned sets delivered"
        for item in delivered.heads
        if item.planned - item.delivered >= UNSHOWN
    ]
    if lines and delivered.done_as_planned < delivered.planned_sets:
        share = f"{delivered.done_as_planned} of {delivered.planned_sets} planned sets were done"
        lines.append(f"{share}; what was left open is not added to the next week")
    return tuple(lines)


def look_back(
    frame: LogFrame | None,
    credits: Credits,
    heads: Sequence[str],
    multi_joint: Iterable[str],
    settings: TrainSettings = TRAIN,
) -> LookBack:
    """Summarise a log (None: an empty one). `multi_joint`: exercises whose maximum may be estimated."""
    if frame is None:
        return LookBack((), dict.fromkeys(heads, ()), (), (), ())
    import numpy as np

    table = _table(frame)
    first, last = int(table["monday"].min()), int(table["monday"].max())
    weeks = tuple(week_name(datetime.date.fromordinal(day)) for day in range(first, last + 1, 7))
    table["week"] = (table["monday"] - first) // 7
    keys, shape = frame.values["exercise"], (len(weeks), len(frame.values["exercise"]))
    done = table[table["done"]]
    counts = np.bincount(done["week"] * shape[1] + done["exercise"], minlength=shape[0] * shape[1]).reshape(
        shape
    )
    dose = counts @ np.array([[credits.get(key, {}).get(head, 0.0) for head in heads] for key in keys])
    worst = table[table["of_pain"]].groupby("week")["pain"].max().dropna().to_dict()
    return LookBack(
        weeks=weeks,
        dose={head: tuple(map(float, dose[:, place])) for place, head in enumerate(heads)},
        pain=tuple(worst.get(place) for place in range(len(weeks))),
        done=tuple({keys[place]: int(week[place]) for place in week.nonzero()[0]} for week in counts),
        tracks=_tracks(done[done["load"] > 0], frame, weeks, frozenset(multi_joint), settings),
    )


def _table(frame: LogFrame) -> Any:
    """The log as a table of numbers and codes, replaced lines left out; `monday` of the week as a day's number."""
    import numpy as np
    import pandas

    columns = {
        name: frame.codes[name] for name in ("date", "session", "exercise", "gym", "load_unit", "kind")
    }
    columns |= {name: frame.numbers(name) for name in ("set", "load", "reps", "rir", "pain")}
    identity = columns["date"]
    for name in ("session", "exercise"):
        identity = identity * len(frame.values[name]) + columns[name]
    columns["identity"] = identity * SETS_MOST + columns["set"].astype(int)
    mondays = np.array([day.toordinal() - day.weekday() for day in frame.values["date"]])
    kinds = np.array([(kind != CLEARED, kind not in (CLEARED, "muscle")) for kind in frame.values["kind"]])
    is_set, of_pain = kinds[columns["kind"]].T
    # not written is not a number, and no number is above 0
    columns |= {
        "monday": mondays[columns["date"]],
        "of_pain": of_pain,
        "done": is_set & (columns["reps"] > 0),
    }
    return pandas.DataFrame(columns).drop_duplicates("identity", keep="last")


def _tracks(
    sets: Any, frame: LogFrame, weeks: Sequence[str], multi_joint: frozenset[str], settings: TrainSettings
) -> tuple[Track, ...]:
    """Each exercise's best set of each week, gym by gym and unit by unit. Reserve not written counts as 0."""
    import numpy as np

    total = sets["reps"] + sets["rir"].fillna(0.0)
    may = np.array([key in multi_joint for key in frame.values["exercise"]], dtype=bool)[sets["exercise"]]
    safe = total.where(may & (total <= settings.formula_reps_most))
    maximum = sets["load"] * np.where(safe == 1, 1.0, FORMULAS[settings.formula][0](safe))
    score = np.where(maximum.isna(), sets["load"] * 1000 + sets["reps"], ESTIMATED_FIRST + maximum)
    place = ["exercise", "gym", "load_unit"]
    ordered = sets.assign(maximum=maximum, score=score).sort_values([*place, "week", "score"], kind="stable")
    best = ordered.drop_duplicates([*place, "week"], keep="last")
    return tuple(
        Track(
            exercise=frame.values["exercise"][exercise],
            gym=frame.values["gym"][gym],
            unit=frame.values["load_unit"][unit] or "",
            weeks=tuple(weeks[week] for week in rows["week"]),
            loads=tuple(rows["load"].tolist()),
            reps=tuple(rows["reps"].astype(int).tolist()),
            maxima=tuple(None if value != value else value for value in rows["maximum"].tolist()),
        )
        for (exercise, gym, unit), rows in best.groupby(place)
    )
