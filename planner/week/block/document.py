"""What `planner block --json` prints: the block's place in time and its weeks, each a week.json of its own."""

from __future__ import annotations

from typing import Literal

from planner.document import Piece, WeekDocument


class BlockDocument(Piece):
    """One athlete's block. `ramp_share`: rise of each target a step of the block, 0 if steady."""

    version: Literal[1] = 1
    athlete: str
    first: str
    of: int
    ramp_share: float
    weeks: tuple[WeekDocument, ...]


def block_document(weeks: tuple[WeekDocument, ...]) -> BlockDocument:
    """Give the document of weeks that stand in one block, in their order."""
    mark = weeks[0].block
    if mark is None:
        raise ValueError(f"{weeks[0].week} belongs to no block")
    return BlockDocument(
        athlete=weeks[0].athlete, first=mark.first, of=mark.of, ramp_share=mark.ramp_share, weeks=weeks
    )
