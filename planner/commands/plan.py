"""The commands that plan: a week, a block, and what would be other in the week in force."""

from __future__ import annotations

import datetime
import sys
from contextlib import nullcontext
from typing import TYPE_CHECKING

from typer import Argument, Option, echo

from planner import cli

if TYPE_CHECKING:
    from planner.change.choices import Choices
    from planner.document import WeekDocument
    from planner.week.gather import Asked

MANY = "So many near-equal weeks, with what each trades."
WORST = "Make the dose of the worst draws as good as can be: 0.8 (or 80%) looks at the worst fifth."
RISE = "Let targets rise by this share (0.1 or 10%, 0.2 at most) after every second hard week."
SHEETS = "Sheets, phone and coach's pages of so many weeks; default: the next two."
WITHOUT = "Equipment (or GYM:EQUIPMENT) or an exercise that is out this week."
WITH = "Equipment (or GYM:EQUIPMENT) or an exercise that is there."
SETS = "So many sets of an exercise on a day, 0 for none, such as cable_face_pull=Sat:3."
BACK = "A session called missed or trained is to come after all."


def week(
    athlete: cli.AthleteFolder,
    week: cli.NextWeek = None,
    out: cli.OutFolder = None,
    as_json: cli.JsonUnlessSaved = False,
    save: cli.Save = False,
    choices: int = Option(1, metavar="N", parser=cli.whole_number("--choices", 1, 9), help=MANY),
    take: str | None = Option(None, metavar="B", help="With --choices: write this one instead of the first."),
    cautious: str | None = Option(None, metavar="LEVEL", help=WORST),
) -> None:
    """Plan an athlete's week: print the table, write sheets, coach's pages and week.json."""
    from planner.change.told import only_there
    from planner.publish import check_sound, publish
    from planner.week.gather import gather

    asked = gather(athlete, week, datetime.date.today())
    document, several = _planned(asked, cautious, choices, take)
    for one in [document, *(choice.week for choice in several.choices)] if several else [document]:
        check_sound(one, asked)
    for line in only_there(athlete, asked):
        echo(line, err=True)
    written = publish(document, asked, athlete, out) if save or not as_json else None
    whole = several or document
    cli.tell(as_json, lambda: whole.model_dump_json(indent=2), lambda: _text(document, several, asked))
    cli.tell_written(written)


def _planned(
    asked: Asked, cautious: str | None, choices: int, take: str | None
) -> tuple[WeekDocument, Choices | None]:
    """Plan the week; with several near-equal ones, these too. Options that do not go together are refused."""
    if cautious is not None:
        from planner.week.cautious import level_of, plan_cautious, require_alone

        level = level_of(cautious)
        require_alone(choices, take)
        document = plan_cautious(asked, level)
        if document.cautious is None:
            echo("Nothing is left to train: --cautious changes nothing.", err=True)
        return document, None
    if take or choices > 1:
        from planner.change.choices import near_equal, require_choices, taken

        if take:
            require_choices(take, choices)
        several = near_equal(asked, choices)
        return taken(several, take or several.name), several
    from planner.week.plan import plan_week

    return plan_week(asked), None


def _text(document: WeekDocument, several: Choices | None, asked: Asked) -> str:
    from planner.sheets.table import week_table

    text = week_table(document, asked.library)
    if several is None:
        return text
    from planner.change.choices import choices_text

    return f"{text}\n{choices_text(several, asked.library)}"


