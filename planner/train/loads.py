"""Loads: what a gym can make, warm-up sets, estimated one-repetition maxima, and what the last trained week says. A
formula is a multiplier of the load: maximum = load × multiplier(repetitions), repetitions to failure. Nobody has
validated putting repetitions + those in reserve into one, so every result is an estimate, shown ± 10 %. All of them
come from large lifts: raises are steered by repetitions instead (planner/train/progression.py)."""

import math
import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from statistics import fmean
from typing import Any, NamedTuple

from library.schema import Exercise
from planner.athlete.gym import Gym
from planner.log.record import NO, LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import ROUNDING, counted

# of a float or a numpy array of repetitions; plain arithmetic serves both
FORMULAS: dict[str, Callable[[Any], Any]] = {
    "epley": lambda r: 1 + r / 30,  # Epley B, 1985 (from memory), form read on a calculator page
    "brzycki": lambda r: 36 / (37 - r),  # Brzycki M, 1993, JOPERD 64(1):88-90; breaks at r = 37
    "lombardi": lambda r: r**0.10,  # Lombardi VP, 1989
    "lander": lambda r: 100 / (101.3 - 2.67123 * r),  # Lander J, 1985, NSCA J 6(6):60-61; breaks at 37.92
    "mayhew": lambda r: 100 / (52.2 + 41.9 * math.e ** (-0.055 * r)),  # Mayhew JL et al., 1992
    "oconner": lambda r: 1 + 0.025 * r,  # O'Conner B et al., 1989
    "wathan": lambda r: 100 / (48.8 + 53.8 * math.e ** (-0.075 * r)),  # Wathen D, 1994
}

# words of a client, English and German (common knowledge, no source)
TOO_EASY = re.compile(NO + r"\b(too (easy|light)|zu leicht)\b", re.I)
NOTHING_ELSE: Mapping[str, int] = {}  # past weeks asked what is asked now


def available_loads(gym: Gym, exercise: Exercise) -> tuple[float, ...] | None:
    """Return the loads that `gym` can make for `exercise`, rising, in its unit; None: it lists none."""
    return (gym.loads_of(exercise.load_from) if exercise.load_from else ()) or None


def warmup_loads(
    load: float, warmup_sets: int, loads: Sequence[float] | None, settings: TrainSettings = TRAIN
) -> tuple[float, ...]:
    """Return a load for each warm-up set before sets with `load`, from what the gym can make (`loads`). Shares of the
    work load in even steps, at most what they ask; empty where the gym lists none or none is lighter."""
    first, last = settings.warmup_share_first, settings.warmup_share_last
    lighter = [here for here in loads or () if here < load - ROUNDING]
    if not lighter or not warmup_sets:
        return ()
    if warmup_sets == 1:
        first = last = (first + last) / 2
    step = (last - first) / max(1, warmup_sets - 1)
    asked = [load * (first + step * place) for place in range(warmup_sets)]
    return tuple(heaviest_within(lighter, most) or min(lighter) for most in asked)


def percent(share: float) -> str:
    """Write a share as whole per cent: "20 %"."""
    return f"{100 * share:.0f} %"


def heaviest_within(loads: Sequence[float], most: float) -> float | None:
    """Return the heaviest of `loads` that does not exceed `most`; None if all do."""
    # loads are decimal numbers as people write them: 10 % of 20 is 2, not 2.0000000000000018
    return max((load for load in loads if load <= most + ROUNDING), default=None)


def lightest_from(loads: Sequence[float], least: float) -> float | None:
    """Return the lightest of `loads` that is at least `least`; None if none is."""
    return min((load for load in loads if load >= least - ROUNDING), default=None)


@dataclass(frozen=True)
class Ease:
    """A share of the last load below 1, why, and what holds besides."""

    share: float = 1.0
    why: str = "Pain last time"
    then: str = "same range of motion or less."
    hold: str = ""  # why no more than last time: PAIN_WAITS, a break
    slowly: bool = False  # soon after pain, a fall, a break: no search, a step of the gym at most
    searched: bool = False  # last week's sheet asked for a search
    lost: int = 0  # repetitions that a break may have cost

    def fewer(self, sets: int) -> str:
        """Say that sets go where no load can."""
        return f"{self.why}: {counted(sets, 'set')} less, {self.then}"


AS_BEFORE = Ease()


class Asked(NamedTuple):
    """What the sheet asks of a set: a range of repetitions that leaves `rir` in reserve."""

    low: int
    high: int
    rir: float


