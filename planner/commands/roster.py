"""Plan the week of every athlete below a folder, several at once; one line an athlete, one page to read, one file to print."""

import datetime
import json
import sys
from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import TypeVar

from typer import Argument, Exit, Option, echo

from planner import options

TOGETHER = "Plan nothing: share the stations of one hour, such as 'Mon 18:00', among those who train then."
JOBS = "So many athletes at once; default: one a processor."
SCHEDULER = "Plan on the workers of this Dask scheduler, such as tcp://10.0.0.5:8786; not with --jobs."
CHANGED = "Plan only those of whom something has changed since the last run."
Item = TypeVar("Item")


def run(
    folder: Path = Argument(..., help="The folder in which the athletes' folders lie."),
    week: options.NextWeek = None,
    jobs: int | None = Option(None, metavar="N", parser=options.whole_number("--jobs", 1), help=JOBS),
    changed_only: bool = Option(False, "--changed-only", help=CHANGED),
    scheduler: str | None = Option(None, metavar="ADDRESS", help=SCHEDULER),
    together: str | None = Option(None, metavar="'DAY TIME'", help=TOGETHER),
    as_json: options.JsonUnlessSaved = False,
    save: options.Save = False,
) -> None:
    """Plan the week of every folder below FOLDER that holds a brief.toml; one that fails stops no other.

    Writes FOLDER/sunday.pdf and FOLDER/print.pdf. The result is the same however many are planned at once; a run that
    was stopped goes on. Exit 0: all are done; else that of the worst athlete, 2 (a file is wrong) before 3 (no week can
    be) before 4 (no PDF).
    """
    from planner.document import week_named, week_start
    from planner.kept import PRINT, SUNDAY, Kept
    from planner.roster import Task, athletes_below, exit_code, plan_all, row_line, totals_line

    today, write = datetime.date.today(), save or not as_json
    name = week_named(week or "next", today)
    week_start(name)  # a wrong name is told once, not by every athlete
    if together is not None:
        raise Exit(_together(folder, together, name, as_json=as_json, write=write))
    tasks = [Task(athlete, name, today, write) for athlete in athletes_below(folder)]
    work = partial(plan_all, jobs=jobs)
    if scheduler is not None:
        from planner.cluster import connect, plan_far

        work = partial(plan_far, *connect(scheduler))
    kept = Kept(folder, changed_only=changed_only) if write else None
    made = kept.plan(tasks, work) if kept else ((row, False) for row in work(tasks))
    rows, stood = [], 0
    for row, unchanged in with_bar(made, len(tasks)):
        rows.append(row)
        stood += unchanged
        if not as_json:
            echo(row_line(row))
        if row.error:
            echo(f"{row.folder}:\n{row.error}", err=True)
    if as_json:
        document = {"version": 1, "week": name, "athletes": [row.document() for row in rows]}
        echo(json.dumps(document, ensure_ascii=False, indent=2))
    echo(totals_line(rows) + (f", {stood} unchanged" if stood else ""), err=True)
    fault = kept.papers(rows, name) if kept else None
    if fault:
        echo(fault, err=True)
    elif kept:
        echo(f"To read: {folder / SUNDAY}", err=True)
        if (folder / PRINT).exists():
            echo(f"To print: {folder / PRINT}", err=True)
    raise Exit(exit_code(rows) or (fault.exit_code if fault else 0))


def with_bar(items: Iterable[Item], total: int) -> Iterator[Item]:
    """Give the items, with a bar of how many there were so far on stderr, if that is a terminal."""
    if not sys.stderr.isatty():
        yield from items
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeElapsedColumn, TimeRemainingColumn

    shown = (BarColumn(), MofNCompleteColumn(), TimeElapsedColumn(), TimeRemainingColumn())
    # lines of the result pass above the bar, but only where they go to the same terminal
    passes, console = sys.stdout.isatty(), Console(stderr=True)
    with Progress(*shown, console=console, redirect_stdout=passes, transient=True) as bar:
        yield from bar.track(items, total=total)


def _together(folder: Path, hour: str, week: str, *, as_json: bool, write: bool) -> int:
    """Print and write the timetable of each room of one hour; give the exit code."""
    from planner.room.table import hour_together, text, write_hour

    rooms, told, code = hour_together(folder, hour, week, datetime.date.today())
    if as_json or rooms:
        document = {"version": 1, "week": week, "hour": hour, "rooms": rooms, "told": told}
        options.tell(as_json, lambda: document, lambda: "\n\n".join(map(text, rooms)))
    for line in told:
        echo(line, err=True)
    for file in write_hour(rooms, folder) if write and rooms else ():
        echo(f"For the coach: {file}", err=True)
    return code
