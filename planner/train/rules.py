"""What decides loads besides the sets of an exercise in its gym: pain, breaks, lighter weeks; and what a run of weeks
says to the coach: time for a lighter one, or no next load near."""

import datetime
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple, Self

from library.errors import FaultyInput
from library.read import Library
from library.schema import Exercise
from planner.athlete.folder import read_week
from planner.athlete.gym import Gym
from planner.document import PlannedExercise, WeekDocument, exercises_of, week_name
from planner.log.blank import WITHOUT_NUMBER
from planner.log.record import LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import ROUNDING, counted
from planner.train.kin import waiting_heads
from planner.train.loads import AS_BEFORE, Ease, NextLoad, available_loads, falling, reps_without_pain
from planner.train.notes import bad_days, needs_watch, weaker
from planner.train.pain import PainState
from planner.train.progression import next_load

PAIN_WAITS, NOT_ASKED = "while a complaint waits to be seen", "before it was asked about"
FIRST_BACK, SECOND_BACK = "in the first week back", "in the second week back: sets first"
Place = tuple[str, str]  # exercise, gym: loads never carry over between stations or gyms
WEAKER = "Lighter: you were plainly weaker last time. If that stays, or an arm feels weak, stop and tell your coach."


class AskedThen(NamedTuple):
    """What the sheets of past weeks ("2026-W49") asked: repetitions in reserve, and where to search for a load."""

    reserves: Mapping[str, int]
    searches: frozenset[tuple[str, Place]]


AS_NOW = AskedThen({}, frozenset())  # no other reserve, and no search


