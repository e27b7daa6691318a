"""The command that measures: a folder of recordings, the placement sheet, or what to record next."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import TYPE_CHECKING

import typer
from typer import Argument, Option

from library.errors import Fault, FaultyInput, PlannerError, unknown, visible
from planner.cli import one_of, tell

if TYPE_CHECKING:
    from library.read import Library
    from planner.emg.evidence import Added, WeekBeside
    from planner.emg.figures import MeasuredSession

SAME = "With --into: the names differ, the person does not."
PLACEMENT = "Make the sheet on sensor placement and maximal tests."
PLAN = "Say which recordings would tell most of next week."


def measure(
    folder: Path | None = Argument(None, help="Folder with session.toml and the recordings it names."),
    into: Path | None = Option(None, help="Athlete's folder: add the rows to its evidence.csv."),
    same_person: bool = Option(False, "--same-person", help=SAME),
    combine: list[str] = Option((), help="Also rank a sum of heads, like front+side. May be repeated."),
    out: Path | None = Option(None, help="Folder for the PDF (default: the recordings' own)."),
    as_json: bool = Option(False, "--json", help="Print one JSON document; no PDF unless --out."),
    placement: bool = Option(False, "--placement", help=PLACEMENT),
    plan: Path | None = Option(None, metavar="ATHLETE", help=PLAN),
) -> None:
    """Measure surface-EMG recordings: table, ranking, report; --into adds the rows to an athlete, --plan says what to
    record."""
    one_of(plan=plan, placement=placement, into=into)
    if plan is not None:
        _plan(plan, out, as_json)
        return
    if placement:
        from planner.emg.report import placement_html, write_paper

        typer.echo(str(write_paper(out or Path(), "placement", placement_html())))
        return
    if folder is None:
        remedy = "Name a folder with session.toml"
        raise FaultyInput([Fault("planner measure", "FOLDER", "is missing", remedy)])
    _measure(folder, into, same_person, combine, out, as_json)


def _measure(
    folder: Path, into: Path | None, same_person: bool, combine: list[str], out: Path | None, as_json: bool
) -> None:
    """Measure, file the rows and say what next week becomes with them."""
    from library.read import read_library
    from planner.emg.evidence import add_to_athlete, added_text, rows_of
    from planner.emg.measuring import measure_session
    from planner.emg.ranking import rankings
    from planner.emg.report import report_html, write_paper
    from planner.emg.session import read_session
    from planner.emg.words import document_of, session_text

    library = read_library()
    combinations = [_heads(words, library) for words in combine]
    measured = measure_session(read_session(folder, library))
    ranked = rankings(measured, combinations)
    rows, left_out = rows_of(measured)
    _say_what_is_wrong(measured, left_out)
    added = into and add_to_athlete(into, library, measured, rows, same_person=same_person)
    beside = _week_beside(into, library, added) if into and added else None
    if as_json:
        document = document_of(measured, ranked, rows, added or None)
        document |= {"next_week": beside.document} if beside else {}
        typer.echo(json.dumps(document, ensure_ascii=False, indent=1))
    else:
        parts = [session_text(measured, ranked), added_text(added, library, into) if added and into else ""]
        typer.echo("\n\n".join(filter(None, [*parts, beside.text if beside else ""])))
    if not as_json or out is not None:
        file = write_paper(out or folder, "measurement", report_html(measured, ranked))
        typer.echo(f"Report: {file}", err=True)
    if measured.faults:
        raise typer.Exit(FaultyInput.exit_code)


def _plan(athlete: Path, out: Path | None, as_json: bool) -> None:
    """Propose recordings; --json writes nothing unless --out."""
    from planner.emg.next_recordings import FOLDER, plan_recordings, write_plan
    from planner.week.gather import gather

    planned = plan_recordings(gather(athlete, None, datetime.date.today()))
    written = write_plan(planned, out or athlete / FOLDER) if out or not as_json else ()
    tell(as_json, planned.document, planned.text)
    for file in written:
        typer.echo(f"Written: {file}", err=True)


def _week_beside(folder: Path, library: Library, added: Added) -> WeekBeside | None:
    """Plan next week with and without the new rows; where no week can be planned, say why and go on: they are filed."""
    from planner.emg.evidence import week_beside

    if not added.moves:
        return None
    try:
        return week_beside(folder, library, added, datetime.date.today())
    except PlannerError as error:
        typer.echo(f"The rows are filed; next week cannot be planned: {error}", err=True)
        return None


def _heads(words: str, library: Library) -> tuple[str, ...]:
    """Read front+side as heads of the library."""
    heads = tuple(dict.fromkeys(word.strip() for word in words.split("+")))
    place = ("planner measure", "--combine")
    faults = [unknown(*place, "head", h, library.heads) for h in heads if h not in library.heads]
    if not faults and len(heads) < 2:
        faults = [Fault(*place, f'read "{words}"', "Name two heads or more, like front+side")]
    if faults:
        raise FaultyInput(faults)
    return heads


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
