"""Plan an athlete's week: print the table, write sheets, coach's pages and week.json."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from typer import Option, echo

from planner import options

if TYPE_CHECKING:
    from planner.change.choices import Choices
    from planner.document import WeekDocument
    from planner.week.gather import Asked

MANY = "So many near-equal weeks, with what each trades."
WORST = "Make the dose of the worst draws as good as can be: 0.8 (or 80%) looks at the worst fifth."


def run(
    athlete: options.AthleteFolder,
    week: options.NextWeek = None,
    out: options.OutFolder = None,
    as_json: options.JsonUnlessSaved = False,
    save: options.Save = False,
    choices: int = Option(1, metavar="N", parser=options.whole_number("--choices", 1, 9), help=MANY),
    take: str | None = Option(None, metavar="B", help="With --choices: write this one instead of the first."),
    cautious: str | None = Option(None, metavar="LEVEL", help=WORST),
) -> None:
    """Plan one week. Exit 2: a file or option is wrong; 3: no week can satisfy what must hold; 4: no PDF."""
    from planner.publish import check_sound, publish
    from planner.week.gather import gather

    level = _level(cautious, choices, take)
    asked = gather(athlete, week, datetime.date.today())
    document, several = _planned(asked, level, choices, take)
    for one in [document, *(choice.week for choice in several.choices)] if several else [document]:
        check_sound(one, asked)
    written = publish(document, asked, athlete, out) if save or not as_json else None
    whole = several or document
    options.tell(as_json, lambda: whole.model_dump_json(indent=2), lambda: _text(document, several, asked))
    options.tell_written(written)


def _level(cautious: str | None, choices: int, take: str | None) -> float | None:
    """Read how cautious the week is to be; options that do not go together are refused."""
    level = None
    if cautious is not None:
        from planner.week.cautious import level_of, require_alone

        level = level_of(cautious)
        require_alone(choices, take)
    if take:
        from planner.change.choices import require_choices

        require_choices(take, choices)
    return level


def _planned(
    asked: Asked, level: float | None, choices: int, take: str | None
) -> tuple[WeekDocument, Choices | None]:
    """Plan the week; with several near-equal ones, these too."""
    if level is not None:
        from planner.week.cautious import plan_cautious

        document = plan_cautious(asked, level)
        if document.cautious is None:
            echo("Nothing is left to train: --cautious changes nothing.", err=True)
        return document, None
    if choices > 1:
        from planner.change.choices import near_equal, taken

        several = near_equal(asked, choices)
        return taken(several, take or several.name), several
    from planner.week.plan import plan_week

    return plan_week(asked), None


def _text(document: WeekDocument, several: Choices | None, asked: Asked) -> str:
    from planner.sheets.table import week_table

    text = week_table(document, asked.library)
    if several is None:
        return text
    from planner.change.choices import choices_text

    return f"{text}\n{choices_text(several, asked.library)}"
