"""An athlete's folder read once: what does not change from one week of a block to the next."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from library.method import CreditSettings
from library.read import Library, read_library
from planner.athlete.evidence import own_profiles
from planner.athlete.folder import block_marks
from planner.athlete.method import method_of
from planner.athlete.reading import read_athlete
from planner.athlete.screening import require_clearance, screening_warnings
from planner.athlete.targets import weekly_targets
from planner.document import BlockMark
from planner.log.file import read_log
from planner.log.record import LoggedSet
from planner.method import AthleteSettings, TrainSettings, WeekSettings
from planner.model.inputs import Inputs
from planner.train.block import asked_reserve

if TYPE_CHECKING:
    from library.pooled_head import PooledHead


@dataclass(frozen=True)
class Filed:
    """The files of an athlete as inputs of a week of its own (no last week, no block), and what stands beside them.

    `capped`: what is said of targets that one step does not reach. `marks`: weeks on disk that belong to a block.
    """

    folder: Path
    inputs: Inputs
    pooled: Mapping[str, PooledHead]
    log: tuple[LoggedSet, ...]
    marks: Mapping[str, BlockMark]
    capped: tuple[str, ...]
    train: TrainSettings

    @property
    def lighter_weeks(self) -> frozenset[str]:
        """Weeks on disk that were easy on purpose: they decide no load."""
        return frozenset(week for week, mark in self.marks.items() if mark.lighter)

    @property
    def asked_then(self) -> dict[str, int]:
        """Repetitions in reserve that weeks of blocks on disk ask."""
        return asked_reserve(self.marks, self.inputs.week.reps_in_reserve, self.train)

    def screening(self, start: datetime.date) -> tuple[str, ...]:
        """What the screening has to say of a week that begins on `start`."""
        brief = self.inputs.brief
        settings = method_of(brief, AthleteSettings)
        return tuple(screening_warnings(brief, self.inputs.library, start, settings))


def read_filed(folder: Path) -> Filed:
    """Read library, brief, gyms, own evidence, log and the marks of blocks.

    Raises FaultyInput (a file is wrong), NotCleared (an operation without clearance).
    """
    from library.pool import pool_library

    library = read_library()
    brief, gyms = read_athlete(folder, library)
    require_clearance(brief)
    targets, capped = weekly_targets(brief, library, method_of(brief, AthleteSettings))
    pooled, own = own_profiles(folder, library, pool_library(library))
    inputs = Inputs(
        library=library,
        brief=brief,
        gyms=gyms,
        targets=targets,
        ratios=own or library_ratios(library),
        own_ratios=own,
        week=method_of(brief, WeekSettings),
        credit=method_of(brief, CreditSettings),
    )
    marks, train = block_marks(folder), method_of(brief, TrainSettings)
    return Filed(folder, inputs, pooled, tuple(read_log(folder)), marks, tuple(capped), train)


def library_ratios(library: Library) -> dict[str, dict[str, float]]:
    """Give the pooled activation ratios of the library: head -> exercise -> ratio to the head's anchor."""
    return {head: {key: one.ratio for key, one in of.items()} for head, of in library.profiles.items()}
