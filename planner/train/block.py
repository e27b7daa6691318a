"""The weeks of a block: targets and effort of each, and which weeks are lighter.

No evidence asks for an automatic rise of weekly sets: targets and repetitions in reserve are steady unless the coach
asks otherwise. A lighter week is not needed for growth either: it comes where the brief names it, and the log may
propose one; the exercises stay the same.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from library.errors import Fault, FaultyInput
from planner.athlete.brief import Block
from planner.document import BlockMark, week_name, week_start
from planner.method import TRAIN, TrainSettings
from planner.plain import LAST_DIGITS

ANYONE = 1  # the skill of who has not practised yet


@dataclass(frozen=True)
class Dose:
    """One head's weekly dose in direct sets."""

    floor: float
    target: float
    ceiling: float


@dataclass(frozen=True)
class BlockWeek:
    """One week of a block, fewest sets of an exercise in a session, and its repetitions in reserve.

    `reserve`: what the brief names for this week; None: what a week of its own asks, and `rir_change` more.
    """

    lighter: bool
    doses: Mapping[str, Dose]
    smallest_block: int
    reserve: int | None
    rir_change: int

    def rir(self, asked: int) -> int:
        """Return the repetitions in reserve of this week where a week of its own asks `asked`."""
        return asked + self.rir_change if self.reserve is None else self.reserve


def marks_of(
    first: str, weeks: int, ramp_share: float, block: Block, settings: TrainSettings = TRAIN
) -> dict[str, BlockMark]:
    """Name the weeks of a block from `first` on, and mark them; weeks away are passed over and count for nothing.

    Raises FaultyInput where the brief names repetitions in reserve for fewer weeks.
    """
    if block.reserve and len(block.reserve) < weeks:
        read = f"{len(block.reserve)} weeks of repetitions in reserve, the block has {weeks}"
        raise FaultyInput(
            [Fault("brief.toml", "block.reserve", read, "Name one for each week, or leave it out")]
        )
    marks: dict[str, BlockMark] = {}
    day = week_start(first)
    while len(marks) < weeks:
        name, number = week_name(day), len(marks) + 1
        if name not in block.away:
            every = settings.lighter_every_weeks
            lighter = name in block.lighter or (every > 0 and number % every == 0)
            start = next(iter(marks), name)
            marks[name] = BlockMark(
                first=start, number=number, of=weeks, lighter=lighter, ramp_share=ramp_share
            )
        day += datetime.timedelta(days=7)
    return marks


def block_week(
    doses: Mapping[str, Dose],
    mark: BlockMark,
    block: Block,
    smallest_block: int = 2,
    settings: TrainSettings = TRAIN,
) -> BlockWeek:
    """Give the week at `mark` from the doses of a week of its own, as the brief's `block` is now.

    The ramp is the rise of each target a step (at most `ramp_share_most`; 0: steady); it stops below the ceiling. A
    lighter week halves floor, target and smallest block and leaves the ramp where it was. Raises like `marks_of`.
    """
    share = min(mark.ramp_share, settings.ramp_share_most)
    marks = list(marks_of(mark.first, mark.of, share, block, settings).values())
    light = marks[mark.number - 1].lighter
    # a lighter week belongs to the hard week before it
    hard = sum(not of.lighter for of in marks[: mark.number - 1]) - light
    step = max(0, hard) // settings.ramp_step_weeks
    now = {head: ramped(dose, step, share, settings) for head, dose in doses.items()}
    if light:
        now = {head: lighter_dose(dose, settings) for head, dose in now.items()}
        smallest_block = max(1, math.floor(smallest_block * settings.lighter_share))
    reserve = block.reserve[mark.number - 1] if block.reserve else None
    return BlockWeek(light, now, smallest_block, reserve, light * settings.lighter_rir_more)


def asked_reserve(
    marks: Mapping[str, BlockMark], asked: int, settings: TrainSettings = TRAIN, reserve: Sequence[int] = ()
) -> dict[str, int]:
    """Give the repetitions in reserve that each week of a block asks, by its name; `asked`: of a week of its own."""
    return {
        week: reserve[mark.number - 1]
        if mark.number <= len(reserve)
        else asked + mark.lighter * settings.lighter_rir_more
        for week, mark in marks.items()
    }


def for_skill(rir: int, skill: int, settings: TrainSettings = TRAIN) -> int:
    """Return the repetitions in reserve that a person of this skill is asked: who has not practised keeps more."""
    return max(rir, settings.rir_least_unpractised) if skill <= ANYONE else rir


def next_target(target: float, share: float, settings: TrainSettings = TRAIN) -> int:
    """Return the target after one step, in whole sets: `share` up, at least one set, 20 % at most."""
    allowed = max(target + settings.ramp_sets_least, target * (1 + min(share, settings.ramp_share_most)))
    return math.floor(allowed + LAST_DIGITS)  # 1.2 × 15 is 18 whole sets, not 17.999…


def ramped(dose: Dose, steps: int, share: float, settings: TrainSettings = TRAIN) -> Dose:
    """Return a head's dose after so many steps; a head not trained stays so.

    The rise ends so far below the ceiling that whole sets can meet both: a target at its ceiling leaves no plan.
    """
    target, most = dose.target, max(dose.ceiling - settings.ramp_below_ceiling_sets, dose.target)
    for _ in range(steps if share > 0 and target > 0 else 0):
        target = min(next_target(target, share, settings), most)
    return replace(dose, target=target)


def lighter_dose(dose: Dose, settings: TrainSettings = TRAIN) -> Dose:
    """Return a head's dose in a lighter week: floor and target halved, the ceiling as it was."""
    share = settings.lighter_share
    return replace(dose, floor=dose.floor * share, target=dose.target * share)
