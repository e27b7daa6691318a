"""Taking a file of logged sets into an athlete's log: what is new, what is known, what is wrong. All of it, or the
good lines if the coach says so; the lock is held from before the log is read until it is written."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from library.errors import Fault, FaultyInput, as_written, listed
from library.files import first_of
from library.method import LOG
from library.tables import Line, Sheet
from planner.athlete.writing import athlete_lock
from planner.log.file import append_to_log, by_identity, lines_about
from planner.log.lines import LogContext, date_order, is_empty, logged_set
from planner.log.record import Identity, LoggedSet

NUMBER_COLUMNS = ("load", "reps", "rir", "pain")
LINES_SHOWN = 12  # of one fault
LineFault = tuple[int | None, Fault]
Log = Mapping[Identity, LoggedSet]
Confirm = Callable[[str], bool]  # what was read, to whether it is right


@dataclass(frozen=True)
class Manner:
    """How to take a file in. `keep_good`: lines with faults are left out and the rest is kept. `confirm`: answers for
    a load that jumps; None: nobody can be asked, so it is a fault. `correct`: a line may replace what the log says.
    `save` False: a rehearsal that writes nothing."""

    keep_good: bool = False
    confirm: Confirm | None = None
    correct: bool = False
    save: bool = True


@dataclass(frozen=True)
class Taken:
    """What was taken in: lines added, lines known already, lines left empty, faults of lines left out. `differs`: what
    a phone's file says otherwise than the plan that it was filled in on."""

    added: tuple[LoggedSet, ...]
    known: int
    empty: int
    left_out: tuple[Fault, ...]
    differs: tuple[str, ...] = ()

    @property
    def sets(self) -> int:
        """Sets added: a line with words alone is none."""
        return sum(row.reps is not None for row in self.added)

    @property
    def not_done(self) -> int:
        """Planned sets of which no repetitions are written."""
        return self.empty + sum(row.reps is None and not row.is_clearance for row in self.added)

    @property
    def said(self) -> str:
        """The counts in words."""
        more = f", {self.not_done} planned and not done" if self.not_done else ""
        return f"{self.sets} set{'s' * (self.sets != 1)} added, {self.known} known already{more}"


class Doubt(NamedTuple):
    """A load that may be in the wrong unit or mistyped, or a clearance: asked about before it is believed."""

    line: int
    row: LoggedSet
    fault: Fault


@dataclass
class Intake:
    """What a file brings: lines to add, sets known already, sets left empty, and what is not believed."""

    faults: list[LineFault]
    new: list[LoggedSet] = field(default_factory=list)
    known: int = 0
    empty: int = 0
    doubts: list[Doubt] = field(default_factory=list)


def take_sheets_in(folder: Path, sheets: Sequence[Sheet], context: LogContext, manner: Manner) -> Taken:
    """Take several files in one after the other: all of them, or nothing is added and FaultyInput raised."""
    names = {context.exercise(line.text("exercise")) for sheet in sheets for line in sheet.lines}
    faults: list[Fault] = []
    taken = Taken((), 0, 0, ())
    with athlete_lock(folder):
        log = by_identity(lines_about(folder, [key for key in names if key]))
        for sheet in sheets:
            try:
                of_sheet = _taken(sheet, log, context, manner)
            except FaultyInput as error:
                faults += error.faults
                continue
            log |= by_identity(of_sheet.added)
            parts = zip(vars(taken).values(), vars(of_sheet).values(), strict=True)
            taken = Taken(*(part + more for part, more in parts))
        if faults:
            raise FaultyInput(faults)
        if manner.save:
            append_to_log(folder, taken.added)
    return taken


def _taken(sheet: Sheet, log: Log, context: LogContext, manner: Manner) -> Taken:
    """Read one file against the log and ask about its doubts, once for each exercise, gym and load. Raises FaultyInput."""
    intake = take_in(sheet, log, context, correct=manner.correct)
    answers: dict[tuple[str, str, float | None], bool] = {}
    added, told = list(intake.new), list(intake.faults)
    for line, row, fault in intake.doubts:
        question = (row.exercise, row.gym, row.load)
        if question not in answers:
            answers[question] = manner.confirm is not None and manner.confirm(fault.read)
        if answers[question]:
            added.append(row)
        else:
            told.append((line, fault))
    whole = any(line is None for line, _ in intake.faults)
    faults = list(once(told))
    if whole or (faults and not manner.keep_good):
        raise FaultyInput(first_of(faults, sheet.file))
    if len(added) > len(intake.new):  # believed ones go back among the others, by day
        added.sort(key=lambda row: row.date)
    return Taken(tuple(added), intake.known, intake.empty, tuple(faults))


def once(told: Iterable[LineFault]) -> Iterator[Fault]:
    """Tell what is wrong alike in one column of several lines once, at the first of them, with the numbers of the others."""
    alike: dict[tuple[str, str, str], list[LineFault]] = {}
    for line, fault in sorted(told, key=lambda item: item[0] or 0):
        column = re.sub(r"\d+", "", fault.where)
        alike.setdefault((column, fault.read, fault.remedy), []).append((line, fault))
    for (_, first), *others in alike.values():
        lines = [str(line) for line, _ in others]
        more = f" and {len(lines) - LINES_SHOWN} more" if len(lines) > LINES_SHOWN else ""
        also = f" (and line{'s' * (len(lines) > 1)} {', '.join(lines[:LINES_SHOWN])}{more})" if lines else ""
        yield replace(first, where=first.where + also)


