"""List what could be trained instead of an exercise of the week in force, with its price."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer


def run(
    athlete: Annotated[Path, typer.Argument(metavar="ATHLETE", help="The athlete's folder.")],
    exercise: Annotated[
        str, typer.Argument(metavar="EXERCISE", help="Key or printed name of a planned exercise.")
    ],
    week: Annotated[
        str | None, typer.Option("--week", help="ISO week such as 2026-W49; default: the newest.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document and nothing else.")] = False,
) -> None:
    """Print replacements that keep the dose best first: other equipment, no joint worse, no limit broken.

    Nothing is written: `planner swap ATHLETE --drop EXERCISE` plans the rest of the week without it.
    """
    from planner.change.instead_list import instead_list, instead_text
    from planner.change.swap.standing import open_week

    standing = open_week(athlete, datetime.date.today(), week)
    found = instead_list(standing, exercise)
    if as_json:
        typer.echo(found.model_dump_json(indent=2))
    else:
        typer.echo(instead_text(found, standing.asked.inputs.library))
