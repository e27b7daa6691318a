"""The command line: each command a function, found by name; shared options; errors become a message and an exit code."""

from __future__ import annotations

import datetime
import importlib
import io
import json
import os
import re
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from library.errors import Fault, FaultyInput, PlannerError

if TYPE_CHECKING:
    from planner.publish import Published

# in the order of a coach's day: where the function of each stands
PLAN, FOLLOW, ROSTER, LIBRARY = (f"planner.commands.{of}" for of in ("plan", "follow", "roster", "library"))
COMMANDS = {
    "week": PLAN, "roster": ROSTER, "desk": ROSTER, "block": PLAN, "swap": PLAN, "why": PLAN, "instead": PLAN,
    "log": FOLLOW, "progress": FOLLOW, "check": "planner.check", "measure": FOLLOW,
    "library": LIBRARY, "pool": LIBRARY, "doctor": "planner.doctor",
}  # fmt: skip
app = typer.Typer(name="planner", no_args_is_help=True, add_completion=False)
app.pretty_exceptions_enable, app.rich_markup_mode = False, None
PAPERS = (
    ("For the athlete", "sheets"), ("For the athlete's phone", "phone"),
    ("For the athlete's calendar", "sessions"), ("For the coach", "coach"),
)  # fmt: skip


def _week(text: str) -> str:
    from planner.document import week_named

    return week_named(text, datetime.date.today())


def _week_or(default: str) -> Any:
    words = f"A week: 2026-W49, 49, next, this, or a date in it; default: {default}."
    return typer.Option("--week", parser=_week, metavar="WEEK", help=words)


FOLDER = "The athlete's folder (brief.toml, gym.toml)."
AthleteFolder = Annotated[Path, typer.Argument(metavar="ATHLETE", help=FOLDER)]
NextWeek = Annotated[str | None, _week_or("next")]
WeekInForce = Annotated[str | None, _week_or("the newest planned")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")]
REHEARSED = "Print one JSON document; write nothing unless --save."
JsonUnlessSaved = Annotated[bool, typer.Option("--json", help=REHEARSED)]
Save = Annotated[bool, typer.Option("--save", help="With --json: write the week's folder too.")]
OutFolder = Annotated[Path | None, typer.Option("--out", help="Write here instead of ATHLETE/weeks.")]


def whole_number(option: str, low: int | None = None, high: int | None = None) -> Callable[[str], int]:
    """Make the reader of an option that must be a whole number, in its range; the reader raises FaultyInput."""
    bounds = "" if low is None else f", {low} or more" if high is None else f" from {low} to {high}"

    def read(text: str) -> int:
        number = int(text) if re.fullmatch(r"[+-]?\d+", str(text).strip()) else None
        if number is None or (low is not None and number < low) or (high is not None and number > high):
            remedy = f"Write a whole number{bounds}, such as {option} 3"
            raise FaultyInput([Fault(option, "", f'"{text}"', remedy)])
        return number

    return read


def one_of(**named: object) -> None:
    """Refuse options that exclude each other. Raises FaultyInput."""
    given = [f"--{name.replace('_', '-')}" for name, value in named.items() if value not in (None, False)]
    if len(given) > 1:
        read = f"together with {', '.join(given[1:])}"
        raise FaultyInput([Fault(given[0], "", read, "Leave one of them out")])


def tell(as_json: bool, document: Callable[[], str | dict[str, Any]], text: Callable[[], str]) -> None:
    """Print the result, the only thing on stdout: one JSON document (made or as data), or text."""
    result = document() if as_json else text()
    typer.echo(result if isinstance(result, str) else json.dumps(result, ensure_ascii=False, indent=1))


def tell_written(written: Published | None, papers: tuple[tuple[str, str], ...] = PAPERS) -> None:
    """Say on stderr where all was written, each paper with its words. Raises PaperNotMade if there is no PDF."""
    if written is None:
        return
    first, *others = written.folders
    more = f" and the weeks after it, {len(others) + 1} in all" if others else ""
    typer.echo(f"Written to {first}{more}", err=True)
    for words, name in papers:
        if paper := written.paper(name):
            typer.echo(f"{words}: {paper}", err=True)
    if written.paper_fault:
        raise written.paper_fault


def register(names: Iterable[str] = COMMANDS) -> typer.Typer:
    """Hang the named commands on the application; their heavy imports happen only when they run."""
    for name in names:
        app.command(name)(getattr(importlib.import_module(COMMANDS[name]), name))
    return app


@app.callback()
def group() -> None:
    """From what a muscle showed to what a client trains. Coaching, not medical advice."""


def main() -> None:
    """Run one command; tell a person's error in words on stderr and leave with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without × or ≤ shows ?, and all goes on
    # one command that is asked for: no other is imported; all of them for help or a slip
    asked = sys.argv[1:2]
    register(asked if COMMANDS.keys() & asked else COMMANDS)
    try:
        app()
    except PlannerError as error:
        typer.echo(str(error), err=True)
        sys.exit(error.exit_code)
    except BrokenPipeError:
        # the reader of our output went away (`planner library | head`): nothing to tell
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as fault:
        if os.environ.get("PLANNER_TRACEBACK"):
            raise
        told = f"{type(fault).__name__}: {fault}"
        typer.echo(f"A fault of ours: {told}. Set PLANNER_TRACEBACK=1 to see where.", err=True)
        sys.exit(1)