def take_in(sheet: Sheet, log: Log, context: LogContext, *, correct: bool = False) -> Intake:
    """Read every line of a sheet against the log that is there; nothing is written here. `correct`: a line may
    contradict the log and then replaces what stands there; else it is a fault."""
    _check_athletes(sheet, context)
    _check_decimal_marks(sheet)
    intake = Intake(faults=sheet.faults)
    order = date_order(sheet)
    seen: dict[Identity, tuple[int, LoggedSet]] = {}
    ordered = sorted(log.values(), key=lambda row: (row.date, row.set_number))
    last = {(row.exercise, row.gym): row.load for row in ordered if row.load}
    for line in sheet.lines:
        if is_empty(line):
            intake.empty += 1
            continue
        row = logged_set(sheet, line, order, context)
        if row is None:
            continue
        number, first = seen.setdefault(row.identity, (line.number, row))
        if first != row:
            read = f"set {row.set_number} of this exercise stands on {sheet.place(number)} too, with other figures"
            sheet.tell(line.number, sheet.place(line.number), read, "Number the sets of a session 1, 2, 3 …")
        known = log.get(row.identity) if number == line.number else None
        merged = row if known is None else _merged(sheet, line, row, known, correct)
        if number != line.number or merged is None:
            continue
        if merged == known:
            intake.known += 1
        elif doubt := _doubt(sheet, line, merged, last, context):
            intake.doubts.append(doubt)
        else:
            intake.new.append(merged)
    return intake


def _merged(sheet: Sheet, line: Line, row: LoggedSet, known: LoggedSet, correct: bool) -> LoggedSet | None:
    """Lay a line over the one in the log (an empty cell covers nothing); None if the log says otherwise already."""
    written = {name: now for name, now in row._asdict().items() if now not in (None, "")}
    changes = {name: now for name, now in written.items() if now != getattr(known, name)}
    clash = next((name for name in changes if getattr(known, name) not in (None, "")), None)
    if correct or clash is None:
        return known._replace(**changes)
    was, now = getattr(known, clash), getattr(row, clash)
    read = f"{row.exercise} set {row.set_number} of {row.date} is in the log with {clash} {was}, here {now}"
    sheet.tell(line.number, sheet.place(line.number, clash), read, "With --correct this line replaces it")
    return None


def jumps(load: float, last: float) -> bool:
    """Whether a load is twice or half the last one, or farther: another unit, or a slip of the pen."""
    return load >= last * LOG.jump_factor or load <= last / LOG.jump_factor


def _doubt(
    sheet: Sheet, line: Line, row: LoggedSet, last_of: dict[tuple[str, str], float], context: LogContext
) -> Doubt | None:
    """Compare a load with the last one of that exercise in that gym; a believed or asked one becomes the last. A
    clearance is always asked about: only the coach records it."""
    if row.is_clearance:
        read = f"{row.exercise} is cleared as of {row.date}"
        remedy = "If you, the coach, say so: --yes, or `planner log ATHLETE --cleared EXERCISE`"
        return Doubt(line.number, row, Fault(sheet.file, sheet.place(line.number, "kind"), read, remedy))
    place = (row.exercise, row.gym)
    last = last_of.get(place)
    if not row.load:
        return None
    if last is None or not jumps(row.load, last) or context.was_asked(row):
        last_of[place] = row.load
        return None
    read = f"{row.load:g} {row.load_unit} after {last:g} {row.load_unit} last time at {as_written(row.gym)}"
    remedy = "If it is right, say --yes; if it is another unit or a slip, write it anew"
    return Doubt(line.number, row, Fault(sheet.file, sheet.place(line.number, "load"), read, remedy))


def _check_athletes(sheet: Sheet, context: LogContext) -> None:
    """Refuse the lines of anybody else; two names in one file are refused as a whole."""
    first: dict[str, str] = {}
    for line in sheet.lines:
        if name := line.text("athlete"):
            first.setdefault(name, sheet.place(line.number, "athlete"))
    if len(first) > 1:
        read = f"two athletes in one file: {listed(first)}"
        sheet.tell(None, [*first.values()][1], read, "Hand in one file for each")
    elif first:
        [(name, where)] = first.items()
        if name.casefold() != context.brief.athlete.name.casefold():
            read = f"this is the log of {as_written(name)}, the folder that of {as_written(context.brief.athlete.name)}"
            sheet.tell(None, where, read, "Name the right folder")


def _check_decimal_marks(sheet: Sheet) -> None:
    """Refuse a file with both 12,5 and 12.5: one of the marks may mean thousands."""
    marks: dict[str, str] = {}
    for line in sheet.lines:
        for column in NUMBER_COLUMNS:
            for mark in {*",."} & {*line.text(column)}:
                marks.setdefault(mark, sheet.place(line.number, column))
    if len(marks) == 2:
        read = f"decimal comma here, decimal point at {marks['.']}"
        sheet.tell(None, marks[","], read, "Write all numbers of a file with the same mark")
