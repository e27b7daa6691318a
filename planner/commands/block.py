"""Plan several weeks at once: the same exercises, a lighter week, all on one paper."""

import datetime

from typer import Option, echo

from planner import options
from planner.options import tell

SHEETS = "Sheets, phone and coach's pages of so many weeks; default: the next two."
RISE = "Let targets rise by this share (0.1 or 10%, 0.2 at most) after every second hard week."


def run(
    athlete: options.AthleteFolder,
    weeks: int = Option(..., metavar="N", parser=options.whole_number("--weeks"), help="How many weeks."),
    week: options.NextWeek = None,
    ramp: str | None = Option(None, metavar="SHARE", help=RISE),
    sheets: int | None = Option(None, metavar="N", parser=options.whole_number("--sheets", 1), help=SHEETS),
    as_json: options.JsonUnlessSaved = False,
    save: options.Save = False,
    out: options.OutFolder = None,
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
        echo(f"Still in the folder, from an earlier block that this one cuts short: {names}", err=True)
    options.tell_written(written, (("For the wall", BLOCK_PAPER), *options.PAPERS))
