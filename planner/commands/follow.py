"""The commands that take in: what was done, and what was measured; and look back at it."""

from __future__ import annotations

import datetime
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import typer
from typer import Argument, Option

from library.errors import Fault, FaultyInput, PlannerError, refuse, visible
from planner import cli

if TYPE_CHECKING:
    from planner.emg.figures import MeasuredSession
    from planner.log.intake import Taken
    from planner.train.desk import Desk

FILES = "What was done: CSV, XLSX, or what a phone sheet saved."
CLEARED = "Record that an exercise may come back after pain."
NEWEST = "Show the newest so many weeks."
JSON = "One JSON document; FILE… is rehearsed, not written, without --save."
SAME = "With --into: the names differ, the person does not."
PLACEMENT = "Make the sheet on sensor placement and maximal tests."
PLAN = "Say which recordings would tell most of next week."


def log(
    athlete: cli.AthleteFolder,
    files: list[Path] = Argument((), metavar="FILE…", help=FILES),
    blank: Path | None = Option(None, help="Write a sheet to fill, of the week that is due: .xlsx or .csv."),
    date: str | None = Option(None, help="With --cleared: the day, such as 2026-11-30; else today."),
    cleared: str | None = Option(None, metavar="EXERCISE", help=CLEARED),
    keep_good: bool = Option(False, "--keep-good", help="Take the good lines of a faulty file."),
    yes: bool = Option(False, "--yes", help="Believe loads that jump to half or double."),
    correct: bool = Option(False, "--correct", help="Let a file replace what the log says."),
    as_json: bool = Option(False, "--json", help=JSON),
    save: bool = Option(False, "--save", help="With --json: write all the same."),
) -> None:
    """Take in what was done; say the next loads and what pain changes."""
    from planner.athlete.writing import athlete_lock
    from planner.log.blank import write_blank
    from planner.log.intake import Manner
    from planner.train.desk import Desk

    named = [bool(files), blank is not None, cleared is not None]
    if sum(named) != 1:
        read = f"{sum(named)} things to do at once" if any(named) else "no file, and nothing else to do"
        said = f"`planner log {athlete} --blank monday.csv` writes a sheet to fill in, `planner log {athlete} monday.csv`"
        others = "--cleared EXERCISE records that one may come back"
        raise refuse("planner log", "", read, f"{said} takes it in; {others}")
    desk = Desk.open(athlete, datetime.date.today())
    if blank is not None:
        due = desk.due()
        typer.echo(f"{blank}: {write_blank(due, blank)} sets of {due.week} to fill.")
        return
    if cleared is not None:
        with athlete_lock(athlete):  # whether it is out is read and written in one
            typer.echo(desk.clear(cleared, desk.day(date)))
        return
    confirm = (lambda _: True) if yes else _believed if sys.stdin.isatty() else None
    taken = desk.take(files, Manner(keep_good, confirm, correct, save=save or not as_json))
    for fault in taken.left_out:
        typer.echo(f"left out: {fault}", err=True)
    _report(desk, taken, as_json, save)


def _report(desk: Desk, taken: Taken, as_json: bool, save: bool) -> None:
    try:
        report = desk.report(taken)
    except PlannerError as error:  # a damaged week, say: the lines are in all the same
        if as_json and not save:
            raise
        typer.echo(f"{taken.said}; no next loads: {error}", err=True)
    else:
        cli.tell(as_json, report.document, report.text)


def _believed(question: str) -> bool:
    """Ask on stderr: stdout carries the result alone. The end of the input is a no."""
    typer.echo(f"{question}: is that right? yes or no [no]: ", err=True, nl=False)
    return sys.stdin.readline().strip().lower() in ("y", "yes")


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


def measure(
    folder: Path | None = Argument(None, help="Folder with session.toml and the recordings it names."),
    into: Path | None = Option(None, help="Athlete's folder: add the rows to its evidence.csv."),
    same_person: bool = Option(False, "--same-person", help=SAME),
    out: Path | None = Option(None, help="Folder for the PDF (default: the recordings' own)."),
    as_json: bool = Option(False, "--json", help="Print one JSON document; no PDF unless --out."),
    placement: bool = Option(False, "--placement", help=PLACEMENT),
    plan: Path | None = Option(None, metavar="ATHLETE", help=PLAN),
) -> None:
    """Measure surface-EMG recordings: table, ranking, report; --into adds the rows to an athlete, --plan says what to
    record."""
    cli.one_of(plan=plan, placement=placement, into=into)
    if plan is not None:
        _plan(plan, out, as_json)
        return
    if placement:
        from planner.emg.report import placement_html
        from planner.sheets.render import write_pdf_safely

        typer.echo(str(write_pdf_safely((out or Path()) / "placement.pdf", placement_html())))
        return
    if folder is None:
        remedy = "Name a folder with session.toml"
        raise FaultyInput([Fault("planner measure", "FOLDER", "is missing", remedy)])
    _measure(folder, into, same_person, out, as_json)


def _measure(folder: Path, into: Path | None, same_person: bool, out: Path | None, as_json: bool) -> None:
    from library.read import read_library
    from planner.emg import measuring, session
    from planner.emg.evidence import add_to_athlete, added_text, rows_of, week_beside
    from planner.emg.report import rankings, report_html, session_text
    from planner.sheets.render import write_pdf_safely

    library = read_library()
    measured = measuring.measure_session(session.read_session(folder, library))
    ranked = rankings(measured)
    rows, left_out = rows_of(measured)
    _say_what_is_wrong(measured, left_out)
    added = add_to_athlete(into, library, measured, rows, same_person=same_person) if into else None
    beside = None
    if into and added and added.moves:
        try:
            beside = week_beside(into, library, added, datetime.date.today())
        except PlannerError as error:  # the rows are in all the same
            typer.echo(f"The rows are filed; next week cannot be planned: {error}", err=True)
    if as_json:
        document = measuring.document_of(measured, ranked, rows, added)
        document |= {"next_week": beside.document} if beside else {}
        typer.echo(json.dumps(document, ensure_ascii=False, indent=1))
    else:
        parts = [session_text(measured, ranked), added_text(added, library, into) if added and into else ""]
        typer.echo("\n\n".join(filter(None, [*parts, beside.text if beside else ""])))
    if not as_json or out is not None:
        file = write_pdf_safely((out or folder) / "measurement.pdf", report_html(measured, ranked))
        typer.echo(f"Report: {file}", err=True)
    if measured.faults:
        raise typer.Exit(FaultyInput.exit_code)


def _plan(athlete: Path, out: Path | None, as_json: bool) -> None:
    from planner.emg.next_recordings import FOLDER, plan_recordings, write_plan
    from planner.week.gather import gather

    planned = plan_recordings(gather(athlete, None, datetime.date.today()))
    written = write_plan(planned, out or athlete / FOLDER) if out or not as_json else ()
    cli.tell(as_json, planned.document, planned.text)
    for file in written:
        typer.echo(f"Written: {file}", err=True)


def _say_what_is_wrong(measured: MeasuredSession, left_out: list[str]) -> None:
    """Tell faults, failed checks and warnings on stderr; stdout carries the result alone."""
    for fault in measured.faults:
        typer.echo(f"Wrong: {fault}", err=True)
    for finding in measured.findings:
        typer.echo(f"{'Failed' if finding.level == 'fail' else 'Look'}: {visible(str(finding))}", err=True)
    for words in measured.warnings:
        typer.echo(f"Look: {visible(words)}", err=True)
    for words in left_out:
        typer.echo(f"Not kept as evidence: {visible(words)}", err=True)
