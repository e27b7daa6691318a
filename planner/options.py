"""The options that commands share, whole numbers told in our words, and the one way in which a command ends."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from library.errors import Fault, FaultyInput

if TYPE_CHECKING:
    from planner.publish import Published

FOLDER = "The athlete's folder (brief.toml, gym.toml)."
AthleteFolder = Annotated[Path, typer.Argument(metavar="ATHLETE", help=FOLDER)]


def _week(text: str) -> str:
    from planner.document import week_named

    return week_named(text, datetime.date.today())


def _week_or(default: str) -> Any:
    words = f"A week: 2026-W49, 49, next, this, or a date in it; default: {default}."
    return typer.Option("--week", parser=_week, metavar="WEEK", help=words)


NextWeek = Annotated[str | None, _week_or("next")]
WeekInForce = Annotated[str | None, _week_or("the newest planned")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")]
REHEARSED = "Print one JSON document; write nothing unless --save."
JsonUnlessSaved = Annotated[bool, typer.Option("--json", help=REHEARSED)]
Save = Annotated[bool, typer.Option("--save", help="With --json: write the week's folder too.")]
OutFolder = Annotated[Path | None, typer.Option("--out", help="Write here instead of ATHLETE/weeks.")]


def whole_number(option: str, low: int | None = None, high: int | None = None) -> Callable[[str], int]:
    """Make the reader of an option that must be a whole number, from `low` to `high` where they are given. The reader
    raises FaultyInput."""
    needed = "a whole number"
    if low is not None:
        needed += f", {low} or more" if high is None else f" from {low} to {high}"

    def read(text: str) -> int:
        number = int(text) if re.fullmatch(r"[+-]?\d+", str(text).strip()) else None
        if number is None or (low is not None and number < low) or (high is not None and number > high):
            raise FaultyInput([Fault(option, "", f'"{text}"', f"Write {needed}, such as {option} 3")])
        return number

    return read


def tell(as_json: bool, document: Callable[[], str | dict[str, Any]], text: Callable[[], str]) -> None:
    """Print the result, the only thing on stdout: one JSON document (made or as data), or text."""
    result = document() if as_json else text()
    typer.echo(result if isinstance(result, str) else json.dumps(result, ensure_ascii=False, indent=1))


PAPERS = (
    ("For the athlete", "sheets"),
    ("For the athlete's phone", "phone"),
    ("For the athlete's calendar", "sessions"),
    ("For the coach", "coach"),
)


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
