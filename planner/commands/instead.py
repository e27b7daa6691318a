"""List what could be trained instead of an exercise of the week in force, with its price."""

import datetime

from typer import Argument

from planner.options import AsJson, AthleteFolder, WeekInForce, tell


def run(
    athlete: AthleteFolder,
    exercise: str = Argument(..., help="Key or printed name of a planned exercise."),
    week: WeekInForce = None,
    as_json: AsJson = False,
) -> None:
    """Print replacements that keep the dose best first: other equipment, no joint worse, no limit broken.

    Nothing is written: `planner swap ATHLETE --drop EXERCISE` plans the rest of the week without it.
    """
    from planner.change.instead_list import instead_list, instead_text
    from planner.change.swap import open_week

    standing = open_week(athlete, datetime.date.today(), week)
    listed = instead_list(standing, exercise)
    library = standing.asked.inputs.library
    tell(as_json, lambda: listed.model_dump_json(indent=2), lambda: instead_text(listed, library))
