"""Look back: planned and delivered dose, estimated maxima and pain over time; a table and one page."""

import datetime
from pathlib import Path

from typer import Option, echo

from planner import options

NEWEST = "Show the newest so many weeks."


def run(
    athlete: options.AthleteFolder,
    weeks: int | None = Option(None, metavar="N", parser=options.whole_number("--weeks", 1), help=NEWEST),
    out: Path | None = Option(None, help="Write progress.pdf here instead of into ATHLETE."),
    as_json: options.JsonUnlessSaved = False,
    save: bool = Option(False, "--save", help="With --json: write the page all the same."),
) -> None:
    """Print the table and write the page. Exit 2: a file or option is wrong; 4: no PDF, its HTML is written."""
    from planner.train.progress import read_progress

    progress = read_progress(athlete, datetime.date.today()).newest(weeks)
    options.tell(as_json, progress.document, progress.text)
    if save or not as_json:
        from planner.train.progress_page import write_page

        written = write_page(progress, athlete if out is None else out)
        echo(f"Written to {written}", err=True)
