"""Re-plan the week in force after something has changed, moving as little as possible."""

from __future__ import annotations

import datetime
from contextlib import nullcontext
from typing import TYPE_CHECKING

from typer import Option, echo

from planner import options

if TYPE_CHECKING:
    from planner.change.swap import Swapped

WITHOUT = "Equipment (or GYM:EQUIPMENT) or an exercise that is out this week."
WITH = "Equipment (or GYM:EQUIPMENT) or an exercise that is there."
SETS = "So many sets of an exercise on a day, 0 for none, such as cable_face_pull=Sat:3."
BACK = "A session called missed or trained is to come after all."


def run(
    athlete: options.AthleteFolder,
    without: list[str] = Option((), metavar="E", help=WITHOUT),
    with_: list[str] = Option((), "--with", metavar="E", help=WITH),
    minutes: list[str] = Option((), metavar="DAY=N", help="Minutes of a session, such as Mon=30."),
    sets: list[str] = Option((), metavar="KEY=DAY:N", help=SETS),
    drop: list[str] = Option((), metavar="KEY", help="Do without an exercise this week."),
    done: list[str] = Option((), metavar="DAY", help="This session was trained: its sets stand."),
    missed: list[str] = Option((), metavar="DAY", help="This session was missed: it gives no sets."),
    back: list[str] = Option((), metavar="DAY", help=BACK),
    week: options.WeekInForce = None,
    out: options.OutFolder = None,
    as_json: options.JsonUnlessSaved = False,
    save: options.Save = False,
) -> None:
    """Re-plan and print what changed; options may be repeated, and hold for this week until they are taken back.

    With no option: fit the plan in force to brief and gyms as they are now. The old plan stays in v1, v2 …
    """
    from planner.change.swap import swap_week
    from planner.change.told import Options
    from planner.files.safe import athlete_lock
    from planner.publish import check_sound, publish

    told = Options(*map(tuple, (without, with_, minutes, sets, drop, done, missed, back)))
    write = save or not as_json
    # what is read is what is replaced
    with athlete_lock(athlete) if write and athlete.is_dir() else nullcontext():
        swapped = swap_week(athlete, told, datetime.date.today(), week)
        check_sound(swapped.document, swapped.asked)
        news = swapped.news and write
        written = publish(swapped.document, swapped.asked, athlete, out) if news else None
    report = swapped.report
    for note in report.notes:
        echo(note, err=True)

    options.tell(as_json, lambda: report.model_dump_json(indent=2), lambda: _text(swapped))
    options.tell_written(written)


def _text(swapped: Swapped) -> str:
    from planner.change.swap_report import swap_text
    from planner.sheets.table import missed_lines

    report, library = swapped.report, swapped.asked.inputs.library
    return swap_text(report, library, missed_lines(report.week, library))
