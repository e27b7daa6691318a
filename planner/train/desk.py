"""The coach's desk after a session: the athlete's files together with the log, and what can be done with them."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain, count
from pathlib import Path
from typing import Any, Self

from library.errors import FaultyInput, nearest, refuse
from library.read import Library, read_library
from library.tables import read_sheet
from planner.athlete.brief import Brief
from planner.athlete.folder import block_marks, in_force, plan_in_force, read_week, replaced, weeks
from planner.athlete.gym import Gym
from planner.athlete.reading import method_of, read_athlete
from planner.document import WeekDocument, exercise_names, week_name, week_start
from planner.log.blank import session_date
from planner.log.file import append_to_log, by_identity, deciding_log
from planner.log.intake import Manner, Taken, take_sheets_in
from planner.log.lines import SHEET, LogContext
from planner.log.record import CellFault, LoggedSet, clearance, iso_date
from planner.method import TrainSettings, WeekSettings
from planner.phone.saved import differences, is_saved, read_saved, saved_sheet
from planner.plain import name_of
from planner.sheets.page import fill
from planner.train.block import reserve_alone
from planner.train.delivered import days_missed, done_otherwise
from planner.train.loads import NextLoad
from planner.train.notes import notes_said, to_judge, weeks_back
from planner.train.pain import PainState, pain_rules
from planner.train.rules import LoadRules, Place, as_applied, asked_before, back_from, next_loads

SHOWN = ("load", "unit", "reps", "fewer_sets", "reason")  # of a next load, as data
ONE_DAY, ONE_WEEK = datetime.timedelta(days=1), datetime.timedelta(days=7)


@dataclass(frozen=True)
class LogReport:
    """What was taken in, what pain changes from tomorrow on, and next loads: (exercise, gym) → load."""

    taken: Taken
    pain: PainState
    loads: Mapping[Place, NextLoad]
    library: Library
    unsure: tuple[str, ...] = ()  # of the pain just taken in, what the coach has to judge
    missed: tuple[str, ...] = ()  # of the weeks just taken in, days that are over without a set

    def document(self) -> dict[str, Any]:
        """Return the report as data for --json; loads in `unit`."""
        taken = self.taken
        counts = {"added": taken.sets, "known": taken.known, "left_empty": taken.not_done}
        said = {"left_out": [*map(str, taken.left_out)], "differs": [*taken.differs]}
        loads = [
            {"exercise": key, "gym": gym, **{of: getattr(load, of) for of in SHOWN}}
            for (key, gym), load in self.loads.items()
        ]
        pain = {"pain": self.pain.document(), "to_judge": list(self.unsure)}
        return {**counts, **said, **pain, "next_loads": loads}

    def text(self) -> str:
        """Return the report as a person reads it: pain first, each load's reason below it."""
        names = {key: name_of(self.library, key) for key, _ in self.loads}
        wide, wide_gym = (
            max(map(len, of), default=0) for of in (names.values(), {gym for _, gym in self.loads})
        )
        rows = []
        for (key, gym), load in self.loads.items():
            number = (
                f"{load.load:g} {load.unit}" if load.load is not None else "find it" if load.unit else "-"
            )
            rows.append((f"{names[key]:<{wide}}", f"{gym:<{wide_gym}}", number, load))
        return fill("log.txt", report=self, notes=notes_said(self.taken.added), loads=rows).rstrip("\n")


