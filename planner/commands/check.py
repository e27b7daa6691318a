"""Read every file of an athlete, tell all that is wrong or what it comes to, and print every default."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Annotated

import typer

from library.read import read_library
from planner.document import next_week
from planner.errors import NotCleared, NoWeekPossible


def run(
    athlete: Annotated[Path, typer.Argument(metavar="ATHLETE", help="The athlete's folder.")],
    week: Annotated[
        str | None, typer.Option(help="Week to check for, such as 2026-W49; else the next.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document and nothing else.")] = False,
) -> None:
    """Print what the files come to; exit 2: every fault; 3: an operation not cleared, or a pin that cannot be."""
    from planner.check.collect import check_athlete

    library, today = read_library(), datetime.date.today()
    checked = check_athlete(athlete, library, week or next_week(today))
    if as_json:
        from planner.check.document import check_document

        typer.echo(json.dumps(check_document(checked), ensure_ascii=False, indent=1))
    else:
        from planner.check.text import check_text

        typer.echo(check_text(checked, library))
    if checked.not_cleared:
        raise NotCleared(checked.not_cleared)
    if checked.brief.preferences.pin:  # else the week's model need not be loaded
        _require_pins(athlete, checked.week, today)


def _require_pins(athlete: Path, week: str, today: datetime.date) -> None:
    """Raise NoWeekPossible with every pin that breaks a hard limit."""
    from planner.model.build import build_problem
    from planner.week.pins import refused_pins
    from planner.week.plan import gather

    inputs = gather(athlete, week, today).inputs
    refused = refused_pins(inputs, build_problem(inputs))
    if refused:
        raise NoWeekPossible("\n".join(refused))
