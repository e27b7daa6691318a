"""Plan several weeks at once: the same exercises, a lighter week, all on one paper."""

from __future__ import annotations

import datetime
from typing import Annotated

import typer

from planner.options import (
    PAPERS,
    AthleteFolder,
    JsonUnlessSaved,
    NextWeek,
    OutFolder,
    Save,
    tell,
    tell_written,
    whole_number,
)

Weeks = Annotated[int, typer.Option(metavar="N", parser=whole_number("--weeks"), help="How many weeks.")]
Sheets = Annotated[
    int | None,
    typer.Option(
        metavar="N",
        parser=whole_number("--sheets", 1),
        help="Sheets, phone and coach's pages of so many weeks; default: the next two.",
    ),
]
RISE = "Let targets rise by this share (0.1 or 10%, 0.2 at most) after every second hard week."
Ramp = Annotated[str | None, typer.Option(metavar="SHARE", help=RISE)]


def run(
    athlete: AthleteFolder,
    weeks: Weeks,
    week: NextWeek = None,
    ramp: Ramp = None,
    sheets: Sheets = None,
    as_json: JsonUnlessSaved = False,
    save: Save = False,
    out: OutFolder = None,
) -> None:
    """Plan a block: each week gets its folder, the first one block.pdf for the wall; all are written or none.

    Targets are steady unless --ramp is given. When a week is logged, `planner week` plans the next one again with
    the block's numbers. Exit 2: a file or option is wrong; 3: a week cannot satisfy what must hold; 4: no PDF.
    """
    from planner.publish import BLOCK_PAPER, check_sound, publish_block
    from planner.week.block import BlockAsked, block_table, plan_block

    planned = plan_block(athlete, BlockAsked(weeks, week, ramp), datetime.date.today())
    document, longer = planned.document, planned.longer
    for of_week, asked in zip(document.weeks, planned.asked, strict=True):
        check_sound(of_week, asked)
    written = publish_block(planned, athlete, out, sheets) if save or not as_json else None
    tell(as_json, lambda: document.model_dump_json(indent=2), lambda: block_table(document))
    if longer:
        names = f"{longer[0]} to {longer[-1]}" if len(longer) > 1 else longer[0]
        typer.echo(f"Still in the folder, from an earlier block that this one cuts short: {names}", err=True)
    tell_written(written, (("For the wall", BLOCK_PAPER), *PAPERS))
