"""One decision on a load: what is known before it, and the answer that goes on paper."""

from __future__ import annotations

import math
from dataclasses import dataclass

from library.schema import Exercise
from planner.method import TrainSettings
from planner.plain import ROUNDING
from planner.train.formulas import estimate_maximum
from planner.train.last_time import Asked, LastTime


@dataclass(frozen=True)
class NextLoad:
    """What to train with next: `load` in `unit`, a range of repetitions, and why.

    `load` None: there is none to write (body, band), or it has to be found. `fewer_sets`: sets to leave out
    this time because of pain.
    """

    load: float | None
    unit: str | None
    reason: str
    reps: tuple[int, int]
    first_time: bool = False
    fewer_sets: int = 0
    more_reps: int = 0  # repetitions above the asked range that the client may go up to; 0: none

    @property
    def sheet_note(self) -> str:
        """What the client must know besides load and range: a set left out, repetitions above it, how far to go up."""
        if self.fewer_sets:
            sets = f"{self.fewer_sets} set{'s' if self.fewer_sets > 1 else ''}"
            return f"Because of pain: leave out {sets}, same range of motion or less."
        if self.more_reps:
            return f"The next load is a big step: go up to {self.more_reps} repetitions before it."
        return self.reason if self.load is None and self.unit and not self.first_time else ""


@dataclass(frozen=True)
class Case:
    """One exercise in its gym, last time, and the numbers of the method."""

    exercise: Exercise
    unit: str
    loads: tuple[float, ...] | None  # what the gym can make; None: it lists none
    last: LastTime
    working: float  # last time's load, in `unit`
    asked: Asked
    settings: TrainSettings

    def answer(
        self, load: float | None, reason: str, reps: tuple[int, int] | None = None, fewer_sets: int = 0
    ) -> NextLoad:
        """Answer with a load and the reason, for the asked repetitions unless others are given."""
        wanted = reps or (self.asked.low, self.asked.high)
        more = wanted[1] if wanted[1] > self.asked.high else 0
        return NextLoad(load, self.unit, reason, wanted, fewer_sets=fewer_sets, more_reps=more)

    def text(self, load: float) -> str:
        """Write a load with its unit and its change against last time: "22 kg (+10 %)"."""
        change = round(100 * (load / self.working - 1)) if self.working else 0
        shown = f" ({change:+d} %)" if change else ""
        return f"{load:g} {self.unit}{shown}"

    def earning_reps(self, step: float) -> int:
        """Return the repetitions that earn a step (a heavier load) which is coarser than the rule allows."""
        tenths = 10 * (step / self.working - 1) if self.working else 0.0
        return self.asked.high + math.ceil(self.settings.extra_reps_a_tenth * tenths - ROUNDING)

    @property
    def step_window(self) -> tuple[float, float]:
        """The lightest and heaviest load that count as one step up (2-10 %)."""
        least, most = self.settings.step_share_least, self.settings.step_share_most
        return self.working * (1 + least), self.working * (1 + most)

    @property
    def estimated_maximum(self) -> float | None:
        """The lowest estimate of last time's sets; None for raises, and where a set is beyond the formula."""
        sets = list(zip(self.last.reps, self.last.rirs, strict=True))
        beyond = any(reps < 1 or reps + rir > self.settings.formula_reps_most for reps, rir in sets)
        if beyond or not self.exercise.multi_joint:
            return None
        return min(estimate_maximum(self.working, reps, rir, self.settings).value for reps, rir in sets)
