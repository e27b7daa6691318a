"""What was really done: against what was planned, and the whole log week by week. A set counts once its repetitions
are written and above none. Nothing is carried over: what a week left open is said."""

import datetime
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from library.credit import credit_of, movers_credit
from library.method import CreditSettings
from library.read import Library
from planner.athlete.brief import DAYS
from planner.document import WeekDocument, exercises_of, plan_of, week_name
from planner.log.blank import session_date
from planner.log.file import LogFrame
from planner.log.record import CLEARED, LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import UNSHOWN, day_name
from planner.train.loads import FORMULAS

Credits = Mapping[str, Mapping[str, float]]  # exercise → head → direct sets a set
PLACE = ("exercise", "gym", "load_unit")  # loads are compared in one place alone


@dataclass(frozen=True)
class HeadDelivered:
    """One head's dose in direct sets: planned for the sessions, and delivered in them."""

    head: str
    planned: float
    delivered: float


@dataclass(frozen=True)
class Delivered:
    """A week, or several added up: heads, sets planned, planned sets done, other sets done."""

    weeks: tuple[str, ...]
    heads: tuple[HeadDelivered, ...]
    planned_sets: int
    done_as_planned: int
    other_sets: int

    @property
    def done(self) -> int:
        """Sets done, planned or in place of planned ones."""
        return self.done_as_planned + self.other_sets

    @property
    def adherence(self) -> float:
        """Share of the planned sets that were done, others in their place too, 0-1; 1 where nothing was planned."""
        return min(1.0, self.done / self.planned_sets) if self.planned_sets else 1.0


@dataclass(frozen=True)
class Track:
    """How one exercise went in one gym: the best set of each week in which it was done, oldest first. Best: heaviest
    load, then most repetitions. `maxima`: of that very set, in `unit`; None for raises and above the formula's end."""

    exercise: str
    gym: str
    unit: str
    weeks: tuple[str, ...]
    loads: tuple[float, ...]
    reps: tuple[int, ...]
    maxima: tuple[float | None, ...]


@dataclass(frozen=True)
class WeekDone:
    """A week of the log: exercise → sets done, head → direct sets delivered, highest pain (None: none written), days
    with a set. Pain is 0-10, muscle soreness apart."""

    done: Mapping[str, int]
    dose: Mapping[str, float]
    pain: float | None
    days: int = 0


def library_credits(
    library: Library, settings: CreditSettings, counting: str = "activation"
) -> dict[str, dict[str, float]]:
    """Return what a set of any exercise is worth to each trained head, zeros left out. The library's ratios with the
    spread between persons: an athlete's own recordings are in the plans' credits."""
    credits: dict[str, dict[str, float]] = {}
    for head in (key for key, item in library.heads.items() if item.role == "trained"):
        for key, profile in library.profiles.get(head, {}).items():
            if exercise := library.exercises.get(key):
                movers = counting == "movers"
                expected = credit_of(exercise, profile, settings)
                worth = movers_credit(profile.ratio, settings) if movers else expected
                credits.setdefault(key, {}).update({head: worth} if worth > 0 else {})
    return credits


def planned_credits(documents: Iterable[WeekDocument]) -> dict[str, dict[str, float]]:
    """Return the credits that plans were made with; of several plans the last one's."""
    lines = (item for document in documents for session in document.sessions for item in session.exercises)
    return {item.exercise: dict(item.credits) for item in lines}


def is_done(row: LoggedSet) -> bool:
    """Whether a line is a set that was really done."""
    return not row.is_clearance and row.reps is not None and row.reps > 0


def delivered_week(
    document: WeekDocument, log: Iterable[LoggedSet], credits: Credits, library: Library | None = None
) -> Delivered:
    """Compare one planned week with the log. `credits` prices exercises that the plan did not hold, `library` says
    which head they train. A set counts in the ISO week of its date and for its exercise, whichever day it was done."""
    done = Counter(row.exercise for row in log if row.week == document.week and is_done(row))
    return compare(document, done, credits, library)


