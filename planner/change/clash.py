"""Where what must hold cannot all hold: a group that shows it, as small as was found, and the nearest week."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import reduce

from planner.change.clash_group import small_group
from planner.change.clash_members import Member, pins, without_must, without_variety_must
from planner.document import Plan
from planner.model.aims import misses
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.model.problem import Problem, dose_of
from planner.plain import UNSHOWN, number
from planner.solve.solved import Solved

# A group shows that no week can be, and no more: once a member gives way, another group may stand in the way.
CANNOT_ALL_HOLD = (
    "No week can satisfy all that must hold. These cannot all hold together, so that at least one must give way; "
    "others may clash after that:"
)
MAY_BE_SMALLER = "The search was stopped early: a smaller group may clash already."


@dataclass(frozen=True)
class Nearest:
    """The week that misses least once what must hold is only wanted.

    Dose and target (direct sets) of every head, other musts missed as (goal, amount, unit), and pins given up.
    """

    heads: tuple[tuple[str, float, float], ...]
    missed: tuple[tuple[str, float, str], ...] = ()
    unpinned: tuple[str, ...] = ()


@dataclass(frozen=True)
class Clash:
    """Things that cannot all hold; `stopped`: a budget cut the search short, so that there may be more than need be."""

    members: tuple[Member, ...]
    nearest: Nearest | None
    stopped: bool


def clash_of(inputs: Inputs, solve: Callable[[Problem], Solved | None]) -> Clash:
    """Find a small clashing group of inputs that no week satisfies, and the nearest week."""
    group, stopped = small_group(inputs)
    return Clash(group, nearest_week(inputs, group, solve), stopped)


def nearest_week(
    inputs: Inputs, group: Sequence[Member], solve: Callable[[Problem], Solved | None]
) -> Nearest | None:
    """Solve the week with all musts only wanted, heavily; pins of the group are given up if they clash still."""
    quick = replace(inputs, week=replace(inputs.week, rest_gap_minutes=inputs.week.clash_rest_gap))
    heads = [head for head, of in inputs.targets.items() if of.must]
    wanted = without_variety_must(without_must(quick, heads, inputs.week.clash_priority))
    pinned = {member.where: member for member in pins(inputs)}
    clashing = [pinned[member.where] for member in group if member.where in pinned]
    for given_up in ([], *([pin] for pin in clashing), list(pinned.values())):
        problem = build_problem(reduce(lambda old, member: member.let_go(old), given_up, wanted))
        solved = solve(problem)
        if solved is not None:
            unpinned = tuple(str(member) for member in given_up)
            return Nearest(doses(problem, solved.plan), missed_musts(inputs, problem, solved.plan), unpinned)
    return None


def doses(problem: Problem, plan: Plan) -> tuple[tuple[str, float, float], ...]:
    """Give dose (elsewhere included) and target of every head."""
    return tuple(
        (goal.head, dose_of(problem, plan, goal.head) + goal.elsewhere, goal.target) for goal in problem.heads
    )


def missed_musts(inputs: Inputs, problem: Problem, plan: Plan) -> tuple[tuple[str, float, str], ...]:
    """Give what a plan misses of ceilings and variety that must hold."""
    must = {f"ceiling:{head}" for head, of in inputs.targets.items() if of.must}
    variety = ("implements", "family:") if inputs.brief.variety.must else ()
    return tuple(
        (miss.goal, miss.by, miss.unit)
        for miss in misses(problem, plan)
        if miss.goal in must or miss.goal.startswith(variety)
    )


def clash_text(clash: Clash) -> str:
    """Say the group, and the nearest week."""
    lines = [CANNOT_ALL_HOLD]
    lines += [f"- {member}" for member in clash.members]
    if clash.stopped:
        lines.append(MAY_BE_SMALLER)
    if clash.nearest:
        lines.append(nearest_text(clash.nearest))
    return "\n".join(lines)


def nearest_text(nearest: Nearest) -> str:
    """Say what the nearest week misses, and what it gives up."""
    short = [(head, dose, target) for head, dose, target in nearest.heads if target - dose >= UNSHOWN]
    said = [f"{head} gets {number(dose)} of {number(target)} sets" for head, dose, target in short]
    said += [f"{goal} is missed by {number(by)} {unit}" for goal, by, unit in nearest.missed if by >= UNSHOWN]
    said += [f"without {pin}" for pin in nearest.unpinned]
    return f"The nearest week, which misses least: {'; '.join(said) or 'every target is met'}."
