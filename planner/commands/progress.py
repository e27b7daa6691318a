"""Look back: planned and delivered dose, estimated maxima and pain over time; a table and one page."""

import datetime
import json
from pathlib import Path
from typing import Annotated

import typer

from planner.options import whole_number


def run(
    athlete: Annotated[Path, typer.Argument(metavar="ATHLETE", help="The athlete's folder.")],
    weeks: Annotated[
        int | None,
        typer.Option(metavar="N", parser=whole_number("--weeks", 1), help="Show the newest so many weeks."),
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Write progress.pdf here instead of into ATHLETE.")] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="One JSON document; nothing is written without --save.")
    ] = False,
    save: Annotated[bool, typer.Option("--save", help="With --json: write the page all the same.")] = False,
) -> None:
    """Print the table and write the page. Exit 2: a file or option is wrong; 4: no PDF, its HTML is written."""
    from planner.train.progress import read_progress

    progress = read_progress(athlete, datetime.date.today()).newest(weeks)
    if as_json:
        typer.echo(json.dumps(progress.document(), ensure_ascii=False, indent=1))
    else:
        typer.echo(progress.text())
    if save or not as_json:
        from planner.train.progress_page import write_page

        written = write_page(progress, athlete if out is None else out)
        typer.echo(f"Written to {written}", err=True)
