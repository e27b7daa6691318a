"""A later week of a block: the exercises of its last hard week stay, and so do their places unless they must move.

Where targets are as they were, the last hard week stays as it is. Where they change, each block stays and its sets
follow: dose first, then the rest, as in any week. Where that leaves dose behind (a limit has changed, blocks are
full), blocks move as little as the dose allows. A lighter week plans each block anew for halved targets. What cannot
be held at all is let go, step by step, so that a week there is.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from planner.document import Plan, plan_of
from planner.method import WeekSettings
from planner.model.aims import dose_room, dose_value, rest_value
from planner.model.inputs import Inputs
from planner.model.problem import Held, Problem
from planner.plain import ROUNDING
from planner.solve.solve import BestDose, Solved, best_dose, solve_week
from planner.week.keeping import Keeping, as_solved, can_stay, still_possible
from planner.week.least import least_change

IN_PLACE = "plans that keep the block's exercises on their days"
KEPT = "plans that keep the block's exercises"
Change = Literal["none", "any", "at_least", "at_most"]


def solve_held(inputs: Inputs, problem: Problem) -> tuple[Problem, Solved] | None:
    """Solve a week with what its block holds, and give the problem its plan is judged by; None: limits clash."""
    if not problem.anything_needed:
        return problem, Solved({}, 0.0, 0.0, rest_value(problem, {}))
    if inputs.block is not None and inputs.block.lighter:
        return solve_lighter(inputs, problem)
    plan = held_plan(inputs)
    for held in (Held(plan, closed=all_possible(problem, plan)), None):
        best = best_dose(replace(problem, held=held))
        if best is not None:
            return solve_hard(inputs, problem, held, best)
    return None


def solve_hard(inputs: Inputs, problem: Problem, held: Held | None, best: BestDose) -> tuple[Problem, Solved]:
    """Keep the last hard week, or every block of it with other sets; else change as little as the dose allows.

    `best` is the best dose that the exercises held can give.
    """
    changed = targets_changed(inputs)
    if changed != "none":
        solved = solve_week(replace(problem, held=Held(held_plan(inputs), blocks=True, sets=changed)))
        if solved and dose_value(problem, solved.plan) <= best.value + dose_room(problem) + ROUNDING:
            return problem, replace(solved, among=IN_PLACE, dose_among=IN_PLACE)
    judged = replace(problem, in_force=still_possible(problem, held_plan(inputs)))
    holding, plan = replace(judged, held=held), judged.in_force or {}
    if changed == "none" and can_stay(Keeping(holding), plan, best):
        solved = as_solved(holding, plan, best)
    else:
        solved = least_change(replace(holding, settings=for_one_head(problem)), best)
    return judged, replace(solved, dose_among=KEPT if held else "")


def solve_lighter(inputs: Inputs, problem: Problem) -> tuple[Problem, Solved] | None:
    """Solve a lighter week: every block stays, with half its sets at most; else every exercise does; else what can."""
    plan = held_plan(inputs)
    halved = {pair: inputs.part_of(sets) for pair, sets in plan.items()}
    ways = ((Held(halved, blocks=True, sets="at_most"), IN_PLACE), (Held(plan), KEPT), (None, ""))
    for held, among in ways:
        solved = solve_week(replace(problem, held=held))
        if solved is not None:
            return problem, replace(solved, among=among, dose_among=among)
    return None


def held_plan(inputs: Inputs) -> Plan:
    """Give the sets of the block's last hard week."""
    return plan_of(inputs.hard) if inputs.hard else {}


def targets_changed(inputs: Inputs) -> Change:
    """Say what other targets than in the last hard week ask of its blocks: more sets, fewer, some of both, or none."""
    before = {dose.head: dose.target for dose in inputs.hard.dose} if inputs.hard else {}
    steps = [target.target - before.get(head, 0.0) for head, target in inputs.targets.items()]
    steps += [-target for head, target in before.items() if head not in inputs.targets]
    up, down = max(steps, default=0.0) > ROUNDING, min(steps, default=0.0) < -ROUNDING
    if up and down:
        return "any"
    return "at_least" if up else "at_most" if down else "none"


def for_one_head(problem: Problem) -> WeekSettings:
    """Give the settings under which the dose may be missed by the tolerance of one head in all.

    Change is priced above dose inside the tolerance, so that a wider one would never be used for the dose.
    """
    sets = problem.settings.dose_tolerance_sets / max(1, len(problem.heads))
    return problem.settings.but(dose_tolerance_sets=sets)


def all_possible(problem: Problem, plan: Plan) -> bool:
    """Whether every exercise of a plan can still be planned somewhere: then no other may join."""
    return {key for key, _ in plan} <= problem.rooms
