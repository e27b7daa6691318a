"""What the last trained week says about a load: its sets at the working load, judged against what was asked."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from statistics import fmean

from planner.log.record import LoggedSet
from planner.method import TrainSettings

NOTHING_ELSE: Mapping[str, int] = {}  # past weeks asked what is asked now


@dataclass(frozen=True)
class Asked:
    """What the sheet asks of a set: a range of repetitions that leaves `rir` in reserve."""

    low: int
    high: int
    rir: float


@dataclass(frozen=True)
class LastTime:
    """The sets of all sessions of the last trained week at its working load, in order; `reps` by session.

    `rirs` holds what was asked where the client wrote none: then nothing is concluded from effort. `eased`:
    repetitions in reserve that are asked now beyond what that week asked (a block's weeks may differ): the sets
    were not too hard for that, but repetitions fall by as many.
    """

    load: float | None
    sessions: tuple[tuple[int, ...], ...]
    rirs: tuple[float, ...]
    asked: Asked
    eased: float = 0.0

    @property
    def reps(self) -> tuple[int, ...]:
        """Repetitions of every set."""
        return tuple(reps for session in self.sessions for reps in session)

    def all_reached(self, reps: int) -> bool:
        """Whether every set reached `reps` with at least the asked reserve."""
        return min(self.rirs) >= self.asked.rir and min(self.reps) >= reps

    @property
    def points_too_hard(self) -> float:
        """Mean RPE points above the effort asked then (negative: easier); a repetition below the range is one."""
        return fmean(
            (self.asked.rir - self.eased - rir) + max(0, self.asked.low - (reps - self.eased))
            for reps, rir in zip(self.reps, self.rirs, strict=True)
        )

    @property
    def to_failure(self) -> tuple[float, ...]:
        """Repetitions and those left in reserve of every set."""
        return tuple(reps + rir for reps, rir in zip(self.reps, self.rirs, strict=True))

    @property
    def shown(self) -> str:
        """The repetitions as they stand on paper, a semicolon between sessions: "12, 11, 10; 12, 12, 11"."""
        return "; ".join(", ".join(map(str, session)) for session in self.sessions)


def last_time(
    history: Iterable[LoggedSet], asked: Asked, unit: str | None, asked_then: Mapping[str, int] = NOTHING_ELSE
) -> LastTime | None:
    """Judge the newest week of one exercise in one gym; None if it was never done.

    `unit` None: the exercise has no load to write (body, band). Else only sets with a load in `unit` count:
    kg and lb are never mixed. `asked_then`: repetitions in reserve that past weeks ("2026-W49") asked, where known.
    """
    done = _done(history, unit)
    if not done:
        return None
    week = done[-1].week
    sets = [line for line in done if line.week == week]
    load = working_load(sets) if unit is not None else None
    sets = [line for line in sets if unit is None or line.load == load]
    eased = max(0.0, asked.rir - asked_then.get(week, asked.rir))
    return LastTime(
        load=load,
        sessions=tuple(tuple(line.reps or 0 for line in of) for of in _sessions(sets)),
        rirs=tuple(asked.rir - eased if line.rir is None else line.rir for line in sets),
        asked=asked,
        eased=eased,
    )


def working_load(sets: Sequence[LoggedSet]) -> float:
    """Return the load that most sets were done with; the heavier of two that tie."""
    uses = Counter(line.load for line in sets if line.load is not None)
    return max(uses, key=lambda load: (uses[load], load))


def falling(history: Iterable[LoggedSet], unit: str | None, settings: TrainSettings) -> tuple[float, ...]:
    """Return mean repetitions of the newest sessions where they fall at the same load, one after another; else ().

    Those in reserve are added where all are written: who stops earlier on purpose does not fall.
    """
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
