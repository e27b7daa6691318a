"""What logged pain changes: nothing, less load, or a movement that waits for clearance. Nothing is diagnosed. The
day's maximum decides. 0-2: go. 3-5: less load or a set less. Above 5, anything sharp, numb or slipping, or not settled
the next morning: out until the coach records it cleared, and the joint region is allowed one level less. Kin
(planner/train/kin.py) of what is out wait with it, kin of what hurts a little gain neither sets nor load."""

import datetime
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from library.method import LOG
from library.read import Library
from planner.athlete.brief import Allowance
from planner.document import ExerciseWarning, week_name
from planner.log.record import NOT_SETTLED, LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import counted, name_of
from planner.train import kin
from planner.train.kin import ONE_FAMILY, Painful, is_milder, kin_of, waiting_heads, with_it
from planner.train.loads import hurts, percent

SEE = "See a doctor or physiotherapist"
BACK = f"{SEE}: what is left out comes back when the coach has recorded it cleared."
ALARMS = {"sharp": "sharp pain", "numb": "numbness", "slips": "a shoulder that slips"}
MORNING = "not settled the next morning"
UNSETTLED = f"pain that had {MORNING}"
ONE_LEVEL_LESS: dict[Allowance, Allowance] = {"clear": "careful", "careful": "avoid", "avoid": "avoid"}


class Rising(NamedTuple):
    """An exercise or a region whose pain rises or stays: key, printed name, weekly maxima (0-10) and their last week."""

    key: str
    name: str
    maxima: tuple[float, ...]
    week: str

    @property
    def how(self) -> str:
        """In a word."""
        return "builds" if list(self.maxima) == sorted(set(self.maxima)) else "stays"


@dataclass(frozen=True)
class PainState:
    """What the log's pain means for the next week. `out`: waits for clearance; `barred`: exercise → why it is out,
    kin included; `capped`: exercise → most sets this week, where nothing kin may gain any. `regions`: joint region →
    why its allowance falls one level. `eased`: done with less. `lines`: printed, whom to see first. `returning`:
    exercise → day when it, or what it waited with, was cleared. `small`: what hurts little, but week after week.
    `steady`: exercise → what hurt in the last week that was logged, itself or kin: it goes no higher; of pain without a
    place nothing does.
    `fewer`: (exercise, day) → sets that are left of what hurts and has no lighter load."""

    out: tuple[Painful, ...] = ()
    barred: Mapping[str, str] = field(default_factory=dict)
    regions: Mapping[str, str] = field(default_factory=dict)
    eased: tuple[Painful, ...] = ()
    rising: tuple[Rising, ...] = ()
    lines: tuple[ExerciseWarning, ...] = ()
    capped: Mapping[str, int] = field(default_factory=dict)
    returning: Mapping[str, datetime.date] = field(default_factory=dict)
    small: tuple[Rising, ...] = ()
    steady: Mapping[str, str] = field(default_factory=dict)
    fewer: Mapping[tuple[str, str], int] = field(default_factory=dict)

    @property
    def sheet_lines(self) -> tuple[str, ...]:
        """The words of all lines, whatever sheet they stand on."""
        return tuple(line.text for line in self.lines)

    def is_out(self, exercise: str) -> bool:
        """Whether an exercise itself waits for clearance."""
        return exercise in {item.exercise for item in self.out}

    def allowance(self, region: str, stated: Allowance) -> Allowance:
        """Return what a region allows, given what the brief says: one level less where pain points at it."""
        return ONE_LEVEL_LESS[stated] if region in self.regions else stated

    def load_share(self, exercise: str, settings: TrainSettings = TRAIN) -> float:
        """Return the share of the last load that pain allows; 1: all of it."""
        return settings.pain_load_share if exercise in {item.exercise for item in self.eased} else 1.0

    def most_sets(self, week: str, last: Mapping[str, int], library: Library) -> dict[str, int]:
        """Give exercise → most sets after a week in which it, or its kin, hurt a little; `last`: sets of last week.
        New kin may only take its place, if milder there; until what was put out is cleared nothing is new and nothing
        gains sets: what was tolerated stays. Where pain stays week on week and no head waits, other movements do the
        work."""
        alone = [item for item in self.out if item.alone]
        heads = waiting_heads(self.barred, library, last)
        nothing_new = bool(heads) or len(alone) < len(self.out)
        capped = {key: last.get(key, 0) for key in library.exercises} if nothing_new else {}
        capped |= {key: last.get(key, 0) for item in alone for key in item.tolerated}
        for item in (item for item in (*self.eased, *alone) if week_name(item.since) == week):
            for key in [item.exercise, *kin_of(item, library)]:
                place = item.exercise if not last.get(key) and is_milder(key, item, library) else key
                capped[key] = min(last.get(place, 0), capped.get(key, last.get(place, 0)))
        return capped

    @property
    def unsafe(self) -> bool:
        """Whether numbness or a slip waits to be seen: then nothing new is done, and of all else half."""
        return any(item.unsafe_above for item in self.out)

    def document(self) -> dict[str, Any]:
        """Return what pain changes as data for --json."""
        out = [{"exercise": of.exercise, "since": str(of.since), "reason": of.reason} for of in self.out]
        rising = [{"what": item.key, "weekly_maxima": list(item.maxima)} for item in self.rising]
        named = {"out": out, "barred": dict(self.barred), "regions_lowered": dict(self.regions)}
        return named | {"eased": [item.exercise for item in self.eased], "rising": rising}


