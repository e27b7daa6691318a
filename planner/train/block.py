"""The weeks of a block: targets and effort of each, and which weeks are lighter. No evidence asks for an automatic
rise of weekly sets: targets and repetitions in reserve are steady unless the coach asks otherwise. A lighter week is
not needed for growth either: it comes where the brief names it, and the log may propose one; the exercises stay the
same."""

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from library.errors import Fault, FaultyInput
from library.read import Library
from planner.athlete.brief import Block, Brief
from planner.athlete.targets import HeadTarget, joint_allowances, skill_asked
from planner.document import BlockMark, week_name, week_start
from planner.method import TRAIN, TrainSettings, WeekSettings
from planner.plain import LAST_DIGITS

ANYONE = 1  # the skill of who has not practised yet


@dataclass(frozen=True)
class BlockWeek:
    """One week of a block: its targets, fewest sets of an exercise in a session, and repetitions in reserve."""

    lighter: bool
    targets: Mapping[str, HeadTarget]
    smallest_block: int
    rir: int


def marks_of(
    first: str, weeks: int, ramp_share: float, block: Block, settings: TrainSettings = TRAIN
) -> dict[str, BlockMark]:
    """Name the weeks of a block from `first` on, and mark them; weeks away are passed over and count for nothing.
    Raises FaultyInput where the brief names repetitions in reserve for fewer weeks."""
    if block.reserve and len(block.reserve) < weeks:
        read = f"{len(block.reserve)} weeks of repetitions in reserve, the block has {weeks}"
        fault = Fault("brief.toml", "block.reserve", read, "Name one for each week, or leave it out")
        raise FaultyInput([fault])
    marks: dict[str, BlockMark] = {}
    day = week_start(first)
    while len(marks) < weeks:
        name, number = week_name(day), len(marks) + 1
        if name not in block.away:
            every = settings.lighter_every_weeks
            lighter = name in block.lighter or (every > 0 and number % every == 0)
            place = {"first": next(iter(marks), name), "number": number, "of": weeks}
            marks[name] = BlockMark(**place, lighter=lighter, ramp_share=ramp_share)  # type: ignore[arg-type]
        day += datetime.timedelta(days=7)
    return marks


def block_week(
    targets: Mapping[str, HeadTarget],
    mark: BlockMark,
    block: Block,
    rir: int,
    smallest_block: int,
    settings: TrainSettings = TRAIN,
) -> BlockWeek:
    """Give the week at `mark` from what a week of its own asks, as the brief's `block` is now. The ramp is the rise
    of each target a step (at most `ramp_share_most`; 0: steady); it stops so far below the ceiling that whole sets
    can meet both. A lighter week halves floor, target and smallest block and leaves the ramp where it was. Raises
    like `marks_of`."""
    share = min(mark.ramp_share, settings.ramp_share_most)
    *before, mark = list(marks_of(mark.first, mark.of, share, block, settings).values())[: mark.number]
    # a lighter week belongs to the hard week before it
    steps = max(0, sum(not of.lighter for of in before) - mark.lighter) // settings.ramp_step_weeks
    now = {}
    for head, goal in targets.items():
        target, most = goal.target, max(goal.ceiling - settings.ramp_below_ceiling_sets, goal.target)
        for _ in range(steps if share > 0 and target > 0 else 0):
            target = min(next_target(target, share, settings), most)
        now[head] = replace(goal, target=target)
    if mark.lighter:
        now = {head: lighter_target(target, settings) for head, target in now.items()}
        smallest_block = max(1, math.floor(smallest_block * settings.lighter_share))
    return BlockWeek(mark.lighter, now, smallest_block, reserve_of(mark, block, rir, settings))


def reserve_of(mark: BlockMark, block: Block, rir: int, settings: TrainSettings = TRAIN) -> int:
    """Return the repetitions in reserve of a block's week: as the brief names them, else as in a week of its own. A
    lighter week has no less than it would by itself, whatever the list says at its place."""
    alone = rir + mark.lighter * settings.lighter_rir_more
    named = block.reserve[mark.number - 1] if mark.number <= len(block.reserve) else alone
    return max(named, alone) if mark.lighter else named


def for_skill(rir: int, skill: int, settings: TrainSettings = TRAIN) -> int:
    """Return the repetitions in reserve that a person of this skill is asked: who has not practised keeps more."""
    return max(rir, settings.rir_least_unpractised) if skill <= ANYONE else rir


def is_careful(brief: Brief, library: Library, week: WeekSettings) -> bool:
    """Whether the person has not practised yet, or has a region that is not clear."""
    tender = any(word != "clear" for word in joint_allowances(brief, library).values())
    return tender or skill_asked(brief, week) == ANYONE


def reserve_alone(brief: Brief, library: Library, week: WeekSettings, train: TrainSettings) -> int:
    """Repetitions in reserve of a week of its own: the brief's, else more for skill 1 or a region that is not clear."""
    more = "reps_in_reserve" not in brief.method and is_careful(brief, library, week)
    rir = week.reps_in_reserve_careful if more else week.reps_in_reserve
    return for_skill(rir, skill_asked(brief, week), train)


def next_target(target: float, share: float, settings: TrainSettings = TRAIN) -> int:
    """Return the target after one step, in whole sets: `share` up, at least one set, 20 % at most."""
    allowed = max(target + settings.ramp_sets_least, target * (1 + min(share, settings.ramp_share_most)))
    return math.floor(allowed + LAST_DIGITS)  # 1.2 × 15 is 18 whole sets, not 17.999…


def lighter_target(target: HeadTarget, settings: TrainSettings = TRAIN) -> HeadTarget:
    """Return a head's target in a lighter week: floor and target halved, the ceiling as it was."""
    share = settings.lighter_share
    return replace(target, floor=target.floor * share, target=target.target * share)
