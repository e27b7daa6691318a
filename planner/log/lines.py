"""From a line of text to a logged set: every cell read, every name known, every fault of the line told."""

import datetime
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar

from library.errors import as_written, listed, nearest, visible
from library.method import FOLDER, LOG
from library.read import Library
from library.tables import Columns, Line, Sheet
from planner.athlete.brief import DAYS, Brief
from planner.athlete.gym import Gym
from planner.athlete.names import plain_word, region_felt, region_names
from planner.log import record
from planner.log.blank import WITHOUT_NUMBER
from planner.log.record import CLEARED, COLUMNS, FILLED_IN, CellFault, LoggedSet, Unit, clearance, refuse_cell

Value = TypeVar("Value")
NUMERIC = re.compile(r"^(\d{1,2})[./-](\d{1,2})[./-](\d{4})$", re.ASCII)
ALIKE = 0.8  # of the letters: a slip of the pen
OF_A_KIND = 8  # names offered
ISO_WANTED = "write dates as year-month-day, such as 2026-11-30"
SHEET = Columns(
    names=(*COLUMNS, "athlete", "asked"),  # asked: what the blank sheet prints beside the empty cells
    needed=("date", "exercise", "set", "reps"),
    what="a training log, CSV or XLSX",
    hint="; `planner log ATHLETE --blank FILE` writes a sheet that has them",
    instead={"rpe": "; write rir, the repetitions in reserve: 10 less the RPE"},
    bytes_most=LOG.file_bytes_most,
)


@dataclass(frozen=True)
class LogContext:
    """Who trains where, and what the library knows. `today` bounds the dates that are believed. `was_asked`: whether
    the sheet of its week asked for a set's load, which then is never questioned. `planned`: names of the week's
    exercises in lower case: an unknown name is likely one of them."""

    brief: Brief
    gyms: Mapping[str, Gym]
    library: Library
    today: datetime.date
    was_asked: Callable[[LoggedSet], bool] = lambda _: False
    planned: tuple[str, ...] = ()
    hints: dict[str, str] = field(default_factory=dict)  # of unknown names, each looked for once

    @cached_property
    def keys(self) -> Mapping[str, str]:
        """Exercise key and printed name, in lower case, to the key."""
        exercises = self.library.exercises
        return {of.name.lower(): key for key, of in exercises.items()} | {key: key for key in exercises}

    @cached_property
    def regions(self) -> Mapping[str, str]:
        """What a joint region is called, as `plain_word` writes it, to its key."""
        return region_names(self.library)

    def exercise(self, text: str) -> str | None:
        """Return the key of the exercise that `text` names by key or printed name."""
        words = text.lower().split()
        return self.keys.get(" ".join(words)) or self.keys.get("_".join(words))

    def near(self, text: str) -> str:
        """Offer what an unknown exercise may be: the name that it nearly is, else all of its kind, planned ones first."""
        word, kind = text.lower()[:100], (text.lower().split() or [""])[-1]
        typed = (nearest(word, names, ALIKE) for names in (self.planned, self.keys))
        return next(filter(None, typed), "") or self._of_kind(kind) or nearest(word, self.keys) or "."

    def _of_kind(self, kind: str) -> str:
        known = [one for one in self.library.exercises.values() if kind in one.name.lower().split()]
        known.sort(key=lambda one: (one.name.lower() not in self.planned, not one.trains, one.choice))
        return f"; is it one of these: {listed([one.name for one in known[:OF_A_KIND]])}?" if known else ""


@dataclass(frozen=True)
class DateOrder:
    """The first line that must be day first and the first that must be month first; None: there is none. ISO dates
    are wanted; another order is read only where the file proves which it is."""

    day_first: int | None = None
    month_first: int | None = None

    def read(self, text: str, today: datetime.date) -> datetime.date:
        """Read one date of the file. Raises CellFault where its order is not proven, or it lies ahead."""
        if not text:
            raise CellFault("empty", "Write the date of the session on every line, such as 2026-11-30")
        date = self._date(text)
        if date > today:
            raise refuse_cell(text, f"It lies in the future: today is {today}. Write the day it was done")
        return date

    def _date(self, text: str) -> datetime.date:
        parts = NUMERIC.match(text)
        if parts is None:
            return record.iso_date(text)
        if self.day_first and self.month_first:
            lines = f"line {self.day_first} puts the day first, line {self.month_first} the month"
            raise CellFault(f"dates in two orders: {lines}", f"In the whole file {ISO_WANTED}")
        if not self.day_first and not self.month_first:
            raise CellFault(f'"{text}" could be day or month first', f"In the whole file {ISO_WANTED}")
        first, second, year = map(int, parts.groups())
        day, month = (first, second) if self.day_first else (second, first)
        try:
            return record.iso_date(f"{year}-{month:02d}-{day:02d}")
        except CellFault:
            raise refuse_cell(text, f"No such day is in the calendar; {ISO_WANTED}") from None


def date_order(sheet: Sheet) -> DateOrder:
    """Find out which order the dates of a file are in: a number above 12 can only be a day."""
    day_first = month_first = None
    for line in sheet.lines:
        if parts := NUMERIC.match(line.text("date")):
            first, second = int(parts[1]), int(parts[2])
            if first > 12 >= second:
                day_first = day_first or line.number
            elif second > 12 >= first:
                month_first = month_first or line.number
    return DateOrder(day_first, month_first)


