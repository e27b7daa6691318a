"""The commands after training: take in what was done, and look back at it."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import typer
from typer import Argument, Option

from library.errors import Fault, FaultyInput, PlannerError
from planner import cli

if TYPE_CHECKING:
    from planner.log.intake import Taken
    from planner.train.desk import Desk

FILES = "What was done: CSV, XLSX, or what a phone sheet saved."
DATE = "With --interactive or --cleared: the day, such as 2026-11-30; else today."
CLEARED = "Record that an exercise may come back after pain."
NEWEST = "Show the newest so many weeks."
JSON = "One JSON document; FILE… is rehearsed, not written, without --save."


def log(
    athlete: cli.AthleteFolder,
    files: list[Path] = Argument((), metavar="FILE…", help=FILES),
    blank: Path | None = Option(None, help="Write a sheet to fill, from the week in force: .xlsx or .csv."),
    interactive: bool = Option(False, "--interactive", help="Ask set by set at the terminal."),
    session: str | None = Option(None, help="With --interactive: the session, such as Mon; else today's."),
    date: str | None = Option(None, help=DATE),
    cleared: str | None = Option(None, metavar="EXERCISE", help=CLEARED),
    keep_good: bool = Option(False, "--keep-good", help="Take the good lines of a faulty file."),
    yes: bool = Option(False, "--yes", help="Believe loads that jump to half or double."),
    correct: bool = Option(False, "--correct", help="Let a file replace what the log says."),
    as_json: bool = Option(False, "--json", help=JSON),
    save: bool = Option(False, "--save", help="With --json: write all the same."),
) -> None:
    """Take in what was done, as files or set by set; say the next loads and what pain changes."""
    from planner.files.safe import athlete_lock
    from planner.log.blank import write_blank
    from planner.log.intake import Manner
    from planner.train.desk import Desk

    named = [bool(files), blank is not None, interactive, cleared is not None]
    if sum(named) != 1:
        raise FaultyInput([Fault("planner log", "", *_one_thing(athlete, sum(named)))])
    desk = Desk.open(athlete, datetime.date.today())
    if blank is not None:
        typer.echo(f"{blank}: {write_blank(desk.week(), desk.units, blank)} sets to fill.")
        return
    if cleared is not None:
        with athlete_lock(athlete):  # whether it is out is read and written in one
            typer.echo(desk.clear(cleared, desk.day(date)))
        return
    confirm = (lambda _: True) if yes else _believed if sys.stdin.isatty() or interactive else None
    if files:
        taken = desk.take(files, Manner(keep_good, confirm, correct, save=save or not as_json))
    else:
        taken = desk.ask(session, desk.day(date) if date else None, _answer, _tell, confirm or _believed)
    for fault in taken.left_out:
        typer.echo(f"left out: {fault}", err=True)
    _report(desk, taken, as_json, save)


def _report(desk: Desk, taken: Taken, as_json: bool, save: bool) -> None:
    try:
        report = desk.report(taken)
    except PlannerError as error:  # a damaged week, say: the lines are in all the same
        if as_json and not save:
            raise
        counts = f"{len(taken.added)} sets added, {taken.known} known already"
        typer.echo(f"{counts}; no next loads: {error}", err=True)
    else:
        cli.tell(as_json, report.document, report.text)


def _one_thing(athlete: Path, named: int) -> tuple[str, str]:
    """Say what was read and what would do where not exactly one thing to do is named."""
    read = f"{named} things to do at once" if named else "no file, and nothing else to do"
    return read, (
        f"`planner log {athlete} --blank monday.csv` writes a sheet to fill in, `planner log {athlete} monday.csv` "
        "takes it in; --interactive asks set by set, --cleared EXERCISE records that one may come back"
    )


def _answer(question: str, default: str) -> str:
    """Ask on stderr: stdout carries the result alone. The end of the input ends the dialogue."""
    from planner.log.blank import STOP

    typer.echo(f"{question} [{default}]: " if default else f"{question}: ", err=True, nl=False)
    line = sys.stdin.readline()
    return (line.strip() or default) if line else STOP


def _tell(line: str) -> None:
    typer.echo(line, err=True)


def _believed(question: str) -> bool:
    return _answer(f"{question}: is that right? yes or no", "no").lower() in ("y", "yes")


def progress(
    athlete: cli.AthleteFolder,
    weeks: int | None = Option(None, metavar="N", parser=cli.whole_number("--weeks", 1), help=NEWEST),
    out: Path | None = Option(None, help="Write progress.pdf here instead of into ATHLETE."),
    as_json: cli.JsonUnlessSaved = False,
    save: bool = Option(False, "--save", help="With --json: write the page all the same."),
) -> None:
    """Look back: planned and delivered dose, estimated maxima and pain over time; a table and one page."""
    from planner.train.progress import read_progress

    looked = read_progress(athlete, datetime.date.today()).newest(weeks)
    cli.tell(as_json, looked.document, looked.text)
    if save or not as_json:
        from planner.train.progress_page import write_page

        written = write_page(looked, athlete if out is None else out)
        typer.echo(f"Written to {written}", err=True)
