"""The weeks of a block: targets, effort and repetitions of each, and which weeks are lighter.

No evidence asks for an automatic rise of weekly sets: targets are steady unless the coach asks for a ramp.
A lighter week is not needed for growth either; it is what most athletes do, and the exercises stay the same.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.document import BlockMark
from planner.method import TRAIN, TrainSettings
from planner.train.loads import percent

WHOLE = 1e-9  # 1.2 × 15 is 18 whole sets, not 17.999…


@dataclass(frozen=True)
class Dose:
    """One head's weekly dose in direct sets."""

    floor: float
    target: float
    ceiling: float


@dataclass(frozen=True)
class BlockWeek:
    """One week of a block: `number` from 1; `rir_change` and `reps_change` against what the week would ask.

    `smallest_block`: fewest sets of an exercise in a session.
    """

    number: int
    lighter: bool
    doses: Mapping[str, Dose]
    smallest_block: int
    rir_change: int
    reps_change: int

    def rir(self, asked: int) -> int:
        """Return the repetitions in reserve asked this week; never below none."""
        return max(0, asked + self.rir_change)

    def reps(self, asked: tuple[int, int]) -> tuple[int, int]:
        """Return the range of repetitions asked this week; never below one."""
        low, high = asked
        return max(1, low + self.reps_change), max(1, high + self.reps_change)


def block_weeks(
    doses: Mapping[str, Dose],
    weeks: int,
    *,
    ramp_share: float = 0.0,
    smallest_block: int = 2,
    settings: TrainSettings = TRAIN,
) -> tuple[BlockWeek, ...]:
    """Lay out `weeks` weeks from the doses of the first.

    `ramp_share` is the rise of each target a step (a share, at most `ramp_share_most`; 0: steady); it stops
    at the ceiling. A lighter week halves floor, target and smallest block and leaves the ramp where it was.
    """
    if not 0 <= ramp_share <= settings.ramp_share_most:
        raise ValueError(
            f"a ramp of {percent(ramp_share)} a step: at most {percent(settings.ramp_share_most)}"
        )
    if weeks < 1:
        raise ValueError(f"a block of {weeks} weeks: at least one is needed")
    lighter = [is_lighter(number, settings) for number in range(1, weeks + 1)]
    laid = []
    for index, is_light in enumerate(lighter):
        hard_before = lighter[:index].count(False)
        # a lighter week belongs to the hard week before it
        step = max(0, hard_before - is_light) // settings.ramp_step_weeks
        now = {head: ramped(dose, step, ramp_share, settings) for head, dose in doses.items()}
        if is_light:
            laid.append(_lighter_week(index + 1, now, smallest_block, settings))
        else:
            first, last = _ends_of_run(lighter, index)
            rir = settings.rir_more_first_week * first - settings.rir_less_last_week * last
            reps = -settings.reps_less_each_week * _weeks_into_run(lighter, index)
            laid.append(BlockWeek(index + 1, False, now, smallest_block, rir, reps))
    return tuple(laid)


def asked_reserve(
    marks: Mapping[str, BlockMark], asked: int, settings: TrainSettings = TRAIN
) -> dict[str, int]:
    """Give the repetitions in reserve that each week of a block asks, by its name; `asked`: of a week of its own."""
    return {
        week: block_weeks({}, mark.of, settings=settings)[mark.number - 1].rir(asked)
        for week, mark in marks.items()
    }


def is_lighter(number: int, settings: TrainSettings = TRAIN) -> bool:
    """Whether week `number` (from 1) of a block is a lighter one."""
    return settings.lighter_every_weeks > 0 and number % settings.lighter_every_weeks == 0


def next_target(target: float, share: float, settings: TrainSettings = TRAIN) -> int:
    """Return the target after one step, in whole sets: `share` up, at least one set, 20 % at most."""
    allowed = max(target + settings.ramp_sets_least, target * (1 + min(share, settings.ramp_share_most)))
    return math.floor(allowed + WHOLE)


def ramped(dose: Dose, steps: int, share: float, settings: TrainSettings = TRAIN) -> Dose:
    """Return a head's dose after so many steps; the ceiling ends the rise, a head not trained stays so."""
    target = dose.target
    for _ in range(steps if share > 0 and target > 0 else 0):
        target = min(next_target(target, share, settings), max(dose.ceiling, dose.target))
    return replace(dose, target=target)


def lighter_dose(dose: Dose, settings: TrainSettings = TRAIN) -> Dose:
    """Return a head's dose in a lighter week: floor and target halved, the ceiling as it was."""
    share = settings.lighter_share
    return replace(dose, floor=dose.floor * share, target=dose.target * share)


def _lighter_week(
    number: int, doses: Mapping[str, Dose], smallest_block: int, settings: TrainSettings
) -> BlockWeek:
    halved = {head: lighter_dose(dose, settings) for head, dose in doses.items()}
    smallest = max(1, math.floor(smallest_block * settings.lighter_share))
    return BlockWeek(number, True, halved, smallest, settings.lighter_rir_more, 0)


def _weeks_into_run(lighter: Sequence[bool], index: int) -> int:
    """Count the hard weeks of the same run before week `index`."""
    into = 0
    while index - into > 0 and not lighter[index - into - 1]:
        into += 1
    return into


def _ends_of_run(lighter: Sequence[bool], index: int) -> tuple[bool, bool]:
    """Whether a hard week is the first and the last of its run of hard weeks."""
    first = _weeks_into_run(lighter, index) == 0
    last = index + 1 == len(lighter) or lighter[index + 1]
    return first, last
