"""What a coach asks with `--cautious`, checked in words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from library.errors import Fault, FaultyInput
from planner.document import BlockMark
from planner.files.text import as_written

OPTION = "--cautious"
LEVELS = "Write a share between 0 and 1 such as 0.8, or 80%: the worst fifth of the draws is then made better"


def level_of(text: str) -> float:
    """Return the level as a share: 0.8 and 80% are the same. Raises FaultyInput if it is none between 0 and 1."""
    written = text.strip().replace(" ", "")
    try:
        level = float(written.removesuffix("%")) / (100 if written.endswith("%") else 1)
    except ValueError:
        level = math.nan
    if not 0 < level < 1:
        raise FaultyInput([Fault(OPTION, "", as_written(text), LEVELS)])
    return level


def require_alone(choices: int, take: str | None) -> None:
    """Raise FaultyInput if near-equal weeks are asked for too: they are near in the plain dose."""
    others = [*([f"--choices {choices}"] if choices > 1 else []), *([f"--take {take}"] if take else [])]
    if others:
        remedy = (
            "Leave one of them out: --choices looks for weeks of nearly the same plain dose, --cautious for one "
            "whose dose is surer"
        )
        raise FaultyInput([Fault(OPTION, "", f"together with {' and '.join(others)}", remedy)])


def require_own_week(week: str, block: BlockMark | None) -> None:
    """Raise FaultyInput if the week belongs to a block."""
    faults = list(_in_block(week, block))
    if faults:
        raise FaultyInput(faults)


def _in_block(week: str, block: BlockMark | None) -> Iterator[Fault]:
    if block is not None:
        read = f"{week} is week {block.number} of the block that begins with {block.first}"
        remedy = "A block keeps its exercises: plan this week without --cautious, or another week with it"
        yield Fault(OPTION, "", read, remedy)
