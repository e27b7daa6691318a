"""What a block asks of one of its weeks, worked out anew (training facts §13, §15): rise, halves, reserve, reps."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from planner.verify.finding import Check, Finding

if TYPE_CHECKING:
    from library.schema import Exercise
    from planner.verify.case import Case

WHOLE = 1e-9  # 1.2 × 15 is 18
DAYS_A_WEEK = 7


def is_light(case: Case, number: int) -> bool:
    """Every sixth week of a block is a lighter one."""
    every = int(case.number("lighter_every_weeks"))
    return every > 0 and number % every == 0


def in_lighter_week(case: Case) -> bool:
    """Whether the document's week is a lighter one of its block."""
    return case.document.block is not None and is_light(case, case.document.block.number)


def share_left(case: Case) -> float:
    """Half of floor, target, smallest block and pinned sets in a lighter week, else all."""
    return case.number("lighter_share") if in_lighter_week(case) else 1.0


def risen(case: Case, target: float, ceiling: float) -> float:
    """T after n steps of ⌊max(T + 1, T·(1 + r))⌋, up to the ceiling: one step for every two hard weeks behind.

    A lighter week stays where the hard week before it was.
    """
    mark = case.document.block
    if mark is None or not mark.ramp_share:
        return target
    last_hard = mark.number
    while last_hard > 1 and is_light(case, last_hard):
        last_hard -= 1
    behind = sum(not is_light(case, number) for number in range(1, last_hard))
    rise = min(mark.ramp_share, case.number("ramp_share_most"))
    top = max(target, ceiling)
    for _ in range(behind // int(case.number("ramp_step_weeks"))):
        stepped = max(target + case.number("ramp_sets_least"), target * (1 + rise))
        target = min(top, float(math.floor(stepped + WHOLE)))
    return target


def smallest_block(case: Case) -> float:
    """Fewest sets of an exercise in a session: the method's, half of it in a lighter week, one at least."""
    return max(1, math.floor(case.number("smallest_block_sets") * share_left(case)))


def pinned(case: Case, sets: int) -> int:
    """Sets that a pin asks this week: half of it in a lighter week, rounded up."""
    return max(1, math.ceil(sets * share_left(case)))


def reserve(case: Case) -> int:
    """RIR asked: one more in the first hard week of a run, one less in the last, two more in a lighter week."""
    rir, mark = case.number("reps_in_reserve"), case.document.block
    if mark is None:
        return int(rir)
    if in_lighter_week(case):
        return int(rir + case.number("lighter_rir_more"))
    after_light = mark.number == 1 or is_light(case, mark.number - 1)
    before_light = mark.number == mark.of or is_light(case, mark.number + 1)
    rir += case.number("rir_more_first_week") if after_light else 0
    return max(0, int(rir - (case.number("rir_less_last_week") if before_light else 0)))


def repetitions(case: Case, exercise: Exercise) -> tuple[int, int]:
    """Range of repetitions: the library's, less n·k after k hard weeks of the same run (n 0 as a rule)."""
    mark, run = case.document.block, 0
    if mark is not None and not in_lighter_week(case):
        while run + 1 < mark.number and not is_light(case, mark.number - 1 - run):
            run += 1
    less = int(case.number("reps_less_each_week")) * run
    low, high = exercise.reps
    return max(1, low - less), max(1, high - less)


def mark_stated(case: Case) -> Iterator[Finding]:
    """The mark fits: k-th week after the first, at most the last, lighter where due, rise at most a fifth."""
    mark = case.document.block
    if mark is None:
        return
    if mark.lighter != in_lighter_week(case):
        yield Finding(
            "misstates", f"week {mark.number} of its block", _kind(not mark.lighter), _kind(mark.lighter)
        )
    year, week = (int(part) for part in mark.first.split("-W"))
    start = datetime.date.fromisocalendar(year, week, 1)
    this = start + datetime.timedelta(days=DAYS_A_WEEK * (mark.number - 1))
    if this.isoformat() != case.document.week_start:
        what = f"start of week {mark.number} of the block from {mark.first}"
        yield Finding("misstates", what, this.isoformat(), case.document.week_start)
    if mark.ramp_share > case.number("ramp_share_most") + WHOLE:
        yield Finding("breaks", "rise of a step", mark.ramp_share, case.number("ramp_share_most"))


def _kind(lighter: bool) -> str:
    return "a lighter week" if lighter else "a hard week"


def reserve_stated(case: Case) -> Iterator[Finding]:
    """Printed repetitions in reserve = what method and block ask."""
    for session, planned in case.planned():
        if planned.rir != reserve(case):
            what = f"{session.id}: reserve of {planned.exercise}"
            yield Finding("misstates", what, reserve(case), planned.rir, "repetitions")


CHECKS: tuple[Check, ...] = (mark_stated, reserve_stated)
