"""Joint regions one step freer, as the brief would have to be written: a flag is not overruled by every word."""

from __future__ import annotations

import json
from collections.abc import Iterator

from planner.athlete.brief import Allowance, History
from planner.athlete.screening import STRICTNESS, joint_allowances
from planner.change.why.easing import BRIEF, Easing, built, with_brief
from planner.model.inputs import Inputs


def freer_joints(inputs: Inputs) -> Iterator[Easing]:
    """Each joint region that is not clear, one step freer."""
    for region, word in joint_allowances(inputs.brief, inputs.library).items():
        if word == "clear":
            continue
        freer = STRICTNESS[STRICTNESS.index(word) - 1]
        history, joints = freed_of(inputs, region, freer)
        changed = {key: value for key, value in joints.items() if inputs.brief.joints.get(key) != value}
        edits = [f'joints.{key} = "{value}"' for key, value in changed.items()]
        if history.flags != inputs.brief.history.flags:
            edits.insert(0, f"history.flags = {json.dumps(history.flags)}")
        yield Easing(
            name=f"joints:{region}",
            words=f'{inputs.library.regions[region].name} "{freer}" instead of "{word}"',
            file=BRIEF,
            where="; ".join(edits),
            problem=built(lambda to=(history, joints): with_brief(inputs, history=to[0], joints=to[1])),
            medical=True,
        )


def freed_of(inputs: Inputs, region: str, freer: Allowance) -> tuple[History, dict[str, Allowance]]:
    """Give history and joints of a brief that differs in one region alone.

    Only "clear" overrules a flag. For any other word the flags that ask for more have to go, and what they ask of
    other regions has to be written down.
    """
    brief, flags = inputs.brief, inputs.library.flags
    joints = {**brief.joints, region: freer}
    if freer == "clear":
        return brief.history, joints
    stricter = STRICTNESS[STRICTNESS.index(freer) + 1 :]
    gone = {key for key in brief.history.flags if flags[key].regions.get(region) in stricter}
    others = {other for key in gone for other in flags[key].regions} - {region}
    now = joint_allowances(brief, inputs.library)
    joints |= {other: now[other] for other in sorted(others)}
    left = tuple(key for key in brief.history.flags if key not in gone)
    return brief.history.model_copy(update={"flags": left}), joints