def pain_rules(
    log: Iterable[LoggedSet], library: Library, before: datetime.date, settings: TrainSettings = TRAIN
) -> PainState:
    """Apply the rules to every line before a date (the first day that is planned), and what is cleared as of that day."""
    # sorted is stable: inside a day a clearance counts after the lines above it in the file
    known = (row for row in log if row.date < before or (row.is_clearance and row.date == before))
    rows = sorted(known, key=lambda row: row.date)
    year = rows[-1].date - datetime.timedelta(days=LOG.deciding_days) if rows else before
    stays = tuple(_rising(rows, year, library, settings))
    small = tuple(rise for rise in stays if rise.key in library.exercises and lingers(rise.maxima, settings))
    rising = tuple(rise for rise in stays if is_rising(rise.maxima, settings))
    out = tuple(_waiting(rows, rising, library, settings))
    waiting = {item.exercise for item in out}
    eased = tuple(item for item in _eased(rows, library, settings) if item.exercise not in waiting)
    said = {item: f"{name_of(library, item.exercise)}: {item.reason}" for item in out}
    regions = {region: said[item] for item in out for region in kin.lowered(item, library)}
    barred = {item.exercise: item.waits for item in out}
    for item in out:
        for key, how in with_it(item, library).items():
            barred.setdefault(key, f"{how} {said[item]}")
    done = tuple(item for item in eased if item.exercise not in barred)
    lines = tuple(_lines(out, done, rising, rows, library, settings))
    back: dict[str, datetime.date] = {}
    for place, row in enumerate(rows):
        then = rows[:place] if row.is_clearance and row.date > year else []
        for item in _waiting(then, _rising(then, year, library, settings), library, settings):
            if item.exercise == row.exercise:
                waited = [item.exercise, *with_it(item, library)]
                back |= {key: row.date for key in waited if key not in barred}
    newest = max((row.week for row in rows if not row.is_clearance), default="")
    felt = [row for row in rows if row.is_clearance or (row.week == newest and hurts(row, settings))]
    steady: dict[str, str] = {}
    for item in _eased(felt, library, settings):
        alike = (*kin_of(item, library), item.exercise) if item.where else library.exercises
        steady |= dict.fromkeys(alike, name_of(library, item.exercise))
    return PainState(out, barred, regions, eased, rising, lines, returning=back, small=small, steady=steady)


def _alarm(row: LoggedSet, settings: TrainSettings) -> str:
    much, late = f"{row.pain or 0:g} of 10", row.next_morning == NOT_SETTLED
    strong = f"pain {much}" if (row.pain or 0) > settings.pain_reduce_most else ""
    named = ALARMS.get(row.complaint, strong)
    if not row.of_pain or not (named or late):
        return ""
    said = [named or UNSETTLED, much * bool(row.pain and named != strong), MORNING * bool(named and late)]
    return ", ".join(filter(None, said))


