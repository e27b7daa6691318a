"""Read every file of an athlete, tell all that is wrong or what it comes to, and print every default."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Annotated

import typer

from library.read import read_library
from planner.athlete.iso_week import next_week
from planner.errors import NotCleared


def run(
    athlete: Annotated[Path, typer.Argument(metavar="ATHLETE", help="The athlete's folder.")],
    week: Annotated[
        str | None, typer.Option(help="Week to check for, such as 2026-W49; else the next.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document and nothing else.")] = False,
) -> None:
    """Print what the files come to; exit 2 with every fault, 3 if an operation stands without clearance."""
    from planner.check.collect import check_athlete

    library = read_library()
    checked = check_athlete(athlete, library, week or next_week(datetime.date.today()))
    if as_json:
        from planner.check.document import check_document

        typer.echo(json.dumps(check_document(checked), ensure_ascii=False, indent=1))
    else:
        from planner.check.text import check_text

        typer.echo(check_text(checked, library))
    if checked.not_cleared:
        raise NotCleared(checked.not_cleared)
