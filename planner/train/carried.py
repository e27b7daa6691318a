"""What the log carries into the week that is planned: loads, pain, and what the last week left open. The week takes
`pain` (exercises barred or capped, regions lowered) and `loads`; the papers print the lines. Nothing that was left
open is added to the new week: it is said, and the coach decides."""

import datetime
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from library.errors import FaultyInput
from library.method import CreditSettings
from library.read import Library
from planner.athlete.brief import DAYS
from planner.athlete.folder import read_week
from planner.athlete.gym import Gym
from planner.document import Plan, PlannedExercise, WeekDocument, exercises_of, plan_of, week_name
from planner.log.blank import WITHOUT_NUMBER
from planner.log.record import LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import counted, joined, name_of
from planner.train.delivered import delivered_week, done_otherwise, is_done, left_open, library_credits
from planner.train.loads import NOTHING_ELSE, falling, percent
from planner.train.notes import bad_days, needs_watch, notes_said, to_judge
from planner.train.pain import PainState, pain_rules, waiting_heads
from planner.train.progression import AS_BEFORE, PAIN_WAITS, Ease, NextLoad, next_load

Place = tuple[str, str]  # exercise, gym: loads never carry over between stations or gyms


@dataclass(frozen=True)
class Carried:
    """What the log says before a week is planned. `loads`: (exercise, gym) → next load, for what was done there
    before. `lines`: what the coach's page says of it, and what of the last planned week was left open."""

    pain: PainState
    loads: Mapping[Place, NextLoad]
    lines: tuple[str, ...]
    asks: tuple[str, ...] = ()  # what the coach has to judge first


@dataclass(frozen=True)
class LoadRules:
    """What decides loads besides the sets of an exercise in a gym. `lighter_weeks` ("2026-W49") were easy on purpose
    and decide nothing; `asked_then`: reserve that past weeks asked."""

    library: Library
    gyms: Mapping[str, Gym]
    pain: PainState
    lighter_weeks: frozenset[str] = frozenset()
    asked_then: Mapping[str, int] = field(default_factory=dict)
    settings: TrainSettings = TRAIN
    start: datetime.date | None = None  # of the week that is decided, where that is known

    def by_place(self, log: Iterable[LoggedSet]) -> dict[Place, list[LoggedSet]]:
        """Return the sets that decide: loads never carry over between stations or gyms, and of bad days only where there
        are no others."""
        done: dict[Place, list[LoggedSet]] = {}
        for row in (row for row in log if not row.is_clearance and row.week not in self.lighter_weeks):
            done.setdefault((row.exercise, row.gym), []).append(row)
        bad = bad_days(row for rows in done.values() for row in rows)
        return {of: [row for row in rows if row.date not in bad] or rows for of, rows in done.items()}

    def decided(
        self, place: Place, rows: Iterable[LoggedSet], reps: tuple[int, int] | None, rir: int
    ) -> NextLoad | None:
        """Decide one load; None where pain bars the exercise or its gym or library entry is gone."""
        exercise, gym = self.library.exercises.get(place[0]), self.gyms.get(place[1])
        if exercise is None or gym is None or exercise.key in self.pain.barred:
            return None
        done, asked = list(rows), reps or exercise.reps
        newest = max((row.date for row in done), default=None)
        ease = self._ease(exercise.key, newest) if newest else AS_BEFORE
        last = done[-1].week if done else ""
        if any(row.week == last and needs_watch(row, self.library, self.settings) for row in done):
            ease = replace(ease, hold=PAIN_WAITS)
        return next_load(done, exercise, gym, asked, rir, ease, self.asked_then, self.settings)

    def _ease(self, key: str, newest: datetime.date) -> Ease:
        """How much lighter an exercise begins: it hurt, it comes back after pain, or it was long not done."""
        settings, since = self.settings, self.pain.returning.get(key)
        weeks = (self.start - newest).days / 7 if self.start else 0.0
        if (share := self.pain.load_share(key, settings)) < 1:
            return Ease(share)
        if since and newest <= since:
            return Ease(settings.pain_load_share, "Back after pain, cleared")
        if weeks < settings.break_weeks:
            away = f"after {weeks:.0f} weeks without it" if weeks > settings.hold_weeks else ""
            return Ease(
                hold=PAIN_WAITS if self.pain.out or key in (of.key for of in self.pain.small) else away
            )
        long = weeks >= settings.long_break_weeks
        share = settings.long_break_load_share if long else settings.break_load_share
        return Ease(share, f"{weeks:.0f} weeks without it", "and up again from there.")