@dataclass(frozen=True)
class LoadRules:
    """What decides loads besides the sets of an exercise in a gym. `lighter_weeks` ("2026-W49") were easy on purpose
    and decide nothing."""

    library: Library
    gyms: Mapping[str, Gym]
    pain: PainState
    lighter_weeks: frozenset[str] = frozenset()
    asked_then: AskedThen = AS_NOW
    settings: TrainSettings = TRAIN
    start: datetime.date | None = None  # of the week that is decided, where that is known
    ill: int = 0  # the first or second one back after illness: 1, 2
    away: bool = False  # it is the first one after a week without training
    weak: Mapping[str, str] = field(default_factory=dict)  # see `weakened`

    def by_place(self, log: Iterable[LoggedSet]) -> dict[Place, list[LoggedSet]]:
        """Return the sets that decide: loads never carry over between stations or gyms, and of bad days only where there
        are no others."""
        done: dict[Place, list[LoggedSet]] = {}
        for row in (row for row in log if not row.is_clearance and row.week not in self.lighter_weeks):
            done.setdefault((row.exercise, row.gym), []).append(row)
        bad = bad_days(row for rows in done.values() for row in rows)
        return {of: [row for row in rows if row.date not in bad] or rows for of, rows in done.items()}

    def weak_kin(self) -> frozenset[str]:
        """Give what is chosen for the same head as what lost strength: until that was asked about none gains load or sets."""
        kind = {key: one.trains or one.family for key, one in self.library.exercises.items()}
        asked = {kind[key] for key, ask in self.weak.items() if ask}
        return frozenset(key for key in kind if kind[key] in asked)

    def weakened(self, done: Mapping[Place, Sequence[LoggedSet]]) -> Self:
        """Give the rules with what lost strength in one of the last two weeks: exercise → what is asked, nothing for the week
        before the last one, which was asked about then."""
        newest = max((row.week for rows in done.values() for row in rows), default="")
        before = {of: [row for row in rows if row.week < newest] for of, rows in done.items()}
        then, now = (dict(weaker(rows, self.library, self.settings)) for rows in (before, done))
        return replace(self, weak=dict.fromkeys(then, "") | now)

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
        watched = any(row.week == last and needs_watch(row, self.library, self.settings) for row in done)
        hurts = self.pain.load_share(exercise.key, self.settings) < 1
        if watched and not hurts and not ease.hold:
            ease = replace(ease, hold=NOT_ASKED)
        since = self.pain.returning.get(exercise.key)
        back = {row.week for row in done if since and row.date > since}
        if not ease.hold and not hurts and (self.ill == 2 or len(back) == 1):
            ease = replace(ease, hold=SECOND_BACK)
        slowly = since is not None or exercise.key in self.weak or self._is_unsettled(done)
        ease = replace(ease, slowly=slowly, searched=(last, place) in self.asked_then.searches)
        load = next_load(done, exercise, gym, asked, rir, ease, self.asked_then.reserves, self.settings)
        cut = done and load.load and load.load < (done[-1].load or 0.0)
        if cut and any(weaker({place: done}, self.library, self.settings)):
            load = replace(load, note=WEAKER)
        return self._less_of(load, done, asked, rir) if hurts and load.fewer_sets else load

    def _is_unsettled(self, done: Sequence[LoggedSet]) -> bool:
        """Whether a question of pain is open, or so lately pain was cleared, a break was over or the load fell by so much
        that the strength of an exercise is not known: no time for a search."""
        pain, settings = self.pain, self.settings
        if pain.out or pain.rising:
            return True
        if self.start is None or not done:
            return False
        last, week = done[-1], datetime.timedelta(weeks=1)
        since = self.start - week * settings.unsettled_weeks
        days = pairwise(sorted({row.date for row in done}))
        rested = any(day >= since and day - before > week * settings.hold_weeks for before, day in days)
        recent = [row for row in done if row.date >= since - week and row.load_unit == last.load_unit]
        most = max((row.load or 0.0 for row in recent if row.week < last.week), default=0.0)
        now = max((row.load or 0.0 for row in recent if row.week == last.week), default=most)
        fell = now < most and now <= most * (1 - settings.unsettled_fall_share) + ROUNDING
        hurt = max((*pain.returning.values(), *(item.since for item in pain.eased)), default=since)
        return rested or fell or hurt > since

    def _less_of(self, load: NextLoad, done: list[LoggedSet], asked: tuple[int, int], rir: int) -> NextLoad:
        """Where what hurts has no lighter load: besides the set less, as many repetitions as did not hurt, more in reserve."""
        settings, least = self.settings, load.load or 0.0
        same = [row for row in done if row.load_unit == load.unit and (row.load or 0.0) >= least]
        reps = reps_without_pain(same if load.load else done, asked, settings)
        less = f"{counted(load.fewer_sets, 'set')} less where a session has more than {settings.returning_sets_least}"
        most = f"up to {reps[1]} repetitions with {max(rir, settings.pain_reserve_least)} in reserve"
        said = f"{AS_BEFORE.why}: {less}, {most}, {AS_BEFORE.then}"
        return replace(load, reps=reps, reason=said, note=said)

    def _ease(self, key: str, newest: datetime.date) -> Ease:
        """How much lighter an exercise begins: it hurt, it comes back after pain, or it was long not done."""
        settings, since = self.settings, self.pain.returning.get(key)
        weeks = (self.start - newest).days / 7 if self.start else 0.0
        cleared = max(self.pain.returning.values(), default=datetime.date.min)  # then all else stays as it is
        week = datetime.timedelta(weeks=1)
        first_back = self.away or (self.start is not None and self.start - cleared <= week)
        if (share := self.pain.load_share(key, settings)) < 1:
            return Ease(share)
        if since and newest <= since:
            return Ease(settings.pain_load_share, "Back after pain, cleared")
        if self.ill == 1 and 0 < weeks < settings.break_weeks:
            why, then = "Back after illness", "and up again from there."
            return Ease(settings.break_load_share, why, then, hold=FIRST_BACK)
        if weeks < settings.break_weeks:
            rested = weeks > settings.hold_weeks
            away = f"after {weeks:.0f} weeks without it" if rested else FIRST_BACK * first_back
            lost = settings.below_range_most if rested else 0
            if self.pain.out or key in (of.key for of in self.pain.small):
                away = PAIN_WAITS
            elif key in self.pain.steady:
                away = f"while {self.pain.steady[key]} hurts"
            elif key in self.weak_kin():
                away = NOT_ASKED
            return Ease(hold=away, lost=lost)
        long = weeks >= settings.long_break_weeks
        share = settings.long_break_load_share if long else settings.break_load_share
        return Ease(share, f"{weeks:.0f} weeks without it", "and up again from there.")


def asked_before(folder: Path, log: Iterable[LoggedSet], lighter: frozenset[str] = frozenset()) -> AskedThen:
    """Return what the sheets of the last two weeks asked in which each exercise was done, `lighter` weeks apart."""
    asked, searches = dict[str, int](), set[tuple[str, Place]]()
    known: dict[str, set[str]] = {}
    for row in log:
        known.setdefault(row.exercise, set()).add(row.week)
    for name in sorted({week for done in known.values() for week in sorted(done - lighter)[-2:]}):
        with suppress(FaultyInput):
            days = read_week(folder, name).sessions
            lines = [(of.exercise, day.gym, of) for day in days for of in day.exercises]
            asked |= {name: min(of.rir for *_, of in lines)} if lines else {}  # what hurts may be asked more
            finds = (place for *place, of in lines if of.load is None and of.load_reason)
            searches |= {(name, (key, gym)) for key, gym in finds}
    return AskedThen(asked, frozenset(searches))


def back_from(
    log: Iterable[LoggedSet], before: WeekDocument | None, start: datetime.date, settings: TrainSettings
) -> int:
    """Whether a week that starts on `start` is the first one after a week off: 1, after more than `hold_weeks`: 2, or neither:
    0. What was planned (`before`: the last week that was) and is not logged may have been trained, unless it was missed."""
    newest = max((row.date for row in log), default=start)
    week = week_name(start - datetime.timedelta(days=7))
    if before is None or week_name(newest) >= week or (before.week >= week and not is_missed(before)):
        return 0
    return 2 if settings.hold_weeks < (start - newest).days / 7 < settings.long_break_weeks else 1