def compare(
    document: WeekDocument, done: Mapping[str, int], credits: Credits, library: Library | None = None
) -> Delivered:
    """Compare one planned week with the sets done in it (exercise → sets); else as `delivered_week`. Sets
    done beyond those planned of an exercise are others."""
    prices = {**credits, **planned_credits([document])}
    trains = {key: one.trains or "" for key, one in library.exercises.items()} if library else {}
    trains |= {item.exercise: item.trains for session in document.sessions for item in session.exercises}
    planned: Counter[str] = Counter()
    for (key, _), sets in plan_of(document).items():
        planned[key] += sets
    heads = []
    for row in document.dose:
        worth = {key: prices.get(key, {}).get(row.head, 0.0) for key in {*planned, *done}}
        own = {key for key in worth if trains.get(key) == row.head}
        given = sum(worth[key] * done.get(key, 0) for key in own)
        helping = sum(worth[key] * done.get(key, 0) for key in worth.keys() - own)
        if row.beyond >= UNSHOWN:  # as the plan counts: help beyond its share counts no more
            share = row.planned - sum(worth[key] * planned[key] for key in own)
            helping = min(helping, max(0.0, share))
        heads.append(HeadDelivered(row.head, row.planned, round(given + helping, 3)))
    as_planned = (Counter(done) & planned).total()
    others = sum(done.values()) - as_planned
    return Delivered((document.week,), tuple(heads), planned.total(), as_planned, others)


def done_otherwise(document: WeekDocument, log: Iterable[LoggedSet], library: Library) -> Iterator[str]:
    """Say what a week did not plan, on which days, and what it took the place of: "Mon, Fri: Push-up in place of Dip";
    and of what was done in earlier weeks too how it would be planned."""
    done = [row for row in log if row.week <= document.week and is_done(row)]
    rows, planned = [row for row in done if row.week == document.week], exercises_of(document)
    days = {session_date(document, session): session for session in document.sessions}
    replaced: set[tuple[datetime.date, str]] = set()
    said: dict[str, list[str]] = {}
    for date, key in sorted({(row.date, row.exercise) for row in rows if row.exercise not in planned}):
        exercise, session = library.exercises.get(key), days.get(date)
        kept = {row.exercise for row in rows if row.date == date}
        missing = [item for item in session.exercises if item.exercise not in kept] if session else []
        alike = (item for item in missing if exercise and item.trains == exercise.trains)
        item = next((item for item in alike if (date, item.exercise) not in replaced), None)
        replaced |= {(date, item.exercise)} if item else set()
        what = f"in place of {item.name}" if item else "was not planned"
        before = exercise and any(row.exercise == key and row.week < document.week for row in done)
        again = f', not for the first time (prefer = ["{key}"] would plan it)' if before else ""
        said.setdefault(f"{exercise.name if exercise else key} {what}{again}", []).append(
            DAYS[date.weekday()]
        )
    yield from (f"{', '.join(of)}: {words}" for words, of in said.items())


def days_missed(document: WeekDocument, log: Iterable[LoggedSet], today: datetime.date) -> str:
    """Say which planned days before `today` have no set in the log, whatever day it was done on; empty where none."""
    lines = [row for row in log if row.week == document.week and not row.is_clearance]
    done = [row for row in lines if is_done(row)]
    planned = sum(plan_of(document).values())
    days = []
    for session in (of for of in document.sessions if of.exercises and of.state != "missed"):
        date = session_date(document, session)
        if date < today and not any(row.date == date or row.session == session.id for row in done):
            words = "not trained" if any(row.date == date for row in lines) else "not logged"
            days.append(f"{day_name(session.id)} {words}")
    said = f"{document.week}: {len(done)} sets, {planned} planned; {', '.join(days)}."
    return said if days and len(done) < planned else ""


def delivered_block(weeks: Sequence[Delivered]) -> Delivered:
    """Add up several weeks, heads in the order in which they first come."""
    heads: dict[str, tuple[float, float]] = {}
    for item in (item for week in weeks for item in week.heads):
        planned, delivered = heads.get(item.head, (0.0, 0.0))
        heads[item.head] = planned + item.planned, delivered + item.delivered
    return Delivered(
        weeks=tuple(name for week in weeks for name in week.weeks),
        heads=tuple(HeadDelivered(head, round(of[0], 3), round(of[1], 3)) for head, of in heads.items()),
        planned_sets=sum(week.planned_sets for week in weeks),
        done_as_planned=sum(week.done_as_planned for week in weeks),
        other_sets=sum(week.other_sets for week in weeks),
    )


def left_open(delivered: Delivered, head_names: Mapping[str, str]) -> str:
    """Say what a week left open, and that nothing of it is added to the next; empty where all was done."""
    heads = ", ".join(
        f"{head_names.get(item.head, item.head)} {item.delivered:.1f} of {item.planned:.1f}"
        for item in delivered.heads
        if item.planned - item.delivered >= UNSHOWN
    )
    others = f", and {delivered.other_sets} others" if delivered.other_sets else ""
    share = f"{delivered.done_as_planned} of {delivered.planned_sets} planned sets are in the log{others}"
    return f"{share} ({heads}); what was left open is not added to the next week" if heads else ""