def block(
    athlete: cli.AthleteFolder,
    weeks: int = Option(..., metavar="N", parser=cli.whole_number("--weeks"), help="How many weeks."),
    week: cli.NextWeek = None,
    ramp: str | None = Option(None, metavar="SHARE", help=RISE),
    sheets: int | None = Option(None, metavar="N", parser=cli.whole_number("--sheets", 1), help=SHEETS),
    as_json: cli.JsonUnlessSaved = False,
    save: cli.Save = False,
    out: cli.OutFolder = None,
) -> None:
    """Plan several weeks at once: the same exercises, a lighter week, all on one paper."""
    from planner.publish import BLOCK_PAPER, check_sound, publish_block
    from planner.week.block import BlockAsked, block_table, plan_block

    planned = plan_block(athlete, BlockAsked(weeks, week, ramp), datetime.date.today())
    document, longer = planned.document, planned.longer
    for of_week, asked in zip(document.weeks, planned.asked, strict=True):
        check_sound(of_week, asked)
    written = publish_block(planned, athlete, out, sheets) if save or not as_json else None
    cli.tell(as_json, lambda: document.model_dump_json(indent=2), lambda: block_table(document))
    if longer:
        names = f"{longer[0]} to {longer[-1]}" if len(longer) > 1 else longer[0]
        echo(f"Still in the folder, from an earlier block that this one cuts short: {names}", err=True)
    cli.tell_written(written, (("For the wall", BLOCK_PAPER), *cli.PAPERS))


def swap(
    athlete: cli.AthleteFolder,
    without: list[str] = Option((), metavar="E", help=WITHOUT),
    with_: list[str] = Option((), "--with", metavar="E", help=WITH),
    minutes: list[str] = Option((), metavar="DAY=N", help="Minutes of a session, such as Mon=30."),
    sets: list[str] = Option((), metavar="KEY=DAY:N", help=SETS),
    drop: list[str] = Option((), metavar="KEY", help="Do without an exercise this week."),
    done: list[str] = Option((), metavar="DAY", help="This session was trained: its sets stand."),
    missed: list[str] = Option((), metavar="DAY", help="This session was missed: it gives no sets."),
    back: list[str] = Option((), metavar="DAY", help=BACK),
    week: cli.WeekInForce = None,
    out: cli.OutFolder = None,
    as_json: cli.JsonUnlessSaved = False,
    save: cli.Save = False,
) -> None:
    """Re-plan the week in force after something has changed, moving as little as possible."""
    from planner.athlete.writing import athlete_lock
    from planner.change import swap, swap_report
    from planner.change.told import Options
    from planner.publish import check_sound, publish
    from planner.sheets.table import missed_lines

    told = Options(*map(tuple, (without, with_, minutes, sets, drop, done, missed, back)))
    write = save or not as_json
    # what is read is what is replaced
    with athlete_lock(athlete) if write and athlete.is_dir() else nullcontext():
        swapped = swap.swap_week(athlete, told, datetime.date.today(), week)
        check_sound(swapped.document, swapped.asked)
        news = swapped.news and write
        written = publish(swapped.document, swapped.asked, athlete, out) if news else None
    report, library = swapped.report, swapped.asked.library
    for note in report.notes:
        echo(note, err=True)
    page = lambda: swap_report.swap_text(report, library, missed_lines(report.week, library))  # noqa: E731
    cli.tell(as_json, lambda: report.model_dump_json(indent=2), page)
    cli.tell_written(written)


def why(athlete: cli.AthleteFolder, week: cli.WeekInForce = None, as_json: cli.AsJson = False) -> None:
    """Say what holds a week back, and what easing each thing would give, by solving again."""
    from planner.change.why import asked_for, why, why_text

    asked, document = asked_for(athlete, datetime.date.today(), week)
    watched = sys.stderr.isatty()  # what is being tried is said to who waits
    report = why(asked, document, lambda words, _: echo(words, err=True) if watched else None)
    cli.tell(as_json, lambda: report.model_dump_json(indent=2), lambda: why_text(report))


def instead(
    athlete: cli.AthleteFolder,
    exercise: str = Argument(..., help="Key or printed name of a planned exercise."),
    week: cli.WeekInForce = None,
    as_json: cli.AsJson = False,
) -> None:
    """List what could be trained instead of an exercise of the week in force, with its price."""
    from planner.change.choices import instead_list, instead_text
    from planner.change.swap import open_week

    standing = open_week(athlete, datetime.date.today(), week)
    listed, library = instead_list(standing, exercise), standing.asked.library
    cli.tell(as_json, lambda: listed.model_dump_json(indent=2), lambda: instead_text(listed, library))