@dataclass(frozen=True)
class NextLoad:
    """What to train with next: `load` in `unit`, a range of repetitions, and why. `load` None: there is none to write
    (body, band), or it has to be found. `fewer_sets`: sets fewer than last week because of pain. `note`: for the client,
    such as how to find a load that is due and cannot be named. `too_heavy`: nothing lighter is here, and few repetitions
    are left. `dead_end`: all sets were at the most repetitions, and no next load is near."""

    load: float | None
    unit: str | None
    reason: str
    reps: tuple[int, int]
    first_time: bool = False
    fewer_sets: int = 0
    note: str = ""
    too_heavy: bool = False
    dead_end: bool = False

    @property
    def sheet_note(self) -> str:
        """What the client must know besides load and range: a set fewer, repetitions above it, how far to go up."""
        return self.reason if self.fewer_sets else self.note


@dataclass(frozen=True)
class LastTime:
    """The sets of all sessions of the last trained week at its working load, in order; `reps` by session. `rirs`
    holds what was asked where the client wrote none: then nothing is concluded from effort. `eased`: repetitions in
    reserve that are asked now beyond what that week asked (blocks and pain change it): the sets were not too hard
    for that, but repetitions fall by as many; below 0: less is asked now."""

    load: float | None
    sessions: tuple[tuple[int, ...], ...]
    rirs: tuple[float, ...]
    asked: Asked
    eased: float = 0.0
    of_load: str = ""  # " with 20 kg" where other loads were used in that week too
    week: str = ""  # "2026-W49"
    easy: bool = False  # the client's words: too easy

    @property
    def reps(self) -> tuple[int, ...]:
        """Repetitions of every set."""
        return tuple(reps for session in self.sessions for reps in session)

    def all_reached(self, reps: int) -> bool:
        """Whether every set reached `reps` with at least the asked reserve."""
        return min(self.rirs) >= self.asked.rir and min(self.reps) >= reps

    def least_at(self, rir: float) -> float:
        """Repetitions that the hardest set would reach with so many in reserve."""
        return min(self.to_failure) - rir

    def is_far_too_light(self, settings: TrainSettings) -> bool:
        """Whether every set left far more in reserve than was asked then or is asked now, past the top of the range."""
        above = self.asked.rir + max(0.0, -self.eased) + settings.search_rir_above
        far = min(self.rirs) >= min(above, settings.search_rir_enough)
        return far and self.least_at(self.asked.rir) >= self.asked.high

    def predicted(self, load: float, settings: TrainSettings) -> tuple[int, ...]:
        """Repetitions of every set with another load at the reserve asked, by Epley's formula."""
        epley, most = FORMULAS["epley"], range(1, settings.earned_reps_most + 1)
        worth = [(self.load or 0.0) * epley(reps) + ROUNDING for reps in self.to_failure]
        return tuple(sum(load * epley(reps + self.asked.rir) <= of for reps in most) for of in worth)

    @property
    def points_too_hard(self) -> float:
        """Mean RPE points above the effort asked then (negative: easier); a repetition below the range is one."""
        more, sets = max(0.0, self.eased), zip(self.reps, self.rirs, strict=True)
        then, low = self.asked.rir - more, self.asked.low + more
        return fmean((then - rir) + max(0, low - reps) for reps, rir in sets)

    @property
    def with_reserve(self) -> str:
        """The repetitions, and how many stayed in reserve where others are asked now."""
        kept = "–".join(dict.fromkeys(f"{rir:g}" for rir in (min(self.rirs), max(self.rirs))))
        return f"{self.shown} last time with {kept} in reserve, where {self.asked.rir:g} are asked"

    @property
    def to_failure(self) -> tuple[float, ...]:
        """Repetitions and those left in reserve of every set."""
        return tuple(reps + rir for reps, rir in zip(self.reps, self.rirs, strict=True))

    @property
    def shown(self) -> str:
        """The repetitions as they stand on paper, a semicolon between sessions: "12, 11, 10; 12, 12, 11"."""
        return "; ".join(", ".join(map(str, session)) for session in self.sessions) + self.of_load


def last_time(
    history: Iterable[LoggedSet],
    asked: Asked,
    unit: str | None,
    asked_then: Mapping[str, int] = NOTHING_ELSE,
    settings: TrainSettings = TRAIN,
) -> LastTime | None:
    """Judge the newest week of one exercise in one gym; None if it was never done. `unit` None: the exercise has no
    load to write (body, band). Else only sets with a load in `unit` count: kg and lb are never mixed. `asked_then`:
    repetitions in reserve that past weeks ("2026-W49") asked, where known. Words (too easy) serve where no reserve is."""
    done = _done(history, unit)
    if not done:
        return None
    week = done[-1].week
    sets = [line for line in done if line.week == week]
    load = working_load(sets) if unit is not None else None
    others = unit is not None and any(line.load != load for line in sets)
    sets = [line for line in sets if unit is None or line.load == load]
    eased = asked.rir - asked_then.get(week, asked.rir)
    sessions = tuple(tuple(line.reps or 0 for line in of) for of in _sessions(sets))
    easy = any(TOO_EASY.search(line.note) for line in sets)
    unwritten = asked.rir + settings.search_rir_above if easy else asked.rir - max(0.0, eased)
    rirs = tuple(unwritten if line.rir is None else line.rir for line in sets)
    of_load = f" with {load:g} {unit}" if others else ""
    return LastTime(load, sessions, rirs, asked, eased, of_load, week, easy)


