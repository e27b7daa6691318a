"""Plan an athlete's week: print the table, write sheets, coach's pages and week.json."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from planner.commands.whole_number import whole_number

AthleteFolder = Annotated[
    Path, typer.Argument(metavar="ATHLETE", help="The athlete's folder (brief.toml, gym.toml).")
]
WeekName = Annotated[
    str | None, typer.Option("--week", help="ISO week such as 2026-W49; default: next week.")
]
OutFolder = Annotated[Path | None, typer.Option("--out", help="Write here instead of ATHLETE/weeks.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print week.json alone; write nothing unless --save.")]
ChoicesWanted = Annotated[
    int,
    typer.Option(
        "--choices",
        metavar="N",
        parser=whole_number("--choices", 1, 9),
        help="So many near-equal weeks, with what each trades.",
    ),
]
Take = Annotated[
    str | None,
    typer.Option("--take", metavar="B", help="With --choices: write this one instead of the first."),
]
Cautious = Annotated[
    str | None,
    typer.Option(
        "--cautious",
        metavar="LEVEL",
        help="Make the dose of the worst draws as good as can be: 0.8 (or 80%) looks at the worst fifth.",
    ),
]
Save = Annotated[bool, typer.Option("--save", help="With --json: write the week's folder too.")]


def run(
    athlete: AthleteFolder,
    week: WeekName = None,
    out: OutFolder = None,
    as_json: AsJson = False,
    save: Save = False,
    choices: ChoicesWanted = 1,
    take: Take = None,
    cautious: Cautious = None,
) -> None:
    """Plan one week. Exit 2: a file or option is wrong; 3: no week can satisfy what must hold; 4: no PDF."""
    from planner.commands.publishing import check_sound, publish
    from planner.sheets.table import week_table
    from planner.week.plan import gather, plan_week

    level = None
    if cautious is not None:
        from planner.week.cautious.told import level_of, require_alone

        level = level_of(cautious)
        require_alone(choices, take)
    if take:
        from planner.week.choices.report import require_choices

        require_choices(take, choices)
    asked = gather(athlete, week, datetime.date.today())
    found = None
    if level is not None:
        from planner.week.cautious.plan import plan_cautious

        document = plan_cautious(asked, level)
        if document.cautious is None:
            typer.echo("Nothing is left to train: --cautious changes nothing.", err=True)
    elif choices > 1:
        from planner.week.choices.report import choices_text, near_equal, taken

        found = near_equal(asked, choices)
        document = taken(found, take or found.name)
        for choice in found.choices:
            check_sound(choice.week, asked)
    else:
        document = plan_week(asked)
    check_sound(document, asked)
    written = publish(document, asked, athlete, out) if save or not as_json else None
    if as_json:
        typer.echo((found or document).model_dump_json(indent=2))
    else:
        typer.echo(week_table(document, asked.library))
        if found:
            typer.echo(choices_text(found, asked.library))
    if written:
        typer.echo(f"Written to {written.folder}", err=True)
        for whom, name in (("the athlete", "sheets"), ("the coach", "coach")):
            paper = next(written.folder.glob(f"{name}.*"))
            typer.echo(f"For {whom}: {paper}", err=True)
        if written.paper_fault:
            raise written.paper_fault
