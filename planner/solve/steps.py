"""Which search over session patterns comes next, and what each of them is given."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from planner.method import SEARCH
from planner.solve.found import Aim, Found
from planner.solve.highs import Stops
from planner.solve.patterns import Bound
from planner.solve.sessions import Pattern

Patterns = list[list[Pattern]]  # of each session


class Step(Enum):
    """The searches, the cheapest first; all but a look are exact."""

    PATTERNS = "all plans made of the patterns near the linear bound"
    LOOK = "a good plan among likely blocks, which proves nothing"
    FROM_BEST = "better plans, from the best one known, for a short while"
    BLOCKS = "all plans that could be better"


@dataclass(frozen=True)
class Round:
    """What one search is given: the aim, its linear bound, what is known so far, and when to stop.

    `patterns` are all that lie within `width` of their session's best (in the aim's unit); empty where they are many.
    """

    aim: Aim
    linear: Bound
    found: Found
    stops: Stops
    width: float
    patterns: Patterns


def next_step(found: Found, gap: float, needed: float, *, few: bool) -> Step:
    """Choose the next search. `gap` and `needed`, what a better plan may cost above the linear bound: the aim's unit.

    `few`: the patterns within the width are few enough to be searched as columns.
    """
    if few:
        return Step.PATTERNS
    if found.point is None:  # nothing is known to be better than: all exact searches would be over everything
        return Step.LOOK
    far = needed > (SEARCH.far_gaps - 1) * gap
    if far and found.looks < len(SEARCH.look_nodes):  # a better plan first leaves less to search
        return Step.LOOK
    if not found.hurried:  # often enough, and then it has cost little
        return Step.FROM_BEST
    return Step.BLOCKS
