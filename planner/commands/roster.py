"""Plan the week of every athlete below a folder, several at once; one line an athlete."""

import datetime
import json
from pathlib import Path
from typing import Annotated

import typer

from planner.options import JsonUnlessSaved, NextWeek, Save, whole_number

Folder = Annotated[Path, typer.Argument(help="The folder in which the athletes' folders lie.")]
Jobs = Annotated[
    int | None,
    typer.Option(
        metavar="N",
        parser=whole_number("--jobs", 1),
        help="So many athletes at once; default: one a processor.",
    ),
]


def run(
    folder: Folder,
    week: NextWeek = None,
    jobs: Jobs = None,
    as_json: JsonUnlessSaved = False,
    save: Save = False,
) -> None:
    """Plan the week of every folder below FOLDER that holds a brief.toml; one that fails stops no other.

    The result is the same however many are planned at once. Exit 0: all are done; else that of the worst athlete,
    2 (a file is wrong) before 3 (no week can be) before 4 (no PDF).
    """
    from planner.document import week_named, week_start
    from planner.roster import Task, athletes_below, exit_code, plan_all, row_line, totals_line

    today = datetime.date.today()
    name = week_named(week or "next", today)
    week_start(name)  # a wrong name is told once, not by every athlete
    tasks = [Task(athlete, name, today, save or not as_json) for athlete in athletes_below(folder)]
    rows = []
    for row in plan_all(tasks, jobs):
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
