"""What the log changes in the week that is planned: pain bars exercises and lowers joint allowances."""

from __future__ import annotations

from dataclasses import replace

from library.read import Library
from planner.athlete.brief import Brief
from planner.athlete.screening import joint_allowances
from planner.model.inputs import Inputs
from planner.train.carried import Carried


def after_pain(inputs: Inputs, carried: Carried) -> Inputs:
    """Give the inputs after what pain says: waiting exercises barred, doubtful joint regions one level lower.

    Nothing is diagnosed; an exercise waits until the coach records it cleared.
    """
    waiting = {
        item.exercise: f"waits for clearance since {item.since.isoformat()} ({item.reason})"
        for item in carried.pain.out
        if item.exercise in inputs.library.exercises
    }
    return replace(
        inputs, brief=lowered(inputs.brief, inputs.library, carried, tuple(waiting)), barred=waiting
    )


def lowered(brief: Brief, library: Library, carried: Carried, waiting: tuple[str, ...]) -> Brief:
    """Give the brief as it holds this week; brief.toml itself is never written."""
    stated = joint_allowances(brief, library)
    joints = {**brief.joints}
    for region in carried.pain.regions:
        if region in stated:
            joints[region] = carried.pain.allowance(region, stated[region])
    exclude = tuple(dict.fromkeys((*brief.preferences.exclude, *waiting)))
    preferences = brief.preferences.model_copy(update={"exclude": exclude})
    return brief.model_copy(update={"joints": joints, "preferences": preferences})
