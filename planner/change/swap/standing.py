"""The week in force as it stands today: files, plan, and the changes that hold for this week alone."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from planner.athlete.folder import plan_in_force, require_in_step
from planner.change.swap.apply import applied
from planner.document import MadeChange, State, WeekDocument, states_of
from planner.model.inputs import Inputs
from planner.week.plan import Asked, gather


@dataclass(frozen=True)
class Standing:
    """A plan in force and what its athlete's files say: `filed` knows no change of this week."""

    filed: Asked
    in_force: WeekDocument

    @property
    def asked(self) -> Asked:
        """What is asked under the changes that hold already."""
        return self.under(self.in_force.changes, {})

    def under(self, changes: tuple[MadeChange, ...], states: Mapping[str, State]) -> Asked:
        """Give what is asked under these changes, with the sessions that are over, or are told to be."""
        inputs = changed_inputs(self.filed.inputs, changes, states, self.in_force)
        return replace(self.filed, inputs=inputs, changes=changes)


def open_week(folder: Path, today: datetime.date, week: str | None = None) -> Standing:
    """Read the newest week of an athlete's folder, or the one that is named, and the files of today.

    Raises FaultyInput (no plan in force, a file is wrong, plan and library out of step), NotCleared.
    """
    in_force = plan_in_force(folder, week, today)
    filed = gather(folder, in_force.week, today)
    require_in_step(folder, in_force, filed.inputs.library, filed.inputs.brief)
    return Standing(filed, in_force)


def changed_inputs(
    inputs: Inputs, changes: tuple[MadeChange, ...], states: Mapping[str, State], in_force: WeekDocument
) -> Inputs:
    """Give the inputs as they are after the changes, with the sessions that are over as they stand in force."""
    brief, gyms = applied(changes, inputs.brief, inputs.gyms, inputs.library)
    over = {**states_of(in_force), **states}
    trained = {
        (line.exercise, session.id): line.sets
        for session in in_force.sessions
        if over.get(session.day) == "done"
        for line in session.exercises
    }
    return replace(inputs, brief=brief, gyms=gyms, states=over, trained=trained)