@dataclass(frozen=True)
class Desk:
    """One athlete's folder, read; `today` is the day of the work."""

    folder: Path
    brief: Brief
    gyms: Mapping[str, Gym]
    library: Library
    today: datetime.date

    @classmethod
    def open(cls, folder: Path, today: datetime.date) -> Self:
        """Read an athlete's files. Raises FaultyInput."""
        library = read_library()
        brief, gyms = read_athlete(folder, library)
        return cls(folder, brief, gyms, library, today)

    @cached_property
    def settings(self) -> TrainSettings:
        """The numbers of the method, as the brief sets them."""
        return method_of(self.brief, TrainSettings)

    def was_asked(self, row: LoggedSet) -> bool:
        """Whether a sheet of that week, replaced ones too, asked for this load, or to find one: then nobody questions it."""
        if row.week not in weeks(self.folder):
            return False
        versions = [read_week(self.folder, row.week), *(old for _, old in replaced(self.folder, row.week))]
        placed = ((at.gym, of) for week in versions for at in week.sessions for of in at.exercises)
        asked = {(of.exercise, gym, of.load_unit, of.load) for gym, of in placed if of.load or of.load_reason}
        return any((row.exercise, row.gym, row.load_unit, load) in asked for load in (row.load, None))

    @property
    def context(self) -> LogContext:
        """What a line of the log is read against."""
        planned: tuple[str, ...] = ()
        with suppress(FaultyInput):  # a damaged week is told where it is needed
            document = in_force(self.folder, self.today)
            planned = tuple(name.lower() for name in exercise_names(document).values()) if document else ()
        return LogContext(self.brief, self.gyms, self.library, self.today, self.was_asked, planned)

    def _log(self) -> tuple[LoggedSet, ...]:
        return deciding_log(self.folder, self.settings.pain_go_most)

    def day(self, text: str | None) -> datetime.date:
        """Read the day of --date; today where none is named."""
        try:
            day = self.today if text is None else iso_date(text)
        except CellFault as fault:
            raise refuse("--date", "", fault.read, fault.remedy) from None
        if day > self.today:
            raise refuse("--date", "", f"{day} lies in the future", "Write the day it was done")
        return day

    def due(self) -> WeekDocument:
        """Return the week to be logged next. Raises FaultyInput if none was planned."""
        document = plan_in_force(self.folder, today=self.today)
        return self._after(document, [row for row in self._log() if not row.is_clearance])

    def take(self, files: Sequence[Path], manner: Manner) -> Taken:
        """Take files in, all or none; raises FaultyInput with the faults of all of them."""
        sheets, faults, differs = [], [], []
        for file in files:
            try:
                saved = read_saved(file) if is_saved(file) else None
                sheets.append(read_sheet(file, SHEET) if saved is None else saved_sheet(file, saved))
            except FaultyInput as error:
                faults += error.faults
                continue
            differs += [] if saved is None else differences(self.folder, saved, self.library)
        if faults:
            raise FaultyInput(faults)
        taken = take_sheets_in(self.folder, sheets, self.context, manner)
        return replace(taken, differs=tuple(differs))

    def clear(self, word: str, date: datetime.date) -> str:
        """Record that an exercise may come back, and say so. Raises FaultyInput where it is unknown or was not out."""
        key = self.context.exercise(word)
        if key is None:
            hint = nearest(word, self.context.keys)
            raise refuse("--cleared", "", f'unknown exercise "{word}"', f"Name one of the library{hint}")
        name = self.library.exercises[key].name
        pain = pain_rules(self._log(), self.library, date + ONE_DAY, self.settings)
        if not pain.is_out(key):
            waiting = ", ".join(f"{item.exercise} (since {item.since})" for item in pain.out) or "nothing is"
            remedy = f"Nothing was recorded. Out on that day: {waiting}"
            raise refuse("--cleared", "", f"{name} was not out on {date}", remedy)
        append_to_log(self.folder, [clearance(key, date)])
        return f"{name} is cleared as of {date}."

    def report(self, taken: Taken) -> LogReport:
        """Say what the log comes to now, the lines just taken included even if they were not written."""
        log, settings = by_identity([*self._log(), *taken.added]).values(), self.settings
        pain = pain_rules(log, self.library, self.today + ONE_DAY, settings)
        unsure = to_judge(taken.added, pain, self.library, settings)
        logged = sorted({row.week for row in taken.added} & {*weeks(self.folder)})
        documents = [read_week(self.folder, name) for name in logged]
        missed = tuple(filter(None, (days_missed(of, log, self.today) for of in documents)))
        if not taken.differs:  # of a sheet from a phone it is said already
            lines = (done_otherwise(of, log, self.library) for of in documents)
            taken = replace(taken, differs=tuple(chain.from_iterable(lines)))
        rows = [row for row in log if not row.is_clearance]
        newest = max((row.week for row in rows), default="")
        known = newest in weeks(self.folder)
        document = read_week(self.folder, newest) if known else in_force(self.folder, self.today)
        if document is None:
            return LogReport(taken, pain, {}, self.library, unsure, missed)
        light = frozenset(name for name, mark in block_marks(self.folder).items() if mark.lighter)
        then = asked_before(self.folder, rows, light)
        after = self._after(document, rows)
        start, alone = week_start(after.week), None
        past = self._is_over(document, rows) or self.today >= start + ONE_WEEK
        if past and after is document:  # the next week is not planned yet, and will be one of its own
            start = self._next_start(max(start, week_start(newest) if newest else start))
            alone = reserve_alone(self.brief, self.library, method_of(self.brief, WeekSettings), settings)
        earlier = [row for row in rows if row.date < start]
        back = weeks_back(earlier, start, settings), back_from(earlier, document, start, settings) > 0
        rules = LoadRules(self.library, self.gyms, pain, light, then, settings, start, *back)
        rules = rules.weakened(rules.by_place(rows))
        unsure = (*unsure, *filter(None, rules.weak.values())) if taken.added else unsure
        loads = next_loads(after, log, rules, alone)
        return LogReport(taken, as_applied(pain, loads), loads, self.library, unsure, missed)

    def _next_start(self, start: datetime.date) -> datetime.date:
        """The Monday of the next week that is no holiday of the brief."""
        mondays = (start + ONE_WEEK * number for number in count(1))
        return next(day for day in mondays if week_name(day) not in self.brief.block.away)

    def _is_over(self, document: WeekDocument, log: Iterable[LoggedSet]) -> bool:
        """Whether a week's last session is in the log."""
        trained = [session_date(document, session) for session in document.sessions if session.exercises]
        return bool(trained) and max((row.date for row in log), default=datetime.date.min) >= max(trained)

    def _after(self, document: WeekDocument, log: Iterable[LoggedSet]) -> WeekDocument:
        """Return a week, or the next one on disk once its last session is in the log."""
        after = next((week for week in weeks(self.folder) if week > document.week), None)
        return read_week(self.folder, after) if after and self._is_over(document, log) else document
