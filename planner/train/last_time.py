"""What the last session says about a load: the sets at the working load, judged against what was asked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from planner.document import week_name
from planner.log.record import LoggedSet

NOTHING_ELSE: Mapping[str, int] = {}  # past weeks asked what is asked now


@dataclass(frozen=True)
class Asked:
    """What the sheet asks of a set: a range of repetitions that leaves `rir` in reserve."""

    low: int
    high: int
    rir: float


@dataclass(frozen=True)
class LastTime:
    """The sets of the last session at its working load (the most used; the heavier of two), in order.

    `rirs` holds what was asked where the client wrote none: then nothing is concluded from effort. `eased`:
    repetitions in reserve that are asked now beyond what that session asked (a block's weeks differ): the sets
    were not too hard for that, but repetitions fall by as many.
    """

    date: date
    load: float | None
    reps: tuple[int, ...]
    rirs: tuple[float, ...]
    asked: Asked
    eased: float = 0.0

    def all_reached(self, reps: int) -> bool:
        """Whether every set reached `reps` with at least the asked reserve."""
        effort = all(rir >= self.asked.rir for rir in self.rirs)
        return effort and all(done >= reps for done in self.reps)

    @property
    def points_too_hard(self) -> float:
        """Mean RPE points above the effort asked then (negative: easier); a repetition below the range is one."""
        return fmean(
            (self.asked.rir - self.eased - rir) + max(0, self.asked.low - (reps - self.eased))
            for reps, rir in zip(self.reps, self.rirs, strict=True)
        )

    @property
    def reps_at_asked_effort(self) -> tuple[float, ...]:
        """Repetitions that each set would have had at the asked reserve."""
        return tuple(reps + rir - self.asked.rir for reps, rir in zip(self.reps, self.rirs, strict=True))

    @property
    def shown(self) -> str:
        """The repetitions as they stand on paper: "12, 11, 10"."""
        return ", ".join(str(reps) for reps in self.reps)


def last_time(
    history: Iterable[LoggedSet], asked: Asked, unit: str | None, asked_then: Mapping[str, int] = NOTHING_ELSE
) -> LastTime | None:
    """Judge the newest session of one exercise in one gym; None if it was never done.

    `unit` None: the exercise has no load to write (body, band). Else only sets with a load in `unit` count:
    kg and lb are never mixed. `asked_then`: repetitions in reserve that past weeks ("2026-W49") asked, where known.
    """
    done = [line for line in history if line.reps is not None and not line.is_clearance]
    if unit is not None:
        done = [line for line in done if line.load is not None and line.load_unit == unit]
    if not done:
        return None
    newest = max((line.date, line.session) for line in done)
    sets = sorted(
        (line for line in done if (line.date, line.session) == newest), key=lambda line: line.set_number
    )
    load = working_load(sets) if unit is not None else None
    if unit is not None:
        sets = [line for line in sets if line.load == load]
    eased = max(0.0, asked.rir - asked_then.get(week_name(newest[0]), asked.rir))
    return LastTime(
        date=newest[0],
        load=load,
        reps=tuple(line.reps or 0 for line in sets),
        rirs=tuple(asked.rir - eased if line.rir is None else line.rir for line in sets),
        asked=asked,
        eased=eased,
    )


def working_load(sets: Sequence[LoggedSet]) -> float:
    """Return the load that most sets were done with; the heavier of two that tie."""
    uses = Counter(line.load for line in sets if line.load is not None)
    return max(uses, key=lambda load: (uses[load], load))
