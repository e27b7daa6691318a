"""Plan several weeks at once: the same exercises, a lighter week, all on one paper."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from planner.options import whole_number

AthleteFolder = Annotated[
    Path, typer.Argument(metavar="ATHLETE", help="The athlete's folder (brief.toml, gym.toml).")
]
Weeks = Annotated[
    int,
    typer.Option(
        "--weeks",
        metavar="N",
        parser=whole_number("--weeks"),
        help="How many weeks; every sixth is a lighter one.",
    ),
]
FirstWeek = Annotated[
    str | None,
    typer.Option("--week", metavar="FIRST", help="The first ISO week, such as 2026-W49; default: next week."),
]
Ramp = Annotated[
    str | None,
    typer.Option(
        "--ramp",
        metavar="SHARE",
        help="Let targets rise by this share (0.1 or 10%, 0.2 at most) after every second hard week.",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON document; write nothing unless --save.")]
Save = Annotated[bool, typer.Option("--save", help="With --json: write the weeks' folders too.")]
OutFolder = Annotated[Path | None, typer.Option("--out", help="Write here instead of ATHLETE/weeks.")]


def run(
    athlete: AthleteFolder,
    weeks: Weeks,
    week: FirstWeek = None,
    ramp: Ramp = None,
    as_json: AsJson = False,
    save: Save = False,
    out: OutFolder = None,
) -> None:
    """Plan a block: each week gets its folder, the first one block.pdf with all of them; all are written or none.

    Targets are steady unless --ramp is given. When a week is logged, `planner week` plans the next one again with
    the block's numbers. Exit 2: a file or option is wrong; 3: a week cannot satisfy what must hold; 4: no PDF.
    """
    from planner.publishing.block import check_all_sound, publish_block
    from planner.week.block.plan import plan_block
    from planner.week.block.text import block_table
    from planner.week.block.told import BlockAsked

    planned = plan_block(athlete, BlockAsked(weeks, week, ramp), datetime.date.today())
    check_all_sound(planned)
    written = publish_block(planned, athlete, out) if save or not as_json else None
    if as_json:
        typer.echo(planned.document.model_dump_json(indent=2))
    else:
        typer.echo(block_table(planned.document))
    if planned.longer:
        names = (
            f"{planned.longer[0]} to {planned.longer[-1]}" if len(planned.longer) > 1 else planned.longer[0]
        )
        typer.echo(f"Still in the folder, from an earlier block that this one cuts short: {names}", err=True)
    if written:
        typer.echo(
            f"Written to {written.folders[0]} and the weeks after it, {len(written.folders)} in all", err=True
        )
        typer.echo(f"All weeks on paper: {written.paper}", err=True)
        if written.paper_fault:
            raise written.paper_fault
