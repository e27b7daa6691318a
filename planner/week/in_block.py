"""What a block asks of one of its weeks: targets, smallest block, reserve, repetitions and pins."""

from __future__ import annotations

from dataclasses import replace

from library.read import Library
from planner.document import BlockMark, WeekDocument
from planner.method import TrainSettings
from planner.model.inputs import Inputs
from planner.train.block import BlockWeek, Dose, block_weeks


def in_block(inputs: Inputs, mark: BlockMark, train: TrainSettings, hard: WeekDocument | None) -> Inputs:
    """Give the inputs of a week of its own as they are at its place in a block; `hard`: the block's last hard week.

    The mark says where; what that means follows the brief's targets and method as they are now.
    """
    mark = mark.model_copy(update={"ramp_share": min(mark.ramp_share, train.ramp_share_most)})
    asked = asked_of(inputs, mark, train)
    targets = {
        head: replace(target, floor=dose.floor, target=dose.target, ceiling=dose.ceiling)
        for head, target in inputs.targets.items()
        for dose in [asked.doses[head]]
    }
    rir = asked.rir(inputs.week.reps_in_reserve)
    return replace(
        inputs,
        library=with_reps(inputs.library, asked),
        targets=targets,
        week=replace(inputs.week, smallest_block_sets=asked.smallest_block, reps_in_reserve=rir),
        block=mark.model_copy(update={"lighter": asked.lighter}),
        hard=hard,
        share_left=train.lighter_share if asked.lighter else 1.0,
    )


def asked_of(inputs: Inputs, mark: BlockMark, train: TrainSettings) -> BlockWeek:
    """Give what the block asks at this place, from the targets of a week of its own."""
    doses = {
        head: Dose(target.floor, target.target, target.ceiling) for head, target in inputs.targets.items()
    }
    smallest = inputs.week.smallest_block_sets
    weeks = block_weeks(doses, mark.of, ramp_share=mark.ramp_share, smallest_block=smallest, settings=train)
    return weeks[mark.number - 1]


def with_reps(library: Library, asked: BlockWeek) -> Library:
    """Give the library with this week's ranges of repetitions, from which time and loads follow."""
    if not asked.reps_change:
        return library
    exercises = {
        key: exercise.model_copy(update={"reps": asked.reps(exercise.reps)})
        for key, exercise in library.exercises.items()
    }
    return replace(library, exercises=exercises)