def _rising(
    rows: Sequence[LoggedSet], year: datetime.date, library: Library, settings: TrainSettings
) -> Iterator[Rising]:
    """Find what rises or stays; what was before a clearance counts no more. Of an exercise the weeks count in which it
    was done: what rose and was not cleared stands, whatever came after; before `year` the log may have gaps. Of a
    region the last weeks that were logged count: without a complaint it stands at 0."""
    cleared = {row.exercise: row.date for row in rows if row.is_clearance}
    rows = [row for row in rows if row.of_pain and row.date > cleared.get(row.exercise, datetime.date.min)]
    felt: dict[str, dict[str, float]] = {}
    for row in rows:
        for key in (row.exercise, row.where):
            of = felt.setdefault(key, {})
            of[row.week] = max(of.get(row.week, 0.0), row.pain or 0.0)
    span, logged = settings.pain_rising_weeks, sorted({row.week for row in rows})
    names = {key: one.name for table in (library.exercises, library.regions) for key, one in table.items()}
    for key in (key for key in names if key in felt):
        weeks = sorted(felt[key]) if key in library.exercises else logged[-span:]
        weeks = weeks[-max(span, sum(week > week_name(year) for week in weeks)) :]
        maxima = tuple(felt[key].get(week, 0.0) for week in weeks)
        ends = range(1, len(weeks) + 1) if key in library.exercises else [len(weeks)]
        shown = [Rising(key, names[key], maxima[max(0, end - span) : end], weeks[end - 1]) for end in ends]
        risen = [rise for rise in shown if is_rising(rise.maxima, settings)]
        yield from risen[-1:] or (rise for rise in shown[-1:] if lingers(rise.maxima, settings))


def lingers(maxima: Sequence[float], settings: TrainSettings = TRAIN) -> bool:
    """Whether small pain stands in every one of the weeks that tell a rise, and the last is no better than the first."""
    small = len(maxima) == settings.pain_rising_weeks and 0 < min(maxima) <= settings.pain_go_most
    return small and maxima[-1] >= maxima[0] and not is_rising(maxima, settings)


def is_rising(maxima: Sequence[float], settings: TrainSettings = TRAIN) -> bool:
    """Whether weekly maxima rise to one that matters, or the newest are none of them small and do not ease."""
    for weeks in (settings.pain_staying_weeks, settings.pain_rising_weeks):
        newest = maxima[-weeks:]
        if len(newest) == weeks and min(newest) > settings.pain_go_most and newest[-1] >= newest[0]:
            return True
    builds = len(maxima) == settings.pain_rising_weeks and list(maxima) == sorted(set(maxima))
    return builds and maxima[-1] >= settings.pain_rising_last_least


def _waiting(
    rows: Sequence[LoggedSet], rising: Iterable[Rising], library: Library, settings: TrainSettings
) -> Iterator[Painful]:
    """Give what waits for a clearance: after an alarm, and what hurts week on week."""
    out = {item.exercise: item for item in _out(rows, library, settings)}
    for rise in (rise for rise in rising if rise.key in library.exercises and rise.key not in out):
        felt = (row for row in rows if row.exercise == rise.key and hurts(row, settings))
        then = [row for row in felt if row.week <= rise.week]
        shown = ", ".join(f"{value:g}" for value in rise.maxima)
        for item in _eased(then, library, settings):
            out[item.exercise] = replace(item, reason=f"pain {rise.how} week on week ({shown})", alone=True)
    for item in out.values():
        start = item.since - datetime.timedelta(weeks=settings.pain_staying_weeks * item.alone)
        late = [row for row in rows if row.date >= start] if item.alone or UNSETTLED in item.reason else []
        hurt = {row.exercise for row in late if hurts(row, settings) or _alarm(row, settings)}
        done = {(row.exercise, row.date) for row in late if row.pain is not None and row.exercise not in hurt}
        days, least = Counter(key for key, _ in done), settings.pain_free_days_least if item.alone else 1
        of_family = {key for key, how in kin_of(item, library).items() if how == ONE_FAMILY}
        fine = (key for key in days if days[key] >= least and (key in of_family) == item.alone)
        yield replace(item, tolerated=frozenset(fine))


