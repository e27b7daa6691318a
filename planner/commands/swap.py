"""Re-plan the week in force after something has changed, moving as little as possible."""

from __future__ import annotations

import datetime
from contextlib import nullcontext
from typing import Annotated

import typer

from planner.options import (
    AthleteFolder,
    JsonUnlessSaved,
    OutFolder,
    Save,
    WeekInForce,
    tell,
    tell_written,
)

WITHOUT = "Equipment (or GYM:EQUIPMENT) or an exercise that is out this week."
Words = list[str] | None
Without = Annotated[Words, typer.Option("--without", metavar="E", help=WITHOUT)]
With = Annotated[
    Words,
    typer.Option("--with", metavar="E", help="Equipment (or GYM:EQUIPMENT) or an exercise that is there."),
]
Minutes = Annotated[
    Words, typer.Option("--minutes", metavar="DAY=N", help="Minutes of a session, such as Mon=30.")
]
Drop = Annotated[Words, typer.Option("--drop", metavar="KEY", help="Do without an exercise this week.")]
Done = Annotated[
    Words, typer.Option("--done", metavar="DAY", help="This session was trained: its sets stand.")
]
Missed = Annotated[
    Words, typer.Option("--missed", metavar="DAY", help="This session was missed: it gives no sets.")
]

Back = Annotated[
    Words,
    typer.Option("--back", metavar="DAY", help="A session called missed or trained is to come after all."),
]


def run(
    athlete: AthleteFolder,
    without: Without = None,
    with_: With = None,
    minutes: Minutes = None,
    drop: Drop = None,
    done: Done = None,
    missed: Missed = None,
    back: Back = None,
    week: WeekInForce = None,
    out: OutFolder = None,
    as_json: JsonUnlessSaved = False,
    save: Save = False,
) -> None:
    """Re-plan and print what changed; options may be repeated, and hold for this week until they are taken back.

    With no option: fit the plan in force to brief and gyms as they are now. The old plan stays in v1, v2 …
    """
    from planner.change.swap import swap_week
    from planner.change.told import Options
    from planner.files.safe import athlete_lock
    from planner.publish import check_sound, publish

    options = Options(*(tuple(words or ()) for words in (without, with_, minutes, drop, done, missed, back)))
    write = save or not as_json
    # what is read is what is replaced
    with athlete_lock(athlete) if write and athlete.is_dir() else nullcontext():
        swapped = swap_week(athlete, options, datetime.date.today(), week)
        report, library = swapped.report, swapped.asked.inputs.library
        check_sound(swapped.document, swapped.asked)
        write = swapped.news and write
        written = publish(swapped.document, swapped.asked, athlete, out) if write else None
    for note in report.notes:
        typer.echo(note, err=True)

    def text() -> str:
        from planner.change.swap_report import swap_text
        from planner.sheets.table import missed_lines

        return swap_text(report, library, missed_lines(report.week, library))

    tell(as_json, lambda: report.model_dump_json(indent=2), text)
    tell_written(written)
