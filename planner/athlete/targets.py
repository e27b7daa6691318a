"""What each trained head is to get in a week: the brief, the athlete's status and today's sets weighed."""

from dataclasses import dataclass

from library.read import Library
from planner.athlete.brief import Brief, Target
from planner.method import AthleteSettings

Doses = tuple[float, float, float]  # floor, target, ceiling, in direct sets a week


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
    """Return the target of every head that is to be trained, in library order, and warnings in words. A head that the
    brief does not name takes its status's doses; a head with target 0 is left out."""
    default = settings.doses(brief.athlete.training_status)
    a_week = default[1] * min(1.0, settings.default_share_a_session * len(brief.session))
    targets: dict[str, HeadTarget] = {}
    warnings: list[str] = []
    for head in (key for key, entry in library.heads.items() if entry.role == "trained"):
        asked = brief.target.get(head, Target())
        wanted = asked.target
        if wanted is None:  # the default, between the coach's floor and ceiling
            raised = max(a_week, asked.floor or 0)
            wanted = raised if asked.ceiling is None else min(raised, asked.ceiling)
        goal = _agreed(head, asked, default, wanted, settings)
        if goal.target > 0:
            targets[head] = goal
        if goal.target < wanted:
            floor = asked.floor is not None and goal.floor < asked.floor
            also = f", the floor from {asked.floor:g} with it" if floor else ""
            step = f"{wanted:g} sets asked, {asked.now:g} done today. One step goes to {goal.target:g}"
            then = f"the target is lowered to that{also}. Raise `now` when the athlete trains more"
            warnings.append(f"{head}: {step}: {then}")
    return targets, warnings


def _agreed(head: str, asked: Target, default: Doses, wanted: float, settings: AthleteSettings) -> HeadTarget:
    """Fill what the coach left open: floor ≤ target ≤ ceiling; a written ceiling holds the target before its cap."""
    target = wanted
    if asked.now is not None:  # max(now + 1, 1.2·now): Scarpelli et al. 2022; the one set is our choice
        step = max(asked.now + settings.now_step_sets, settings.now_step_factor * asked.now)
        target = min(wanted, round(step, 6))  # 1.2·5 is 6
    floor = min(default[0] if asked.floor is None else asked.floor, target)
    room = wanted * settings.ceiling_of_target
    ceiling = max(default[2], room) if asked.ceiling is None else max(asked.ceiling, wanted)
    if target < wanted and asked.ceiling is None:  # a step that is kept small is not made good by other sets
        ceiling = target * settings.ceiling_of_target
    return HeadTarget(head, floor, target, ceiling, asked.priority, asked.sessions, asked.must)
