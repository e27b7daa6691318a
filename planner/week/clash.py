"""Where what must hold cannot all hold: a smallest clashing group, and the nearest week that misses least.

Deletion filtering: each thing in turn is let go for good if the rest clashes without it. What stays clashes, and
would not without any one of its members. Musts are let go first, then limits, the minutes of the sessions last,
so that the group names as few musts as can be and the time they lack.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import reduce

from planner.week.aims import misses
from planner.week.best_dose import dose_program
from planner.week.build import build_problem
from planner.week.clash_members import Member, all_members, pins, without_must, without_variety_must
from planner.week.inputs import Inputs
from planner.week.plain import number
from planner.week.problem import Plan, Problem, dose_of
from planner.week.solve.solved import Solved
from planner.week.tolerances import UNSHOWN


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
    """A clashing group; `stopped`: a budget cut the search short, so that it may be larger than need be."""

    members: tuple[Member, ...]
    nearest: Nearest | None
    stopped: bool


def clash_of(inputs: Inputs, solve: Callable[[Problem], Solved | None]) -> Clash:
    """Find a smallest clashing group of inputs that no week satisfies, and the nearest week."""
    group, stopped = smallest_group(inputs, list(all_members(inputs)))
    return Clash(group, nearest_week(inputs, group, solve), stopped)


def smallest_group(inputs: Inputs, members: Sequence[Member]) -> tuple[tuple[Member, ...], bool]:
    """Let go one after the other, for good where the rest still clashes; also say whether a stop left a doubt."""
    group, gone, stopped = list(members), inputs, False
    for member in members:
        without = member.let_go(gone)
        clashes = is_impossible(build_problem(without))
        stopped = stopped or clashes is None
        if clashes:
            group.remove(member)
            gone = without
    return tuple(group), stopped


def is_impossible(problem: Problem) -> bool | None:
    """Whether no plan keeps what must hold; None: a budget ran out before it was known."""
    from planner.week.solve.highs import Ending, Stops
    from planner.week.solve.integer import over_blocks

    settings = problem.settings
    stops = Stops(0.0, settings.node_budget, settings.emergency_seconds, target=0.0)
    answer = over_blocks(dose_program(problem)).minimize({}, stops)
    if answer.values is not None:
        return False
    return True if answer.ending is Ending.INFEASIBLE else None


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
    """Say the group, what would do, and the nearest week."""
    lines = ["No week can satisfy all that must hold. These clash; easing any one of them would do:"]
    lines += [f"- {member}" for member in clash.members]
    if clash.stopped:
        lines.append("The search was stopped early: a smaller group may clash already.")
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
