"""Logging a session set by set at the terminal, with last time's figures shown."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from planner.athlete.words import visible
from planner.document import PlannedExercise, PlannedSession
from planner.log import cells as log_cells
from planner.log.blank import WITHOUT_NUMBER, asked_text
from planner.log.cells import CellFault
from planner.log.record import KINDS, LoggedSet

Value = TypeVar("Value")
Ask = Callable[[str, str], str]  # question and what an empty answer stands for, to the answer
Tell = Callable[[str], None]
STOP = "q"


class Stopped(Exception):
    """The person has had enough; what was logged stays."""


@dataclass(frozen=True)
class Dialogue:
    """How to ask and tell, the day, what was logged before, and each gym's unit."""

    ask: Ask
    tell: Tell
    date: datetime.date
    log: Sequence[LoggedSet]
    units: Mapping[str, Literal["kg", "lb"]]
    where: Callable[[str], str] = visible  # names the joint region where the words do

    def sets(self, session: PlannedSession) -> Iterator[LoggedSet]:
        """Ask how last time's pain settled, then for every planned set; yield each as soon as it is told.

        q ends it; what was yielded stays.
        """
        self.tell(f'Empty repetitions: the set was not done. "{STOP}" ends; what was told stays.')
        try:
            yield from self._mornings()
            for item in session.exercises:
                yield from self._exercise(session, item)
        except Stopped:
            self.tell("Ended here.")

    def _mornings(self) -> Iterator[LoggedSet]:
        """Ask, once an exercise, whether the pain of the last logged day had settled by the next morning."""
        before = [row for row in self.log if row.date < self.date and not row.is_clearance]
        newest = max((row.date for row in before), default=None)
        sore = [row for row in before if row.date == newest and row.pain and row.kind != "muscle"]
        worst = {row.exercise: row for row in sorted(sore, key=lambda row: row.pain or 0)}
        for row in worst.values():
            if row.next_morning:
                continue
            question = (
                f"{row.exercise}: pain {row.pain:g} on {row.date}. Settled by the next morning? yes or no"
            )
            answer = self._answer(question, "", log_cells.next_morning)
            if answer:
                yield replace(row, next_morning=answer)

    def _exercise(self, session: PlannedSession, item: PlannedExercise) -> Iterator[LoggedSet]:
        self.tell(f"\n{item.name}: {item.sets} × {asked_text(item)}")
        last = last_sets(self.log, item.exercise, session.gym, self.date)
        self.tell(f"  last time: {figures(last)}" if last else "  first time at this gym")
        load = item.load if item.load is not None else next((row.load for row in last if row.load), None)
        logged = {row.identity for row in self.log}
        for number in range(1, item.sets + 1):
            if (self.date, session.id, item.exercise, number) in logged:
                self.tell(f"  set {number} is in the log already")
                continue
            row = self._set(session, item, number, load)
            if row is not None:
                load = row.load
                yield row

    def _set(
        self, session: PlannedSession, item: PlannedExercise, number: int, load: float | None
    ) -> LoggedSet | None:
        unit = self.units.get(session.gym) if item.load_is not in WITHOUT_NUMBER else None
        if unit:
            question = f"  set {number}, load in {unit}"
            load = self._answer(question, f"{load:g}" if load else "", lambda text: log_cells.load(text)[0])
        reps = self._answer(f"  set {number}, repetitions", "", log_cells.repetitions)
        if reps is None:
            return None
        rir = self._answer(f"  set {number}, in reserve", str(item.rir), log_cells.in_reserve)
        pain = self._answer(f"  set {number}, pain 0-10", "0", log_cells.pain)
        where = self._answer("  where", "", str) if pain else ""
        kind = self._answer(f"  what kind ({', '.join(KINDS)})", "", log_cells.kind) if pain else ""
        return LoggedSet(
            self.date, session.id, item.exercise, number, load if unit else None,
            unit if load is not None else None, reps, rir, pain, self.where(where or ""),
            kind or "", "", session.gym, "",
        )  # fmt: skip

    def _answer(self, question: str, default: str, parser: Callable[[str], Value]) -> Value:
        """Ask until the answer can be read."""
        while True:
            text = self.ask(question, default).strip()
            if text.lower() == STOP:
                raise Stopped
            try:
                return parser(text)
            except CellFault as fault:
                self.tell(f"  {fault.read}. {fault.remedy}.")


def last_sets(log: Iterable[LoggedSet], exercise: str, gym: str, before: datetime.date) -> list[LoggedSet]:
    """Return the sets of the newest day on which the exercise was done in that gym, before a date."""
    done = [row for row in log if row.exercise == exercise and row.gym == gym and row.date < before]
    done = [row for row in done if row.reps is not None and not row.is_clearance]
    newest = max((row.date for row in done), default=None)
    return sorted((row for row in done if row.date == newest), key=lambda row: row.set_number)


def figures(sets: Sequence[LoggedSet]) -> str:
    """Write sets as a coach does: "2026-11-23: 22 kg × 10, 22 kg × 9, with 2, 1 in reserve"."""
    done = ", ".join(
        f"{row.load:g} {row.load_unit} × {row.reps}" if row.load else f"× {row.reps}" for row in sets
    )
    reserve = [f"{row.rir:g}" for row in sets if row.rir is not None]
    return f"{sets[0].date}: {done}" + (f", with {', '.join(reserve)} in reserve" if reserve else "")