def reps_with(history: Iterable[LoggedSet], unit: str) -> dict[float, int]:
    """Return the repetitions of the newest set with each load that was used."""
    return {line.load or 0.0: line.reps or 0 for line in _done(history, unit)}


def search_from(last: LastTime, loads: Sequence[float], settings: TrainSettings) -> float | None:
    """Return the load to begin a search with after sets that were far too light, well above theirs: at most what they
    give, by Epley's formula, for few repetitions, unless the client's words say too easy. None: nothing is that."""
    load, epley = last.load or 0.0, FORMULAS["epley"]
    heavier = [here for here in loads if here > load + ROUNDING]
    if not heavier or not last.is_far_too_light(settings):
        return None
    share = lightest_from(heavier, load * (1 + settings.search_share)) or max(heavier)
    most = math.inf if last.easy else load * epley(min(last.to_failure)) / epley(settings.search_reps_least)
    return heaviest_within(heavier, min(most, max(share, heavier[: settings.search_steps][-1])))


def load_before(
    history: Iterable[LoggedSet], working: float, asked: Asked, unit: str, settings: TrainSettings
) -> LoggedSet | None:
    """Return the newest set with the heavier load that was held before the last trained week went down to `working`.
    None where none was heavier before a long break, where its sets were too hard, or where it hurt in two weeks: then
    it is earned anew."""
    done = _done(history, unit)
    weeks = {week: list(rows) for week, rows in groupby(done, key=lambda row: row.week)}
    for rows in (weeks[week] for week in sorted(weeks, reverse=True)):
        if (load := working_load(rows)) <= working + ROUNDING:
            continue
        lines = [row for row in rows if row.load == load]
        then = last_time(lines, asked, unit)
        hurt = {row.week for row in done if (row.load or 0.0) >= load and hurts(row, settings)}
        gap = (done[-1].date - lines[-1].date).days
        hard = then is None or then.points_too_hard >= settings.points_to_act
        return None if hard or len(hurt) > 1 or gap > 7 * settings.long_break_weeks else lines[-1]
    return None


def reps_without_pain(
    history: Iterable[LoggedSet], asked: tuple[int, int], settings: TrainSettings
) -> tuple[int, int]:
    """Return the range of what hurt, as wide as the asked one: no higher than on the newest day on which no set of these
    hurt; where there was none the lowest that is asked."""
    (low, high), most = asked, asked[0]
    for rows in _sessions(_done(history, None)):
        if not any(hurts(row, settings) for row in rows):
            most = max(1, *(row.reps or 0 for row in rows))
    return max(min(low, most), most - (high - low)), most


def hurts(row: LoggedSet, settings: TrainSettings) -> bool:
    """Whether a set's pain, muscle soreness apart, is above what is small."""
    return row.of_pain and (row.pain or 0.0) > settings.pain_go_most


def working_load(sets: Sequence[LoggedSet]) -> float:
    """Return the load that most sets were done with; the heavier of two that tie."""
    uses = Counter(line.load for line in sets if line.load is not None)
    return max(uses, key=lambda load: (uses[load], load))


def falling(history: Iterable[LoggedSet], unit: str | None, settings: TrainSettings) -> tuple[float, ...]:
    """Return mean repetitions of the newest sessions where they fall at the same load, one after another; else ().
    Those in reserve are added where all are written: who stops earlier on purpose does not fall."""
    newest = list(_sessions(_done(history, unit)))[-settings.lighter_falling_sessions - 1 :]
    if len(newest) <= settings.lighter_falling_sessions:
        return ()
    loads = {working_load(sets) if unit is not None else 0.0 for sets in newest}
    counts = all(line.rir is not None for sets in newest for line in sets)
    means = tuple(fmean((line.reps or 0) + counts * (line.rir or 0.0) for line in sets) for sets in newest)
    falls = all(was - now >= settings.lighter_falling_reps for was, now in pairwise(means))
    return means if falls and len(loads) == 1 else ()


def _done(history: Iterable[LoggedSet], unit: str | None) -> list[LoggedSet]:
    """Sets that were done, with a load in `unit` where one is written, oldest first."""
    done = [line for line in history if line.reps is not None and not line.is_clearance]
    if unit is not None:
        done = [line for line in done if line.load is not None and line.load_unit == unit]
    return sorted(done, key=lambda line: (line.date, line.session, line.set_number))


def _sessions(sets: Iterable[LoggedSet]) -> Iterable[list[LoggedSet]]:
    return [list(of) for _, of in groupby(sets, key=lambda line: (line.date, line.session))]
