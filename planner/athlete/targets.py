"""What each trained head is to get in a week: the brief, the athlete's status and today's sets weighed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from planner.athlete.brief import Brief, Target
from planner.athlete.settings import AthleteSettings

if TYPE_CHECKING:
    from library.read import Library


@dataclass(frozen=True)
class HeadTarget:
    """One head's week in direct sets; `sessions` None: as many as the week's default says."""

    head: str
    floor: float
    target: float
    ceiling: float
    priority: float
    sessions: int | None
    must: bool


def weekly_targets(
    brief: Brief, library: Library, settings: AthleteSettings
) -> tuple[dict[str, HeadTarget], list[str]]:
    """Return the target of every head that is to be trained, in library order, and warnings in words.

    A head that the brief does not name takes its status's doses; a head with target 0 is left out.
    """
    targets: dict[str, HeadTarget] = {}
    warnings: list[str] = []
    for head, entry in library.heads.items():
        if entry.role != "trained":
            continue
        asked = brief.target.get(head, Target())
        goal = _agreed(head, asked, settings.doses(brief.athlete.training_status))
        if asked.now is not None:
            goal, warning = capped(goal, asked.now, settings)
            warnings += [warning] if warning else []
        if goal.target > 0:
            targets[head] = goal
    return targets, warnings


def _agreed(head: str, asked: Target, default: tuple[float, float, float]) -> HeadTarget:
    """Fill what the coach left open, so that floor ≤ target ≤ ceiling; what the coach wrote stands."""
    floor, target, ceiling = default
    if asked.target is not None:
        target = asked.target
    else:
        target = max(target, asked.floor or 0)
        target = target if asked.ceiling is None else min(target, asked.ceiling)
    floor = min(floor if asked.floor is None else asked.floor, target)
    ceiling = max(ceiling if asked.ceiling is None else asked.ceiling, target)
    return HeadTarget(head, floor, target, ceiling, asked.priority, asked.sessions, asked.must)


def capped(goal: HeadTarget, now: float, settings: AthleteSettings) -> tuple[HeadTarget, str]:
    """Hold a target within one step of today's sets: at most max(now + 1, 1.2·now). No text: it was within.

    Source: Scarpelli et al. 2022; the one set is our choice. A lower floor follows the target down.
    """
    most = max(now + settings.now_step_sets, settings.now_step_factor * now)
    most = round(most, 6)  # 1.2·5 is 6 sets, not 6.000000000000001
    if goal.target <= most:
        return goal, ""
    lowered = replace(goal, target=most, floor=min(goal.floor, most))
    also = f", the floor from {goal.floor:g}" if lowered.floor < goal.floor else ""
    text = (
        f"{goal.head}: {goal.target:g} sets asked, {now:g} done today. One step goes to {most:g}: "
        f"the target is lowered to that{also}. Raise `now` when the athlete trains more"
    )
    return lowered, text
