"""Looking back: what was planned, what was done, how maxima and pain went, week by week; as tables and as data."""

import datetime
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, Self

from library.method import CreditSettings
from library.read import Library, read_library
from library.tables import csv_text, no_formula
from planner.athlete.brief import Brief
from planner.athlete.folder import as_planned, read_week, weeks
from planner.athlete.reading import method_of, read_brief
from planner.document import WeekDocument, week_name, week_start
from planner.log.file import deciding_log, read_frame
from planner.log.record import LoggedSet
from planner.method import TrainSettings, WeekSettings
from planner.plain import counted, less_meant, name_of
from planner.sheets.page import fill
from planner.train import delivered
from planner.train.block import reserve_alone
from planner.train.delivered import Delivered, Track, WeekDone
from planner.train.loads import hurts, percent
from planner.train.notes import ILL
from planner.train.pain import ALARMS, PainState, pain_rules

ILL_WORD = "ill"
ONE_WEEK = datetime.timedelta(days=7)
# progress.csv: a line for each figure, its kind in `what`; `value` is in `unit`, of a best set its load
COLUMNS = ("athlete", "week", "monday", "what", "of", "gym", "planned", "value", "unit", "reps", "note")
NOTHING = "Nothing is logged and nothing was planned yet."


@dataclass(frozen=True)
class ProgressWeek:
    """One week: sets done, days with a set, dose delivered a head (direct sets), highest pain (0-10), and how it went to
    plan. `against_plan` None: nothing was planned. `pain` None: none was written. `away`: a holiday of the brief.
    `awaited`: planned, and nothing of it or of a later week is logged yet. `why`: why less was done, or meant."""

    week: str
    sets: int
    dose: Mapping[str, float]
    pain: float | None
    against_plan: Delivered | None
    away: bool = False
    awaited: bool = False
    days: int = 0
    planned_days: int = 0
    why: str = ""

    @property
    def counts(self) -> bool:
        """Whether it tells how well plans are kept: one planned and logged, no holiday, nobody ill."""
        apart = ILL_WORD in self.why.split(", ") or (self.away and not self.sets)
        return self.against_plan is not None and not self.awaited and not apart

    @property
    def planned_sets(self) -> int | None:
        """Return how many sets were planned; None: no week was."""
        return self.against_plan.planned_sets if self.against_plan else None

    def planned(self, head: str) -> float | None:
        """Return a head's planned direct sets; None where no plan holds the head."""
        heads = self.against_plan.heads if self.against_plan else ()
        return next((item.planned for item in heads if item.head == head), None)

    def document(self) -> dict[str, Any]:
        """Return the week as data: doses in direct sets, pain 0-10, shares 0-1."""
        plan, doses = self.against_plan, self.dose.items()
        heads = [{"head": key, "planned": self.planned(key), "delivered": round(of, 3)} for key, of in doses]
        return {
            **{"week": self.week, "sets": self.sets, "away": self.away, "planned_sets": self.planned_sets},
            **{"days": self.days, "planned_days": self.planned_days, "why_less": self.why},
            "done_as_planned": plan and plan.done_as_planned,
            "adherence": round(plan.adherence, 4) if plan and not self.awaited else None,
            **{"pain": self.pain, "heads": heads},
        }

    def row(self) -> list[str]:
        """Return the week as a row of the table."""
        plan = self.against_plan
        sets = f"{plan.done} of {plan.planned_sets}" if plan else f"{self.sets}"
        sets = "not logged" if self.awaited else sets
        sets = "away" if self.away and not self.sets else sets
        doses = ((dose, self.planned(head)) for head, dose in self.dose.items())
        heads = [f"{dose:.1f}" + ("" if of is None else f" of {of:.1f}") for dose, of in doses]
        days = f"{self.days} of {self.planned_days}" if plan and not self.awaited else f"{self.days or ''}"
        return [self.week, sets, days, *heads, "" if self.pain is None else f"{self.pain:g}", self.why]


