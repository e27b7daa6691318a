"""Say what holds a week back, and what easing each thing would give, by solving again."""

import datetime
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from planner.options import AsJson, AthleteFolder, WeekInForce, tell


def run(athlete: AthleteFolder, week: WeekInForce = None, as_json: AsJson = False) -> None:
    """Print binding limits, missed goals and gains, best first; where nothing can be planned, the clashing group."""
    from planner.change.why import asked_for, why
    from planner.change.why_text import why_text

    asked, document = asked_for(athlete, datetime.date.today(), week)
    with progress() as tick:
        report = why(asked, document, tick)
    tell(as_json, lambda: report.model_dump_json(indent=2), lambda: why_text(report))


@contextmanager
def progress() -> Iterator[Callable[[str, int], None]]:
    """Show what is being tried on stderr, if that is a terminal."""
    if not sys.stderr.isatty():
        yield lambda *_: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    shown = (BarColumn(), TimeElapsedColumn(), TextColumn("{task.description}"))
    with Progress(*shown, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=None)
        yield lambda words, total: bar.update(task, advance=1, total=total, description=words)
