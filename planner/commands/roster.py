"""The commands over a folder of athletes: every week at once, and the same work in a browser."""

import datetime
import json
import secrets
import sys
import webbrowser
from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from typer import Argument, Exit, Option, echo

from library.errors import Fault, FaultyInput, refuse
from planner import cli

TOGETHER = "Plan nothing: share the stations of one hour, such as 'Mon 18:00', among those who train then."
JOBS = "So many athletes at once; default: one a processor."
SCHEDULER = "Plan on the workers of this Dask scheduler, such as tcp://10.0.0.5:8786; not with --jobs."
CHANGED = "Plan only those of whom something has changed since the last run."
LIE = "The folder in which the athletes' folders lie."
FREE = "Default: a free one."
LOOPBACK = "127.0.0.1"
Item = TypeVar("Item")


def roster(
    folder: Path = Argument(..., help=LIE),
    week: cli.NextWeek = None,
    jobs: int | None = Option(None, metavar="N", parser=cli.whole_number("--jobs", 1), help=JOBS),
    changed_only: bool = Option(False, "--changed-only", help=CHANGED),
    scheduler: str | None = Option(None, metavar="ADDRESS", help=SCHEDULER),
    together: str | None = Option(None, metavar="'DAY TIME'", help=TOGETHER),
    as_json: cli.JsonUnlessSaved = False,
    save: cli.Save = False,
) -> None:
    """Plan the week of every athlete below a folder, several at once; one line an athlete, one page to read, one file
    to print. One that fails stops no other; a run that was stopped goes on. Exit: that of the worst athlete."""
    from planner.document import week_named, week_start
    from planner.kept import PRINT, SUNDAY, Kept
    from planner.roster import Task, athletes_below, exit_code, plan_all, row_line, totals_line

    cli.one_of(together=together, jobs=jobs, scheduler=scheduler)
    cli.one_of(together=together, changed_only=changed_only)
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
    if kept:
        papers = {"To read": folder / SUNDAY, "To print": folder / PRINT}
        found = [f"{what}: {file}" for what, file in papers.items() if file.exists()]
        echo(fault or "\n".join(found), err=True)
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
    from planner.room.table import hour_together, text, write_hour

    rooms, told, code = hour_together(folder, hour, week, datetime.date.today())
    if as_json or rooms:
        document = {"version": 1, "week": week, "hour": hour, "rooms": rooms, "told": told}
        cli.tell(as_json, lambda: document, lambda: "\n\n".join(map(text, rooms)))
    for line in told:
        echo(line, err=True)
    for file in write_hour(rooms, folder) if write and rooms else ():
        echo(f"For the coach: {file}", err=True)
    return code


def desk(
    folder: Path = Argument(Path(), metavar="[FOLDER]", help=f"{LIE[:-1]}; default: here."),
    port: int | None = Option(None, metavar="N", parser=cli.whole_number("--port", 1024, 65535), help=FREE),
    no_browser: bool = Option(False, "--no-browser", help="Print the address alone."),
) -> None:
    """The same work in the browser, on this computer alone: Sunday page, briefs as forms, weeks to sign, the log.
    Stays until Ctrl-C; the address holds a token that opens once."""
    if not folder.is_dir():
        raise refuse(folder, "", "there is no such folder", f"Name {LIE[:1].lower()}{LIE[1:-1]}")
    try:
        import uvicorn

        from planner.desk.app import make_app
        from planner.desk.room import Room
        from planner.desk.safety import Guard
    except ModuleNotFoundError as missing:
        read, remedy = f"{missing.name} is not installed", 'Install it: pip install "deltoid-planner[desk]"'
        raise FaultyInput([Fault("planner desk", "", read, remedy)]) from None
    quiet: dict[str, Any] = {"access_log": False, "log_level": "critical", "server_header": False}
    ends: dict[str, Any] = {"lifespan": "off", "timeout_graceful_shutdown": 1}  # a page may listen for events
    settings = uvicorn.Config("", LOOPBACK, port or 0, ws="none", **ends, **quiet)
    try:
        listener = settings.bind_socket()
    except SystemExit:
        fault = Fault("--port", "", f"{port} is taken", "Leave it out, or name another")
        raise FaultyInput([fault]) from None
    listener.listen()
    host, token = f"{LOOPBACK}:{listener.getsockname()[1]}", secrets.token_urlsafe(32)
    address = f"http://{host}/open/{token}"
    room = folder.resolve()
    echo(f"The desk for {room}; this address opens once, Ctrl-C ends it:\n{address}", err=True)
    settings.app = Guard(make_app(Room(room)), host, token)
    if not no_browser:
        webbrowser.open(address)
    uvicorn.Server(settings).run(sockets=[listener])
