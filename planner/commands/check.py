"""Read every file of an athlete, tell all that is wrong or what it comes to, and print every default."""

import datetime
from pathlib import Path

from planner.options import AsJson, AthleteFolder, NextWeek, tell


def run(athlete: AthleteFolder, week: NextWeek = None, as_json: AsJson = False) -> None:
    """Print what the files come to; exit 2: every fault; 3: an operation not cleared, or a pin that cannot be."""
    from library.read import read_library
    from planner.check import check_athlete, check_document, check_text
    from planner.document import week_named
    from planner.errors import NotCleared

    library, today = read_library(), datetime.date.today()
    checked = check_athlete(athlete, library, week_named(week or "next", today))
    tell(as_json, lambda: check_document(checked), lambda: check_text(checked, library))
    if checked.not_cleared:
        raise NotCleared(checked.not_cleared)
    if checked.brief.preferences.pin:  # else the week's model need not be loaded
        _require_pins(athlete, checked.week, today)


def _require_pins(athlete: Path, week: str, today: datetime.date) -> None:
    """Raise NoWeekPossible with every pin that breaks a hard limit."""
    from planner.errors import NoWeekPossible
    from planner.model.build import build_problem
    from planner.week.gather import gather
    from planner.week.plan import refused_pins

    inputs = gather(athlete, week, today).inputs
    refused = refused_pins(inputs, build_problem(inputs))
    if refused:
        raise NoWeekPossible("\n".join(refused))