def asked_reserves(folder: Path, log: Iterable[LoggedSet]) -> dict[str, int]:
    """Return the repetitions in reserve that the sheets of the weeks asked in which each exercise was done last."""
    asked: dict[str, int] = {}
    newest = {row.exercise: row.week for row in sorted(log, key=lambda row: row.date)}
    for name in sorted(set(newest.values())):
        with suppress(FaultyInput):
            rirs = [of.rir for session in read_week(folder, name).sessions for of in session.exercises]
            asked |= {name: max(rirs)} if rirs else {}
    return asked


NOTHING_NEW = "nothing new until a doctor or physiotherapist has seen the shoulder"


def carried_over(
    log: Sequence[LoggedSet],
    library: Library,
    gyms: Mapping[str, Gym],
    start: datetime.date,
    before: WeekDocument | None,
    rir: int,
    *,
    last_plan: Plan | None = None,
    lighter_weeks: frozenset[str] = frozenset(),
    asked_then: Mapping[str, int] = NOTHING_ELSE,
    settings: TrainSettings = TRAIN,
) -> Carried:
    """Read the log for the week that starts on `start`; `before` is the last week that was planned, `last_plan` what
    it was before any swap. `rir`: repetitions in reserve that the new week asks, in the library's ranges; the others
    as `LoadRules` has them."""
    known = [row for row in log if row.date < start]
    pain = pain_rules(known, library, start, settings)
    if last_plan is None:
        last_plan = plan_of(before) if before else last_logged(known)
    if pain.unsafe:
        new = dict.fromkeys(library.exercises.keys() - {key for key, _ in last_plan}, NOTHING_NEW)
        pain = replace(pain, barred={**new, **pain.barred})
    waiting = waiting_heads(pain.barred, library)
    rir += settings.lighter_rir_more if waiting else 0
    rules = LoadRules(library, gyms, pain, lighter_weeks, asked_then, settings, start)
    done = rules.by_place(known)
    loads = {of: load for of, rows in done.items() if (load := rules.decided(of, rows, None, rir))}
    capped = _capped(rules, loads, known, last_plan)
    pain = replace(pain, capped=capped, returning=coming_back(pain, known))
    lines = _pain_lines(pain, library)
    newest = max((row.date for row in known), default=datetime.date.max)
    if back := pain.returning.keys() & {key for key, _ in last_plan}:
        names = joined([name_of(library, key) for key in sorted(back)])
        lines.append(f"First week back after pain, with half of the sets and nothing new: {names}")
    last = [row for row in known if row.week == week_name(newest)]
    lines += notes_said(last)
    lines += ["Sets of days of illness or without sleep decide no load"] if bad_days(last) else []
    some = {one.trains for one in library.exercises.values() if one.key not in pain.barred}
    if halved := waiting & some:  # heads that wait get half their sets
        names = joined([head.name for key, head in library.heads.items() if key in halved])
        more = f"{counted(settings.lighter_rir_more, 'repetition')} more in reserve, until it is cleared"
        lines.append(f"{names}: {percent(settings.lighter_share)} of the sets, and {more}")
    lines += _after_a_break(newest, start, settings)
    lines += lighter_asked(rules, done, week_name(start))
    lines += _of_the_week_before(before, known, library) if before and known else ()
    return Carried(pain, loads, tuple(lines), to_judge(last, pain, library, settings))


def _after_a_break(newest: datetime.date, start: datetime.date, settings: TrainSettings) -> Iterator[str]:
    weeks, how = (start - newest).days / 7, ""
    if weeks >= settings.break_weeks:
        how = "loads begin lighter, and the first week is for finding them again"
    elif weeks >= settings.break_weeks - 1:
        how = "after a break that long, begin the first sets lighter"
    elif weeks > settings.hold_weeks:
        how = "first week back: loads as last time, no more"
    if how:
        yield f"Nothing is logged since {newest}: {how}"


def _of_the_week_before(before: WeekDocument, known: Sequence[LoggedSet], library: Library) -> Iterator[str]:
    newest = max(row.date for row in known)
    if not exercises_of(before):  # every day was missed, or nothing was planned
        return
    if newest.isoformat() < before.week_start:
        yield f"Week {before.week} is not logged yet: loads follow the log up to {newest}"
        return
    delivered = delivered_week(before, known, library_credits(library, CreditSettings()), library)
    heads = {key: head.name for key, head in library.heads.items()}
    lines = (*done_otherwise(before, known, library), *left_open(delivered, heads))
    yield from (f"Week {before.week}, {line}" for line in lines)