@dataclass(frozen=True)
class Progress:
    """Everything that is looked back at; weeks oldest first, without gaps."""

    brief: Brief
    library: Library
    heads: tuple[str, ...]
    weeks: tuple[ProgressWeek, ...]
    tracks: tuple[Track, ...]
    pain: PainState
    settings: TrainSettings
    notes: tuple[LoggedSet, ...] = ()  # lines with words of the athlete, oldest first
    easy: frozenset[tuple[str, str]] = frozenset()  # week and exercise of which less was asked on purpose

    def newest(self, count: int | None) -> Self:
        """Return the newest so many weeks; None: all."""
        return self if count is None else replace(self, weeks=self.weeks[-count:])

    @property
    def block(self) -> Delivered | None:
        """All planned weeks added up; None where nothing was planned."""
        planned = [week.against_plan for week in self.weeks if week.against_plan and week.counts]
        return delivered.delivered_block(planned) if planned else None

    @property
    def days_kept(self) -> str:
        """How many of the planned days were trained: "6 of 9 days"."""
        weeks = [week for week in self.weeks if week.counts]
        kept = sum(min(week.days, week.planned_days) for week in weeks)
        return f"{kept} of {counted(sum(week.planned_days for week in weeks), 'day')}"

    def name(self, exercise: str) -> str:
        """Return an exercise's printed name; its key where the library no longer has it."""
        return name_of(self.library, exercise)

    def head(self, key: str) -> str:
        """Return a head's printed name, for the beginning of a line."""
        return self.library.heads[key].name.capitalize()

    def row(self, track: Track) -> list[str]:
        """Return one exercise in one gym: names, first and latest best set, their estimated maxima with the error, – where
        a set has none. Weeks that asked less on purpose stand only where there are no others."""
        every = [*zip(track.weeks, track.loads, track.reps, track.maxima, strict=True)]
        hard = [of for of in every if (of[0], track.exercise) not in self.easy] or every
        best = [f"{load:g} {track.unit} × {reps}" for _, load, reps, _ in hard]
        known = dict.fromkeys("–" if of[-1] is None else f"{of[-1]:.3g}" for of in (hard[0], hard[-1]))
        ends = f"{' → '.join(known)} {track.unit} ± {percent(self.settings.maximum_error_share)}"
        ends = "" if [*known] == ["–"] else ends
        latest = best[-1] if len(best) > 1 else ""
        return [self.name(track.exercise), track.gym, best[0], latest, ends]

    def document(self) -> dict[str, Any]:
        """Return all as data: doses in direct sets, loads and maxima in `unit`, pain 0-10, shares 0-1."""
        block = self.block
        method = {"formula": self.settings.formula, "error_share": self.settings.maximum_error_share}
        maxima = [[value and round(value, 3) for value in track.maxima] for track in self.tracks]
        tracks = zip(map(asdict, self.tracks), maxima, strict=True)
        return {
            "athlete": self.brief.athlete.name,
            "weeks": [week.document() for week in self.weeks],
            "block": block and {**asdict(block), "adherence": round(block.adherence, 4)},
            "maxima": [{**track, "maxima": values, **method} for track, values in tracks],
            "pain": self.pain.document(),
            "notes": [{"date": str(of.date), "exercise": of.exercise, "note": of.note} for of in self.notes],
        }

    def csv(self) -> str:
        """Return all as one table for a spreadsheet, week by week; what it would take for a formula is text."""
        rows = sorted(self._figures(), key=lambda row: row[0])
        lines = ([self.brief.athlete.name, row[0], week_start(row[0]), *row[1:]] for row in rows)
        return csv_text([COLUMNS, *([no_formula(cell) for cell in line] for line in lines)])

    def _figures(self) -> Iterator[tuple[str, *tuple[object, ...]]]:
        """Give every figure as week, what, of, gym, planned, value, unit, reps, note."""
        for week in self.weeks:
            note = "away" if week.away else week.why or "not logged" * week.awaited
            yield week.week, "sets", "", "", week.planned_sets, week.sets, "sets", None, note
            yield week.week, "days", "", "", week.planned_days or None, week.days, "days", None, ""
            for head, dose in week.dose.items():
                planned = week.planned(head)
                yield week.week, "dose", head, "", planned, round(dose, 3), "direct sets", None, ""
            if week.pain is not None:
                yield week.week, "highest pain", "", "", None, week.pain, "of 10", None, ""
        shown = {week.week for week in self.weeks}
        for track in self.tracks:
            place = self.name(track.exercise), track.gym, None
            best = zip(track.weeks, track.loads, track.reps, track.maxima, strict=True)
            for name, load, reps, maximum in (one for one in best if one[0] in shown):
                yield name, "best set", *place, load, track.unit, reps, ""
                if maximum is not None:
                    yield name, "estimated maximum", *place, round(maximum, 3), track.unit, None, ""
        for row in (row for row in self.notes if row.week in shown):
            note = f"{row.date}, set {row.set_number}: {row.note}"
            yield row.week, "note", self.name(row.exercise), row.gym, None, None, "", None, note

    def text(self) -> str:
        """Return the tables for the terminal, pain first."""
        if not self.weeks:
            return NOTHING
        heads, share = [self.library.heads[head].name for head in self.heads], ""
        if self.block:
            share = percent(self.block.adherence)
        apart = any(not (of.counts or of.awaited) for of in self.weeks)
        return fill("progress.txt", look=self, heads=heads, share=share, apart=apart).rstrip("\n")