def is_empty(line: Line) -> bool:
    """Whether nothing was filled in: the set was planned and not done."""
    return not any(line.text(column) for column in FILLED_IN)


@dataclass
class Reader:
    """Reads one line; what is wrong goes to the sheet's faults and leaves `failed` set."""

    sheet: Sheet
    line: Line
    context: LogContext
    failed: bool = False

    def read(self, column: str, parser: Callable[[str], Value]) -> Value | None:
        """Parse one cell; None if it is wrong."""
        try:
            return parser(self.line.text(column))
        except CellFault as fault:
            self.tell(column, fault)
            return None

    def tell(self, column: str, fault: CellFault) -> None:
        """Add a fault of one cell."""
        self.failed = True
        where = self.sheet.place(self.line.number, column)
        self.sheet.tell(self.line.number, where, fault.read, fault.remedy)

    def exercise(self, text: str) -> str:
        """Read an exercise by key or printed name."""
        key = self.context.exercise(text)
        if key is None:  # a near name is worth looking for only where the fault will be read
            hints = self.context.hints
            if text not in hints:
                hints[text] = self.context.near(text) if len(hints) < FOLDER.faults_shown else "."
            near = hints[text]
            remedy = f"No exercise of the library has this name{near} If it is none: leave its lines out, or --keep-good"
            raise refuse_cell(text, remedy)
        return key

    def load(self, exercise: str | None) -> tuple[float | None, Unit | None, str]:
        """Read a load, its unit, and words in its place: a band has a colour; they are noted."""
        known, text = self.context.library.exercises.get(exercise or ""), self.line.text("load")
        try:
            return *record.load(text), ""
        except CellFault as fault:
            if known is None or known.load_is not in WITHOUT_NUMBER:
                self.tell("load", fault)
                return None, None, ""
        return None, None, self.read("load", record.note) or ""

    def gym(self, text: str, session: str) -> str:
        """Read a gym; where none is written, that of the session."""
        gyms, context = self.context.gyms, self.context
        # sessions are named "Mon", "Mon-2"
        planned = (of.gym for of in context.brief.session if of.day == session[:3])
        gym = text or next(planned, None) or (next(iter(gyms)) if len(gyms) == 1 else None)
        if gym is None:
            raise CellFault("empty", f"Write where it was done: one of {listed(gyms)}")
        if gym not in gyms:
            raise refuse_cell(text, f"gym.toml lists {listed(gyms)}{nearest(gym[:100], gyms)}")
        return gym

    def unit(self, beside: str | None, written: str | None, gym: str) -> Unit | None:
        """Loads are in the gym's unit; another one is refused: kilograms and pounds are never mixed."""
        unit = self.context.gyms[gym].unit
        for word, column in ((beside, "load"), (written, "load_unit")):
            if word is not None and word != unit:
                remedy = f"{as_written(gym)} works in {unit} (gym.toml): write the load in {unit}"
                self.tell(column, CellFault(f"read {word}", remedy))
        return unit


def logged_set(sheet: Sheet, line: Line, order: DateOrder, context: LogContext) -> LoggedSet | None:
    """Read one line; None if something is wrong with it, which the sheet's faults then tell."""
    reader = Reader(sheet, line, context)
    date = reader.read("date", lambda text: order.read(text, context.today))
    exercise = reader.read("exercise", reader.exercise)
    if line.text("kind").lower() == CLEARED:
        note = reader.read("note", record.note)
        return None if date is None or exercise is None else clearance(exercise, date, note or "")
    load, beside, band = reader.load(exercise)
    written = reader.read("load_unit", record.unit)
    number = reader.read("set", record.set_number)
    if number == 0:
        reader.tell("set", refuse_cell(line.text("set"), "Number the sets from 1"))
    reps = reader.read("reps", record.repetitions)
    rir = reader.read("rir", record.in_reserve)
    pain = reader.read("pain", record.pain)
    kind = reader.read("kind", record.kind)
    morning = reader.read("next_morning", record.next_morning)
    note = ", ".join(filter(None, (band, reader.read("note", record.note))))
    session = line.text("session") or (DAYS[date.weekday()] if date else "")
    gym = reader.read("gym", lambda text: reader.gym(text, session))
    unit = reader.unit(beside, written, gym) if load is not None and gym else None
    if reps is None and (load is not None or rir is not None or band) and not reader.failed:
        reader.tell("reps", CellFault("empty", "Write the repetitions; 0 if the set was begun and stopped"))
    if reader.failed or date is None or exercise is None or number is None:
        return None
    words = line.text("where")  # the joint region that they name, else as they are
    where = context.regions.get(plain_word(words)) or region_felt(words, context.library)
    where = where or visible(words[: record.NOTE_LENGTH])
    return LoggedSet(
        date, visible(session[: record.NOTE_LENGTH]), exercise, number, load, unit, reps, rir, pain, where,
        kind or "", morning or "", gym or "", note,
    )  # fmt: skip
