"""What a week rests on, as its document says it: tool, library, inputs, defaults and evidence rows."""

from __future__ import annotations

from dataclasses import asdict

from library.method import CreditSettings
from planner import __version__
from planner.athlete.method import method_of
from planner.document import MadeWith, Plan
from planner.method import AthleteSettings, TrainSettings, WeekSettings
from planner.model.inputs import Inputs


def made_with(inputs: Inputs) -> MadeWith:
    """Name the tool, the library, the inputs and every default used."""
    # what a block asks of this week is no default: its place in the block stands in the document
    records = (
        method_of(inputs.brief, WeekSettings),
        method_of(inputs.brief, CreditSettings),
        method_of(inputs.brief, AthleteSettings),
        method_of(inputs.brief, TrainSettings),
    )
    return MadeWith(
        tool=__version__,
        library=inputs.library.digest,
        inputs=inputs.digest(),
        counting=inputs.week.counting,
        method={name: value for record in records for name, value in asdict(record).items()},
    )


def sources(inputs: Inputs, plan: Plan) -> tuple[str, ...]:
    """List the evidence rows that the planned exercises' numbers rest on, each once, in library order."""
    planned = {key for key, _ in plan}
    rows = {
        row
        for head in inputs.targets
        for key in planned
        if (profile := inputs.library.profiles.get(head, {}).get(key))
        for row in profile.rows
    }
    return tuple(row.id for row in inputs.library.evidence if row.id in rows)
