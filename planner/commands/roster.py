"""Plan the week of every athlete below a folder, several at once; one line an athlete."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Annotated

import typer

from planner.options import whole_number


def run(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="The folder in which the athletes' folders lie.")
    ],
    week: Annotated[
        str | None, typer.Option("--week", help="ISO week such as 2026-W49; default: next week.")
    ] = None,
    jobs: Annotated[
        int | None,
        typer.Option(
            "--jobs",
            metavar="N",
            parser=whole_number("--jobs", 1),
            help="So many athletes at once; default: one a processor.",
        ),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print one JSON document; write nothing unless --save.")
    ] = False,
    save: Annotated[bool, typer.Option("--save", help="With --json: write the weeks' folders too.")] = False,
) -> None:
    """Plan the week of every folder below FOLDER that holds a brief.toml; one that fails stops no other.

    The result is the same however many are planned at once. Exit 0: all are done; else that of the worst athlete,
    2 (a file is wrong) before 3 (no week can be) before 4 (no PDF).
    """
    from planner.document import next_week, week_start
    from planner.roster.rows import exit_code, row_line, totals_line
    from planner.roster.work import athletes_below, plan_all

    today = datetime.date.today()
    name = week or next_week(today)
    week_start(name)  # a wrong name is told once, not by every athlete
    rows = []
    for row in plan_all(athletes_below(folder), name, today, write=save or not as_json, jobs=jobs):
        rows.append(row)
        if not as_json:
            typer.echo(row_line(row))
        if row.error:
            typer.echo(f"{row.folder}:\n{row.error}", err=True)
    if as_json:
        document = {"version": 1, "week": name, "athletes": [row.document() for row in rows]}
        typer.echo(json.dumps(document, ensure_ascii=False, indent=2))
    typer.echo(totals_line(rows), err=True)
    raise typer.Exit(exit_code(rows))
