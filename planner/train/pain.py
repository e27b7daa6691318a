"""What logged pain changes: nothing, less load, or an exercise that waits for clearance. Nothing is diagnosed.

The day's maximum of an exercise decides. 0-2: go. 3-5: less load or a set less. Above 5, anything sharp,
numb or slipping, or not settled the next morning: out until the coach records it cleared (kind `cleared` in
the log), and the joint region is allowed one level less. Muscle soreness alone changes nothing.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from library.read import Library
from planner.athlete.brief import Allowance
from planner.log.record import NOT_SETTLED, LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.train.loads import percent
from planner.train.pain_rising import Rising, rising_pain

SEE = "See a doctor or physiotherapist"
ALREADY = "on the sheet it is lowered already where the gym has a lighter one"
ALARMS = {"sharp": "sharp pain", "numb": "numbness", "slips": "a shoulder that slips"}
ONE_LEVEL_LESS: dict[Allowance, Allowance] = {"clear": "careful", "careful": "avoid", "avoid": "avoid"}


@dataclass(frozen=True)
class OutExercise:
    """An exercise that waits for clearance, since which day, why, and the joint regions it casts doubt on."""

    exercise: str
    since: datetime.date
    reason: str
    regions: tuple[str, ...]


@dataclass(frozen=True)
class EasedExercise:
    """An exercise to be done with less after a day of pain: `pain` 0-10 on that day."""

    exercise: str
    date: datetime.date
    pain: float


@dataclass(frozen=True)
class PainLine:
    """What the client's sheet says of pain. `exercise`: only the sheets that print it need the line; empty: the first.

    `first_sheet`: on the week's first sheet too, because it asks for something before the week goes on.
    """

    text: str
    exercise: str = ""
    first_sheet: bool = False


@dataclass(frozen=True)
class PainState:
    """What the log's pain means for the next week.

    `regions`: joint region → why its allowance falls one level. `lines`: what the client's sheets say.
    """

    out: tuple[OutExercise, ...] = ()
    regions: Mapping[str, str] = field(default_factory=dict)
    eased: tuple[EasedExercise, ...] = ()
    rising: tuple[Rising, ...] = ()
    lines: tuple[PainLine, ...] = ()

    @property
    def sheet_lines(self) -> tuple[str, ...]:
        """The words of all lines, whatever sheet they stand on."""
        return tuple(line.text for line in self.lines)

    def is_out(self, exercise: str) -> bool:
        """Whether an exercise waits for clearance."""
        return any(item.exercise == exercise for item in self.out)

    def allowance(self, region: str, stated: Allowance) -> Allowance:
        """Return what a region allows, given what the brief says: one level less where pain points at it."""
        return ONE_LEVEL_LESS[stated] if region in self.regions else stated

    def lasting(self, library: Library, settings: TrainSettings = TRAIN) -> PainState:
        """Return what lasts beyond the next week: exercises and regions that wait for clearance."""
        lines = tuple(_lines(self.out, (), (), library, settings))
        return PainState(out=self.out, regions=self.regions, lines=lines)

    def load_share(self, exercise: str, settings: TrainSettings = TRAIN) -> float:
        """Return the share of the last load that pain allows; 1: all of it."""
        eased = any(item.exercise == exercise for item in self.eased)
        return settings.pain_load_share if eased else 1.0


def pain_rules(
    log: Iterable[LoggedSet], library: Library, before: datetime.date, settings: TrainSettings = TRAIN
) -> PainState:
    """Apply the rules to every line before a date (the first day that is planned)."""
    # sorted is stable: inside a day a clearance counts after the lines above it in the file
    rows = sorted((row for row in log if row.date < before), key=lambda row: row.date)
    out = tuple(_out(rows, library, settings))
    waiting = {item.exercise for item in out}
    eased = tuple(item for item in _eased(rows, settings) if item.exercise not in waiting)
    rising = rising_pain([row for row in rows if counts(row)], library, settings)
    regions = {
        region: f"{_name(item.exercise, library)}: {item.reason}" for item in out for region in item.regions
    }
    return PainState(out, regions, eased, rising, tuple(_lines(out, eased, rising, library, settings)))


def counts(row: LoggedSet) -> bool:
    """Whether a line speaks of pain at all: a set whose complaint is not muscle soreness alone."""
    return not row.is_clearance and row.kind != "muscle"


def alarm(row: LoggedSet, settings: TrainSettings = TRAIN) -> str:
    """Return why a line puts its exercise out, or an empty text."""
    if not counts(row):
        return ""
    if row.kind in ALARMS:
        return ALARMS[row.kind]
    if row.pain is not None and row.pain > settings.pain_reduce_most:
        return f"pain {row.pain:g} of 10"
    return "pain that had not settled the next morning" if row.next_morning == NOT_SETTLED else ""


def _out(rows: list[LoggedSet], library: Library, settings: TrainSettings) -> Iterable[OutExercise]:
    """An exercise is out from its first alarm until a clearance, through all further alarms."""
    waiting: dict[str, OutExercise] = {}
    for row in rows:
        if row.is_clearance:
            waiting.pop(row.exercise, None)
        elif why := alarm(row, settings):
            first = waiting.get(row.exercise)
            regions = (*(first.regions if first else ()), *_regions(row, library, settings))
            since = first.since if first else row.date
            reason = f"{why} on {row.date}"
            waiting[row.exercise] = OutExercise(row.exercise, since, reason, tuple(dict.fromkeys(regions)))
    return waiting.values()


def _regions(row: LoggedSet, library: Library, settings: TrainSettings) -> tuple[str, ...]:
    """The region the client named; where none is known, every region that the exercise stresses enough."""
    if row.where in library.regions:
        return (row.where,)
    exercise = library.exercises.get(row.exercise)
    stress = exercise.stress if exercise else {}
    return tuple(region for region, item in stress.items() if item.grade >= settings.pain_grade_suspect)


def _eased(rows: list[LoggedSet], settings: TrainSettings) -> Iterable[EasedExercise]:
    """Exercises whose newest day has a maximum of 3-5."""
    newest: dict[str, EasedExercise] = {}
    for row in rows:
        if not row.is_clearance:
            pain = row.pain if row.pain is not None and counts(row) else 0.0
            last = newest.get(row.exercise)
            worst = max(pain, last.pain) if last and last.date == row.date else pain
            newest[row.exercise] = EasedExercise(row.exercise, row.date, worst)
    return [item for item in newest.values() if item.pain > settings.pain_go_most]


def _lines(
    out: Iterable[OutExercise],
    eased: Iterable[EasedExercise],
    rising: Iterable[Rising],
    library: Library,
    settings: TrainSettings,
) -> Iterable[PainLine]:
    for item in out:
        back = "it comes back when your coach has recorded it cleared"
        yield PainLine(f"{_name(item.exercise, library)} is left out: {item.reason}. {SEE}; {back}.")
    for eased_one in eased:
        less = f"{percent(1 - settings.pain_load_share)} less load ({ALREADY}) or {settings.pain_fewer_sets} set less"
        name = _name(eased_one.exercise, library)
        said = f"{name}: pain {eased_one.pain:g} on {eased_one.date}: {less}, same range or less; tell your coach."
        yield PainLine(said, eased_one.exercise)
    for rise in rising:
        said = f"{rise.name}: pain builds week on week ({rise.shown}). {SEE} before going on."
        # the sheets of a region's exercises are not told: the first sheet asks for a doctor before all of them
        yield PainLine(said, rise.key if rise.key in library.exercises else "", first_sheet=True)


def _name(exercise: str, library: Library) -> str:
    known = library.exercises.get(exercise)
    return known.name if known else exercise