def for_later_weeks(carried: Carried, library: Library, settings: TrainSettings = TRAIN) -> Carried:
    """Give what still holds for weeks after the next: who waits, waits; loads and open sets are the next week's."""
    pain = carried.pain.lasting(library, settings)
    return Carried(pain, {}, tuple(_pain_lines(pain, library)))


def next_loads(document: WeekDocument, log: Iterable[LoggedSet], rules: LoadRules) -> dict[Place, NextLoad]:
    """Decide the next load of each exercise of a week in the gym where it is planned, in the order of the sheets."""
    done = rules.by_place(log)
    places: dict[Place, PlannedExercise] = {}
    for session in document.sessions:
        for item in session.exercises:
            places.setdefault((item.exercise, session.gym), item)
    asked = {of: rules.decided(of, done.get(of, ()), item.reps, item.rir) for of, item in places.items()}
    return {place: load for place, load in asked.items() if load}


def lighter_asked(rules: LoadRules, done: Mapping[Place, Sequence[LoggedSet]], week: str) -> Iterator[str]:
    """Say where the log asks for a lighter week: repetitions that fall at the same load, or pain that rises. Only
    what was done in the last trained week counts."""
    newest = max((row.week for rows in done.values() for row in rows), default="")
    signs = [f"{item.name}: pain {item.how}" for item in rules.pain.rising]
    for (key, gym), rows in done.items():
        exercise = rules.library.exercises.get(key)
        if exercise and gym in rules.gyms and any(row.week == newest for row in rows):
            unit = None if exercise.load_is in WITHOUT_NUMBER else rules.gyms[gym].unit
            if means := falling(rows, unit, rules.settings):
                shown = ", ".join(f"{value:.3g}" for value in means)
                signs.append(f"{exercise.name}: {shown} repetitions a set")
    if signs:
        wanted = f'A lighter week is proposed: in brief.toml, [block], write lighter = ["{week}"]'
        yield f"{wanted} ({'; '.join(signs)})"


def last_logged(log: Iterable[LoggedSet]) -> Plan:
    """Give the sets by exercise and day of the last week in the log that has any."""
    weeks: dict[str, Counter[tuple[str, str]]] = {}
    for row in log:
        if is_done(row):
            weeks.setdefault(row.week, Counter())[row.exercise, DAYS[row.date.weekday()]] += 1
    return dict(weeks[max(weeks)]) if weeks else {}


def coming_back(pain: PainState, known: Iterable[LoggedSet]) -> dict[str, datetime.date]:
    """Give what was cleared and not done since, and the day of that."""
    newest: dict[str, datetime.date] = {}
    for row in known:
        if not row.is_clearance:
            newest[row.exercise] = max(row.date, newest.get(row.exercise, row.date))
    return {key: day for key, day in pain.returning.items() if newest.get(key, day) <= day}


def first_back(sets: int, settings: TrainSettings = TRAIN) -> int:
    """Give the sets with which a block comes back after pain."""
    return min(sets, max(settings.returning_sets_least, sets // 2))


def _capped(
    rules: LoadRules, loads: Mapping[Place, NextLoad], known: Sequence[LoggedSet], last_plan: Plan
) -> dict[str, int]:
    """Cap what hurt in the last trained week, and its kin, at what was done last; at half what comes back
    and what is left of a head that waits."""
    newest, last = max((row.week for row in known), default=""), Counter[str]()
    back, halved = coming_back(rules.pain, known), Counter[str]()
    for (key, _), sets in last_plan.items():
        last[key] += sets
        halved[key] += first_back(sets, rules.settings)
    capped = rules.pain.most_sets(newest, last, rules.library, rules.settings)
    if any(last[key] for key in back):  # the first time back nothing else is new: the dose may stay short
        capped |= {key: 0 for key in rules.library.exercises if not last[key]}
    for key in {key for (key, _), load in loads.items() if load.fewer_sets and key in capped}:
        capped[key] = max(0, capped[key] - rules.settings.pain_fewer_sets)
    waiting = waiting_heads(rules.pain.barred, rules.library)
    some = (key for key in last if key in capped and rules.library.exercises[key].trains in waiting)
    for key in (*back, *some):
        half = halved[key] or rules.settings.returning_sets_least
        capped[key] = min(half, capped.get(key, half))
    return capped


def _pain_lines(pain: PainState, library: Library) -> list[str]:
    lowered = "allowed one level less until it is cleared"
    names = {region: library.regions[region].name for region in pain.regions if region in library.regions}
    regions = [f"{name}: {lowered} ({pain.regions[region]})" for region, name in names.items()]
    return [*pain.sheet_lines, *regions]
