"""Taking in a file of logged sets: what is new, what is known, what is wrong. Nothing is written here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace

from library.errors import Fault
from planner.athlete.words import as_written, listed
from planner.log.checks import is_empty, logged_set
from planner.log.context import LogContext
from planner.log.dates import date_order
from planner.log.record import Identity, LoggedSet
from planner.log.table import Line, Sheet
from planner.method import LOG

NUMBER_COLUMNS = ("load", "reps", "rir", "pain")


@dataclass(frozen=True)
class Doubt:
    """A load that may be in the wrong unit or mistyped, or a clearance: asked about before it is believed."""

    line: int
    row: LoggedSet
    fault: Fault


@dataclass
class Intake:
    """What a file brings: lines to add, sets known already, sets left empty, and what is not believed."""

    new: list[LoggedSet] = field(default_factory=list)
    known: int = 0
    empty: int = 0
    doubts: list[Doubt] = field(default_factory=list)
    faults: list[tuple[int | None, Fault]] = field(default_factory=list)

    @property
    def of_whole_file(self) -> list[Fault]:
        """Faults that leave no line to keep."""
        return [fault for line, fault in self.faults if line is None]


def take_in(
    sheet: Sheet, log: Mapping[Identity, LoggedSet], context: LogContext, *, correct: bool = False
) -> Intake:
    """Read every line of a sheet against the log that is there.

    `correct`: a line may contradict the log and then replaces what stands there; else it is a fault.
    """
    _check_athletes(sheet, context)
    _check_decimal_marks(sheet)
    intake = Intake(faults=sheet.faults)
    order = date_order(sheet)
    seen: dict[Identity, tuple[int, LoggedSet]] = {}
    last = last_loads(log.values())
    for line in sheet.lines:
        if is_empty(line):
            intake.empty += 1
            continue
        row = logged_set(sheet, line, order, context)
        if row is None or not _alone(sheet, line, row, seen):
            continue
        found = _against_log(sheet, line, row, log.get(row.identity), correct)
        if found is None:
            continue
        if found == log.get(row.identity):
            intake.known += 1
            continue
        doubt = _doubt(sheet, line, found, last, context)
        if doubt is None:
            intake.new.append(found)
        else:
            intake.doubts.append(doubt)
    return intake


def _alone(sheet: Sheet, line: Line, row: LoggedSet, seen: dict[Identity, tuple[int, LoggedSet]]) -> bool:
    """Whether the set stands here for the first time; twice with other figures is a fault."""
    if row.identity not in seen:
        seen[row.identity] = (line.number, row)
        return True
    number, first = seen[row.identity]
    if first != row:
        read = (
            f"set {row.set_number} of this exercise stands on {sheet.place(number)} too, with other figures"
        )
        sheet.tell(line.number, sheet.place(line.number), read, "Number the sets of a session 1, 2, 3 …")
    return False


def _against_log(
    sheet: Sheet, line: Line, row: LoggedSet, known: LoggedSet | None, correct: bool
) -> LoggedSet | None:
    """Return what should stand in the log for this set; None if the log says otherwise already."""
    if known is None:
        return row
    merged, clashes = _merged(known, row)
    if correct or not clashes:
        return merged
    clash = clashes[0]
    was, now = getattr(known, clash), getattr(row, clash)
    read = f"{row.exercise} set {row.set_number} of {row.date} is in the log with {clash} {was}, here {now}"
    sheet.tell(line.number, sheet.place(line.number, clash), read, "With --correct this line replaces it")
    return None


def _merged(known: LoggedSet, row: LoggedSet) -> tuple[LoggedSet, list[str]]:
    """Lay a line over the one in the log (an empty cell covers nothing); the fields in which both differ."""
    written = {item.name: getattr(row, item.name) for item in fields(LoggedSet)}
    changes = {
        name: now for name, now in written.items() if now not in (None, "") and now != getattr(known, name)
    }
    clashes = [name for name in changes if getattr(known, name) not in (None, "")]
    return replace(known, **changes), clashes


def jumps(load: float, last: float) -> bool:
    """Whether a load is twice or half the last one, or farther: another unit, or a slip of the pen."""
    factor = LOG.jump_factor
    return load >= last * factor or load <= last / factor


def last_loads(rows: Iterable[LoggedSet]) -> dict[tuple[str, str], float]:
    """Return the last load of each exercise in each gym."""
    ordered = sorted(rows, key=lambda row: (row.date, row.set_number))
    return {(row.exercise, row.gym): row.load for row in ordered if row.load}


def _doubt(
    sheet: Sheet, line: Line, row: LoggedSet, last_of: dict[tuple[str, str], float], context: LogContext
) -> Doubt | None:
    """Compare a load with the last one of that exercise in that gym; a believed or asked one becomes the last.

    A clearance is always asked about: only the coach records it.
    """
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
    names = dict.fromkeys(line.text("athlete") for line in sheet.lines if line.text("athlete"))
    if len(names) > 1:
        first = [next(line for line in sheet.lines if line.text("athlete") == name) for name in names]
        where = sheet.place(first[1].number, "athlete")
        sheet.tell(None, where, f"two athletes in one file: {listed(names)}", "Hand in one file for each")
    elif names and (name := next(iter(names))).casefold() != context.athlete.casefold():
        line = next(line for line in sheet.lines if line.text("athlete"))
        read = f"this is the log of {as_written(name)}, the folder that of {as_written(context.athlete)}"
        sheet.tell(None, sheet.place(line.number, "athlete"), read, "Name the right folder")


def _check_decimal_marks(sheet: Sheet) -> None:
    """Refuse a file with both 12,5 and 12.5: one of the marks may mean thousands."""
    marks: dict[str, str] = {}
    for line, column, text in _numbers(sheet):
        for mark in ",.":
            if mark in text:
                marks.setdefault(mark, sheet.place(line.number, column))
    if len(marks) == 2:
        read = f"decimal comma here, decimal point at {marks['.']}"
        sheet.tell(None, marks[","], read, "Write all numbers of a file with the same mark")


def _numbers(sheet: Sheet) -> Iterator[tuple[Line, str, str]]:
    for line in sheet.lines:
        for column in NUMBER_COLUMNS:
            if text := line.text(column):
                yield line, column, text