def _out(rows: Iterable[LoggedSet], library: Library, settings: TrainSettings) -> Iterable[Painful]:
    waiting: dict[str, Painful] = {}  # from an exercise's first alarm until a clearance
    for row in rows:
        if row.is_clearance:
            waiting.pop(row.exercise, None)
        elif why := _alarm(row, settings):
            item = waiting.get(row.exercise) or Painful(row.exercise, row.date, 0.0, "")
            waiting[row.exercise] = kin.noted(item, row, f"{why} on {row.date}", library, settings)
    return waiting.values()


def _eased(rows: Iterable[LoggedSet], library: Library, settings: TrainSettings) -> Iterable[Painful]:
    """Exercises whose newest day has a maximum of 3-5, and that were not cleared since."""
    newest: dict[str, Painful] = {}
    for row in rows:
        if row.is_clearance:
            newest.pop(row.exercise, None)
            continue
        item = newest.get(row.exercise)
        if item is None or item.since != row.date:
            item = Painful(row.exercise, row.date, 0.0, "")
        newest[row.exercise] = kin.noted(item, row, "", library, settings) if hurts(row, settings) else item
    return [item for item in newest.values() if item.pain]


def _lines(
    out: Sequence[Painful], eased: Sequence[Painful], rising: Sequence[Rising], rows: Sequence[LoggedSet],
    library: Library, settings: TrainSettings,
) -> Iterator[ExerciseWarning]:  # fmt: skip
    done = {row.exercise: row.date for row in rows if row.reps}
    hurt = max((row.week for row in rows if hurts(row, settings) or _alarm(row, settings)), default="")
    quiet = max((row.date for row in rows if row.reps and row.week > hurt), default=None)
    waiting = {item.exercise for item in out} | {region for item in out for region in item.regions}
    open_rises = [rise for rise in rising if rise.key not in waiting]
    if out or open_rises:
        keys = " or ".join(item.exercise for item in out)
        clears = f" No complaint since, up to {quiet}. Once cleared: planner log ATHLETE --cleared {keys}."
        said = (BACK if out else f"{SEE} before going on.") + (clears if quiet and out else "")
        yield ExerciseWarning(exercise="", text=said, first_sheet=True, kind="out" if out else "rising")
    for item in out:
        day = f", last on {item.since}" if item.alone else ""
        last = done.get(item.exercise, item.since)
        told = last <= item.since or str(last) in item.reason
        again = "" if told else f" It was done again on {last}."
        also = kin.left_out_with(item, library)
        said = f"{kin.felt_in(item, library)}: {item.reason}{day}: left out{also and ', with '}{also}.{again}"
        own = item.exercise if item.exercise in library.exercises else ""
        felt: dict[str, Any] = {"pain": item.pain, "since": item.since}
        yield ExerciseWarning(exercise=own, text=said, first_sheet=True, kind="out", **felt)
    for (
        rise
    ) in open_rises:  # a region: the sheets of its exercises are not told, the first one asks for a doctor
        shown = ", ".join(f"{value:g}" for value in rise.maxima)
        said = f"{rise.name}: pain {rise.how} week on week ({shown})."
        yield ExerciseWarning(exercise="", text=said, kind="rising", first_sheet=True)
    share, fewer = percent(1 - settings.pain_load_share), counted(settings.pain_fewer_sets, "set")
    less = f"{share} less load where the gym has it, else {fewer} less."
    for item in eased:
        place = f", {item.where}," if item.where else ""
        said = f"{name_of(library, item.exercise)}: pain {item.pain:g}{place} on {item.since}: {less}"
        felt = {"pain": item.pain, "since": item.since}
        yield ExerciseWarning(exercise=item.exercise, text=said, kind="eased", **felt)
