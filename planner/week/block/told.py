"""What a coach asks of a block on the command line, checked in words."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator
from dataclasses import dataclass

from library.errors import Fault, FaultyInput
from planner.athlete.brief import Block
from planner.document import BlockMark, next_week, week_start
from planner.files.text import as_written
from planner.method import TrainSettings
from planner.train.block import marks_of
from planner.train.loads import percent

WEEKS, RAMP = "--weeks", "--ramp"


@dataclass(frozen=True)
class BlockAsked:
    """Number of weeks, the first of them (None: next week), and the rise of each target a step as it was written."""

    weeks: int
    first: str | None = None
    ramp: str | None = None

    def first_week(self, today: datetime.date) -> str:
        """Return the first week's name. Raises FaultyInput if there is no such week."""
        name = next_week(today) if self.first is None else self.first
        week_start(name)
        return name

    def check(self, settings: TrainSettings) -> None:
        """Raise FaultyInput with all that does not fit."""
        faults = [*self._weeks(settings), *self._ramp(settings)]
        if faults:
            raise FaultyInput(faults)

    def marks(self, first: str, block: Block, settings: TrainSettings) -> dict[str, BlockMark]:
        """Return the block's weeks and their places. Raises FaultyInput where the brief names reserve for fewer."""
        return marks_of(first, self.weeks, self.ramp_share or 0.0, block, settings)

    @property
    def ramp_share(self) -> float | None:
        """Return the rise as a share: 0.1 and 10% are the same; None if what was written is no number."""
        text = (self.ramp or "0").strip().replace(" ", "")
        try:
            share = float(text.removesuffix("%")) / (100 if text.endswith("%") else 1)
        except ValueError:
            return None
        return share if math.isfinite(share) else None

    def _weeks(self, settings: TrainSettings) -> Iterator[Fault]:
        most = settings.block_weeks_most
        if not 1 <= self.weeks <= most:
            remedy = f"Plan 1 to {most} weeks at once (block_weeks_most)"
            yield Fault(WEEKS, "", f"{self.weeks} weeks", remedy)

    def _ramp(self, settings: TrainSettings) -> Iterator[Fault]:
        most, share = settings.ramp_share_most, self.ramp_share
        if share is None:
            yield Fault(RAMP, "", as_written(self.ramp), "Write a share such as 0.1, or 10%")
        elif not 0 <= share <= most:
            step = f"a step of {settings.ramp_step_weeks} hard weeks"
            remedy = f"Write 0 to {most:g}: a target rises by at most {percent(most)} in {step}"
            yield Fault(RAMP, "", f"{as_written(self.ramp)}, a rise of {percent(share)}", remedy)
