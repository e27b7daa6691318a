"""What a block asks of one of its weeks, in words for the coach: its place, its effort, and what moved."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan, plan_of
from planner.model.inputs import Inputs
from planner.plain import counted, day_name, number


def block_notes(inputs: Inputs, plan: Plan) -> Iterator[str]:
    """Say where the week stands in its block and what differs from the block's last hard week, exercise by exercise."""
    mark = inputs.block
    if mark is None:
        return
    lighter = ", a lighter one" if mark.lighter else ""
    yield (
        f"Week {mark.number} of {mark.of} of the block that begins with {mark.first}{lighter}: "
        f"every set stops with {inputs.week.reps_in_reserve} in reserve."
    )
    if inputs.hard is None:
        return
    yield from risen_targets(inputs)
    if mark.lighter:
        yield from what_is_left(plan_of(inputs.hard), plan, inputs.hard.week)
    else:
        yield from moved_sets(inputs, plan_of(inputs.hard), plan)


def risen_targets(inputs: Inputs) -> Iterator[str]:
    """Name each target that is higher than in the last hard week; a lighter week halves its own."""
    before = {dose.head: dose.target for dose in inputs.hard.dose} if inputs.hard else {}
    for head, target in inputs.targets.items():
        was = before.get(head, target.target)
        if target.target > was:
            name = inputs.library.heads[head].name
            yield f"Target of {name}: {number(target.target)} direct sets ({number(was)} before)."


def what_is_left(before: Plan, plan: Plan, week: str) -> Iterator[str]:
    """Say how many sets a lighter week leaves, and whether each block stayed."""
    same = (
        "the same exercises on the same days" if set(before) == set(plan) else "what changed is named below"
    )
    yield (
        f"Lighter week: {counted(sum(plan.values()), 'set')} instead of {sum(before.values())} in {week}, {same}. "
        "It decides no load."
    )


def moved_sets(inputs: Inputs, before: Plan, plan: Plan) -> Iterator[str]:
    """Name every block whose sets are not those of the last hard week; say so if there is none."""
    week = inputs.hard.week if inputs.hard else ""
    changed = [pair for pair in dict.fromkeys((*before, *plan)) if before.get(pair, 0) != plan.get(pair, 0)]
    if not changed:
        yield f"The same sets on the same days as in {week}."
    for key, day in changed:
        exercise = inputs.library.exercises.get(key)
        now, was = plan.get((key, day), 0), before.get((key, day), 0)
        name = exercise.name if exercise else key
        yield f"{day_name(day)}, {name}: {counted(now, 'set')} ({was} in {week})."