def is_missed(document: WeekDocument) -> bool:
    """Whether every session of a week was missed."""
    return bool(document.sessions) and all(session.state == "missed" for session in document.sessions)


def next_loads(
    document: WeekDocument, log: Iterable[LoggedSet], rules: LoadRules, rir: int | None = None
) -> dict[Place, NextLoad]:
    """Decide the next load of each exercise of a week in the gym where it is planned, in the order of the sheets. `rir`:
    repetitions in reserve that the next week asks, where that is another one; None: as this one asks."""
    done = rules.by_place(log)
    places: dict[Place, PlannedExercise] = {}
    for session in document.sessions:
        for item in session.exercises:
            places.setdefault((item.exercise, session.gym), item)
    # a week that was planned before the pain asks less reserve than the next one will
    told = rir is None and any(warning.kind == "out" for warning in document.exercise_warnings)
    waits = not told and waiting_heads(rules.pain.barred, rules.library, exercises_of(document))
    more = rules.settings.lighter_rir_more if waits else 0
    asked = {
        of: rules.decided(of, done.get(of, ()), item.reps, (item.rir if rir is None else rir) + more)
        for of, item in places.items()
    }
    return {place: load for place, load in asked.items() if load}


def as_applied(pain: PainState, loads: Mapping[Place, NextLoad]) -> PainState:
    """Say of what hurts a little what its next loads make of it, where they are known, in place of both ways."""
    lines, start = [], f"{AS_BEFORE.why}: "
    for line in pain.lines:
        of = [
            load for (key, _), load in loads.items() if key == line.exercise and load.reason.startswith(start)
        ]
        if line.kind == "eased" and of:
            done = "; ".join(dict.fromkeys(load.reason.removeprefix(start) for load in of))
            kind = "fewer" if any(load.fewer_sets for load in of) else "eased"
            text = f"{line.text.rpartition(': ')[0]}: {done}"
            line = line.model_copy(update={"text": text, "kind": kind})
        lines.append(line)
    return replace(pain, lines=tuple(lines))


def lighter_asked(rules: LoadRules, done: Mapping[Place, Sequence[LoggedSet]], week: str) -> Iterator[str]:
    """Say where the log asks for a lighter week: repetitions that fall at the same load, or pain that rises. Only
    what was done in the last trained week counts."""
    newest = max((row.week for rows in done.values() for row in rows), default="")
    signs = [f"{item.name}: pain {item.how}" for item in rules.pain.rising if item.week == newest]
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


def dead_ends(
    rules: LoadRules, done: Mapping[Place, Sequence[LoggedSet]], loads: Mapping[Place, NextLoad], rir: int
) -> Iterator[str]:
    """Say after two weeks at the most repetitions with no next load near how to go on: by an exercise of the head whose
    next step in that room can be earned, of its family first, else by a harder version."""
    for place in (place for place, load in loads.items() if load.dead_end):
        exercise, gym = rules.library.exercises[place[0]], rules.gyms[place[1]]
        newest = max(row.week for row in done[place])
        earlier = [row for row in done[place] if row.week < newest]
        then = replace(rules, start=None).decided(place, earlier, None, rir)
        if not (then and then.dead_end):
            continue
        others = [
            other
            for other in rules.library.exercises.values()
            if other.trains == exercise.trains and other.skill == other.choice == 1 and not other.compare_only
            if other.key not in rules.pain.barred and set(other.needs) <= set(gym.equipment)
            if is_earnable(other, gym, loads.get((other.key, place[1]), loads[place]), rules.settings)
        ]
        finer = min(others, key=lambda other: other.family != exercise.family, default=None)
        way = f'{finer.name} goes in nearer steps there (prefer = ["{finer.key}"]), else ' if finer else ""
        heavier = max(available_loads(gym, exercise) or (0.0,)) > (loads[place].load or math.inf)
        rest = "a harder version" + ", or the next load for fewer repetitions" * heavier
        yield f"{exercise.name}, {place[1]}: two weeks at the top and no next load is near: {way}{rest}"


def is_earnable(exercise: Exercise, gym: Gym, known: NextLoad, settings: TrainSettings) -> bool:
    """Whether repetitions can earn the step from a known load, or what is next above it here, to the next load."""
    least = (known.load or 0.0) - ROUNDING
    first, *heavier = [load for load in available_loads(gym, exercise) or () if load >= least] or [0.0]
    (low, high), most = exercise.reps, settings.extra_reps_most
    return bool(heavier) and settings.extra_reps_a_tenth * 10 * (heavier[0] / first - 1) <= high - low + most