def read_progress(folder: Path, today: datetime.date, library: Library | None = None) -> Progress:
    """Read an athlete's log and planned weeks up to `today`; `library`: where it is read already. Raises FaultyInput."""
    library = library or read_library()
    brief = read_brief(folder, library)
    settings, credit = method_of(brief, TrainSettings), method_of(brief, CreditSettings)
    documents = {name: read_week(folder, name) for name in weeks(folder)}
    credits = delivered.library_credits(library, credit, method_of(brief, WeekSettings).counting)
    credits |= delivered.planned_credits(documents.values())
    heads = tuple(head.key for head in library.heads.values() if head.role == "trained")
    multi_joint = [key for key, exercise in library.exercises.items() if exercise.multi_joint]
    frame = read_frame(folder)
    noted = frame.noted() if frame else ()
    sick = {of.date for of in noted if ILL.search(of.note)}
    logged, tracks = delivered.look_back(frame, credits, heads, multi_joint, settings, sick)
    # what a week was before a swap: a missed day is none that was not planned
    past = {name: as_planned(folder, of) for name, of in documents.items() if name <= week_name(today)}
    log, tomorrow = deciding_log(folder, settings.pain_go_most), today + datetime.timedelta(days=1)
    pain = pain_rules(log, library, tomorrow, settings)
    words = _words_of_weeks(noted, log)
    names = sorted({*logged, *past})
    day, weeks_back, ill = week_start(names[0]) if names else datetime.date.max, [], False
    while names and day <= week_start(names[-1]):
        name, day = week_name(day), day + ONE_WEEK
        week, document = logged.get(name) or WeekDone({}, dict.fromkeys(heads, 0.0), None), past.get(name)
        plan = delivered.compare(document, week.done, credits, library) if document else None
        given = {of.head: of.delivered for of in (plan.heads if plan else ()) if of.head in heads}
        why = words.get(name, [])
        ill = ILL_WORD in why or (ill and not week.done)  # until something is trained again
        why = why or [ILL_WORD] * ill or [less_meant(document) if document else ""]
        booked = sum(bool(of.exercises) for of in document.sessions) if document else 0
        weeks_back.append(
            ProgressWeek(
                name, sum(week.done.values()), {**week.dose, **given}, week.pain, plan, name in brief.block.away,
                plan is not None and name > max(logged, default=""), week.days, booked, ", ".join(why),
            )
        )  # fmt: skip
    notes = {(of.date, of.exercise, of.note): of for of in noted}  # once a day
    rir = reserve_alone(brief, library, method_of(brief, WeekSettings), settings) + settings.lighter_rir_more
    easy = {(name, key) for name, of in documents.items() for key in _asked_less(of, rir)}
    easy |= {(row.week, row.exercise) for row in log if hurts(row, settings)}
    kept = pain, settings, tuple(notes.values()), frozenset(easy)
    return Progress(brief, library, heads, tuple(weeks_back), tracks, *kept)


def _words_of_weeks(noted: Iterable[LoggedSet], log: Iterable[LoggedSet]) -> dict[str, list[str]]:
    """Say of each week in a word what the log tells: ill, and what alarms."""
    said = dict.fromkeys((of.week, ILL_WORD) for of in noted if ILL.search(of.note))
    said |= dict.fromkeys(
        (of.week, ALARMS[of.complaint]) for of in log if of.of_pain and of.complaint in ALARMS
    )
    words: dict[str, list[str]] = {}
    for week, word in said:
        words.setdefault(week, []).append(word)
    return words


def _asked_less(document: WeekDocument, rir: int) -> Iterator[str]:
    """Give the exercises of which a week asked less on purpose: all, those with so much in reserve, or those that hurt."""
    less, hurt = less_meant(document), {of.exercise for of in document.exercise_warnings}
    for line in (line for session in document.sessions for line in session.exercises):
        if less or line.rir >= rir or line.exercise in hurt:
            yield line.exercise