def look_back(
    frame: LogFrame | None,
    credits: Credits,
    heads: Sequence[str],
    multi_joint: Iterable[str],
    settings: TrainSettings = TRAIN,
    sick: Container[datetime.date] = (),
) -> tuple[dict[str, WeekDone], tuple[Track, ...]]:
    """Summarise a log (None: an empty one): every week from the first to the last, and each exercise's best sets.
    `multi_joint`: exercises whose maximum may be estimated; `sick`: days on which no set is a best one."""
    if frame is None:
        return {}, ()
    import numpy as np

    lines, keys = frame.standing(), frame.values["exercise"]
    codes = {name: frame.codes[name][lines] for name in ("date", "kind", *PLACE)}
    table = {name: frame.numbers(name)[lines] for name in ("load", "reps", "rir", "pain")}
    mondays = np.array([day.toordinal() - day.weekday() for day in frame.values["date"]])
    first, last = int(mondays.min()), int(mondays.max())
    weeks = [week_name(datetime.date.fromordinal(day)) for day in range(first, last + 1, 7)]
    week_of = (mondays - first) // 7
    table |= {"week": week_of[codes["date"]]} | {name: codes[name] for name in PLACE}
    kinds = np.array([(kind != CLEARED, kind not in (CLEARED, "muscle")) for kind in frame.values["kind"]])
    is_set, of_pain = kinds[codes["kind"]].T
    done = is_set & (table["reps"] > 0)  # not written is not a number, and no number is above 0
    place, size = (table["week"] * len(keys) + table["exercise"])[done], len(weeks) * len(keys)
    counts = np.bincount(place, minlength=size).reshape(len(weeks), len(keys))
    dose = counts @ np.array([[credits.get(key, {}).get(head, 0.0) for head in heads] for key in keys])
    worst = np.full(len(weeks), np.nan)
    np.fmax.at(worst, table["week"][of_pain], table["pain"][of_pain])
    days, summary = np.bincount(week_of[np.unique(codes["date"][done])], minlength=len(weeks)).tolist(), {}
    for name, sets, of, hurt, on in zip(weeks, counts, dose, worst.tolist(), days, strict=True):
        sets_of = {keys[place]: int(sets[place]) for place in sets.nonzero()[0]}
        of_heads = dict(zip(heads, map(float, of), strict=True))
        summary[name] = WeekDone(sets_of, of_heads, None if hurt != hurt else hurt, on)
    well = np.array([day not in sick for day in frame.values["date"]], dtype=bool)[codes["date"]]
    loaded = {name: column[done & well & (table["load"] > 0)] for name, column in table.items()}
    return summary, _tracks(loaded, frame, weeks, frozenset(multi_joint), settings)


def _tracks(
    sets: Mapping[str, Any],
    frame: LogFrame,
    weeks: Sequence[str],
    multi_joint: frozenset[str],
    settings: TrainSettings,
) -> tuple[Track, ...]:
    """Each exercise's best set of each week, gym by gym and unit by unit. Reserve not written counts as 0."""
    import numpy as np

    load, reps, week, place = (sets[name] for name in ("load", "reps", "week", "exercise"))
    if not len(load):
        return ()
    rir = np.nan_to_num(sets["rir"])
    total = reps + rir
    may = np.array([key in multi_joint for key in frame.values["exercise"]], dtype=bool)[place]
    safe = np.where(may & (total <= settings.formula_reps_most), total, np.nan)
    maximum = load * np.where(safe == 1, 1.0, FORMULAS[settings.formula](safe))
    for name in PLACE[1:]:
        place = place * len(frame.values[name]) + sets[name]
    group = place * len(weeks) + week
    order = np.lexsort((rir, reps, load, group))
    best = order[np.append(np.diff(group[order]) > 0, True)]
    tracks = []
    for rows in np.split(best, np.flatnonzero(np.diff(place[best])) + 1):
        key, gym, unit = (frame.values[name][sets[name][rows[0]]] for name in PLACE)
        maxima = tuple(None if value != value else value for value in maximum[rows].tolist())
        loads, counted = tuple(load[rows].tolist()), tuple(reps[rows].astype(int).tolist())
        tracks.append(
            Track(key, gym, unit or "", tuple(weeks[at] for at in week[rows]), loads, counted, maxima)
        )
    return tuple(tracks)
