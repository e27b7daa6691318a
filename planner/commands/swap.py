"""Re-plan the week in force after something has changed, moving as little as possible."""

from __future__ import annotations

import datetime
from contextlib import nullcontext
from pathlib import Path
from typing import Annotated

import typer

AthleteFolder = Annotated[
    Path, typer.Argument(metavar="ATHLETE", help="The athlete's folder (brief.toml, gym.toml).")
]
Without = Annotated[
    list[str] | None,
    typer.Option(
        "--without", metavar="E", help="Equipment (or GYM:EQUIPMENT) or an exercise that is out this week."
    ),
]
With = Annotated[
    list[str] | None,
    typer.Option("--with", metavar="E", help="Equipment (or GYM:EQUIPMENT) or an exercise that is there."),
]
Minutes = Annotated[
    list[str] | None, typer.Option("--minutes", metavar="DAY=N", help="Minutes of a session, such as Mon=30.")
]
Drop = Annotated[
    list[str] | None, typer.Option("--drop", metavar="KEY", help="Do without an exercise this week.")
]
Done = Annotated[
    list[str] | None, typer.Option("--done", metavar="DAY", help="This session was trained: its sets stand.")
]
Missed = Annotated[
    list[str] | None,
    typer.Option("--missed", metavar="DAY", help="This session was missed: it gives no sets."),
]
WeekName = Annotated[
    str | None, typer.Option("--week", help="ISO week such as 2026-W49; default: the newest.")
]
OutFolder = Annotated[Path | None, typer.Option("--out", help="Write here instead of ATHLETE/weeks.")]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON document; write nothing unless --save.")]
Save = Annotated[bool, typer.Option("--save", help="With --json: write the week's folder too.")]


def run(
    athlete: AthleteFolder,
    without: Without = None,
    with_: With = None,
    minutes: Minutes = None,
    drop: Drop = None,
    done: Done = None,
    missed: Missed = None,
    week: WeekName = None,
    out: OutFolder = None,
    as_json: AsJson = False,
    save: Save = False,
) -> None:
    """Re-plan and print what changed; options may be repeated, and hold for this week until they are taken back.

    With no option: fit the plan in force to brief and gyms as they are now. The old plan stays in v1, v2 …
    """
    from planner.change.swap.swap import swap_week
    from planner.change.swap.told import Options
    from planner.files.safe import athlete_lock
    from planner.publishing.week import check_sound, publish

    lists = (without, with_, minutes, drop, done, missed)
    options = Options(*(tuple(words or ()) for words in lists))
    save = save or not as_json
    with (
        athlete_lock(athlete) if save and athlete.is_dir() else nullcontext()
    ):  # what is read is what is replaced
        swapped = swap_week(athlete, options, datetime.date.today(), week)
        check_sound(swapped.document, swapped.asked)
        written = publish(swapped.document, swapped.asked, athlete, out) if swapped.news and save else None
    for note in swapped.report.notes:
        typer.echo(note, err=True)
    if as_json:
        typer.echo(swapped.report.model_dump_json(indent=2))
    else:
        from planner.change.swap.text import swap_text
        from planner.sheets.table import missed_lines

        library = swapped.asked.inputs.library
        typer.echo(swap_text(swapped.report, library, missed_lines(swapped.report.week, library)))
    if written:
        typer.echo(f"Written to {written.folder}", err=True)
        if written.paper_fault:
            raise written.paper_fault
