"""Taking a file of logged sets into an athlete's log: all of it, or the good lines if the coach says so."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from library.errors import Fault, FaultyInput
from planner.athlete.lock import athlete_lock
from planner.log.context import LogContext
from planner.log.file import read_lines
from planner.log.intake import Doubt, Intake, take_in
from planner.log.reading import read_sheet
from planner.log.record import LoggedSet
from planner.log.store import append_to_log, by_identity
from planner.method import LOG

LineFault = tuple[int | None, Fault]
Confirm = Callable[[str], bool]  # what was read, to whether it is right


@dataclass(frozen=True)
class Manner:
    """How to take a file in.

    `keep_good`: lines with faults are left out and the rest is kept. `confirm`: answers for a load that jumps;
    None: nobody can be asked, so it is a fault. `correct`: a line may replace what the log says. `save` False: a
    rehearsal that writes nothing.
    """

    keep_good: bool = False
    confirm: Confirm | None = None
    correct: bool = False
    save: bool = True


@dataclass(frozen=True)
class Taken:
    """What was taken in: lines added, sets known already, sets left empty, faults of lines left out."""

    added: tuple[LoggedSet, ...]
    known: int
    empty: int
    left_out: tuple[Fault, ...]


def take_file_in(folder: Path, file: Path, context: LogContext, manner: Manner) -> Taken:
    """Take a CSV or XLSX file into the log of an athlete; all or nothing unless `keep_good`.

    Raises FaultyInput with the faults of the file, each with its line or cell. Nothing is added then.
    """
    sheet = read_sheet(file)
    with athlete_lock(folder):
        log = by_identity(read_lines(folder))
        intake = take_in(sheet, log, context, correct=manner.correct)
        believed, disbelieved = _believed(intake.doubts, manner.confirm)
        faults = in_order([*intake.faults, *disbelieved])
        if intake.of_whole_file or (faults and not manner.keep_good):
            raise FaultyInput(first_of(intake.of_whole_file or faults, file))
        added = _in_file_order(intake, believed)
        if manner.save:
            append_to_log(folder, added)
    return Taken(added, intake.known, intake.empty, tuple(faults))


def in_order(faults: Iterable[LineFault]) -> list[Fault]:
    """Return faults by their line, those of the whole file first."""
    return [fault for _, fault in sorted(faults, key=lambda item: item[0] or 0)]


def first_of(faults: Sequence[Fault], file: Path) -> list[Fault]:
    """Return as many faults as a person reads, and the number of the others."""
    most = LOG.faults_shown
    shown = list(faults[:most])
    if len(faults) > most:
        shown.append(Fault(file, "", f"{len(faults) - most} faults more", "Mend these first"))
    return shown


def _believed(doubts: Sequence[Doubt], confirm: Confirm | None) -> tuple[list[LoggedSet], list[LineFault]]:
    """Ask once for each exercise, gym and load; what nobody confirms is a fault."""
    answers: dict[tuple[str, str, float | None], bool] = {}
    believed: list[LoggedSet] = []
    faults: list[LineFault] = []
    for doubt in doubts:
        question = (doubt.row.exercise, doubt.row.gym, doubt.row.load)
        if question not in answers:
            answers[question] = confirm is not None and confirm(doubt.fault.read)
        if answers[question]:
            believed.append(doubt.row)
        else:
            faults.append((doubt.line, doubt.fault))
    return believed, faults


def _in_file_order(intake: Intake, believed: Sequence[LoggedSet]) -> tuple[LoggedSet, ...]:
    """Put believed doubts back among the others: by day, session and set as a sheet is filled."""
    rows = [*intake.new, *believed]
    return tuple(sorted(rows, key=lambda row: row.date)) if believed else tuple(rows)
