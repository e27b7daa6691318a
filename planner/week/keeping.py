"""What of an earlier plan stays: whether it can, the plan that changes least, and later weeks of a block.

Least change: a plan that changes little holds no block that changes much by itself. So the search looks at changes up to
a small price first and doubles it until a plan is found. What was searched in vain is proven.

In a block the exercises of its last hard week stay, and so do their places unless they must move. Where targets are as
they were, that week stays as it is. Where they change, each block stays and its sets follow: dose first, then the rest.
Where that leaves dose behind (a limit has changed, blocks are full), blocks move as little as the dose allows. A lighter
week plans each block anew for halved targets. What cannot be held at all is let go, step by step, so that a week there is.
"""

from collections import Counter
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from typing import Literal

from library.errors import NoWeekPossible, SolverFault
from planner.document import Plan, plan_of
from planner.method import WeekSettings
from planner.model.aims import (
    block_change,
    build,
    change_price,
    change_terms,
    dose_program,
    dose_room,
    dose_value,
    exchange_price,
    misses,
    rest_value,
)
from planner.model.inputs import Inputs
from planner.model.limits import LIMITS, seconds_used
from planner.model.problem import Held, Problem, exercises_in
from planner.model.program import INFINITE, Program, Row, Terms
from planner.plain import LAST_DIGITS, ROUNDING
from planner.solve.search import Answer, Clock, Stops, hold, over_blocks, plan_in
from planner.solve.solve import BestDose, Solved, best_dose, solve_week

# kept by counting seconds: what pairs save hangs on the whole session
BY_THE_CLOCK = frozenset({"time", "pairs"})
MUST_VARIETY = ("implements", "family")
STEP = 0.4  # of the lowest price of change: two changes at our prices differ by half of it at least
AMONG = "plans of this dose that change no more"
FRESH = "The search for the smallest change found none in its time: the week is planned anew, as near as it can be."
IN_PLACE = "plans that keep the exercises on their days"
KEPT = "plans that keep the block's exercises"
LESS_OF = "plans that keep what hurts on its days"
Change = Literal["none", "any", "at_least", "at_most"]


class Keeping:
    """The hard rows of a problem, made once and held against any number of plans."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.program = Program(problem)
        for limit in LIMITS:
            limit.rows(self.program)
        limits = {limit.name for limit in LIMITS} - BY_THE_CLOCK
        self.hard = [row for row in self.program.rows if row.rule in limits]

    def broken(self, plan: Plan) -> list[str]:
        """Name what a plan breaks: blocks that cannot be, pins left out, limits overrun, goals that must hold."""
        impossible = [
            f"block:{key}:{day}"
            for (key, day), sets in plan.items()
            if sets not in self.program.blocks.get((key, day), ())
        ]
        if impossible:
            return impossible
        problem = self.problem
        unpinned = [f"pin:{key}:{day}" for (key, day), n in problem.pins.items() if plan.get((key, day)) != n]
        chosen = Counter(self.program.blocks[pair][sets] for pair, sets in plan.items())
        chosen.update({self.program.used[key] for key in exercises_in(plan)})
        rows = [row.name for row in self.hard if not within(row, chosen)]
        late = [
            f"time:{one.id}"
            for one in problem.open_sessions
            if seconds_used(problem, plan, one.id) > one.seconds
        ]
        return [*unpinned, *rows, *late, *self._musts(plan)]

    def _musts(self, plan: Plan) -> list[str]:
        must = [goal for goal in self.problem.heads if goal.must]
        allowed = {f"dose:{goal.head}": 0.0 for goal in must}
        allowed |= {f"ceiling:{goal.head}": max(0.0, goal.elsewhere - goal.ceiling) for goal in must}
        variety = MUST_VARIETY if self.problem.variety_must else ()
        if not must and not variety:
            return []
        return [
            miss.goal
            for miss in misses(self.problem, plan)
            if miss.by > allowed.get(miss.goal, miss.by) + ROUNDING or miss.goal.split(":")[0] in variety
        ]


def within(row: Row, chosen: Mapping[int, int]) -> bool:
    """Whether a row holds where the chosen columns have their counts and all others are 0."""
    total = sum(value * chosen[column] for column, value in row.terms.items() if column in chosen)
    return row.low - ROUNDING <= total <= row.high + ROUNDING


def still_possible(problem: Problem, plan: Plan) -> Plan:
    """Give the part of a plan that can still be trained: on days that are left, with what is there."""
    sessions = {session.id: session for session in problem.sessions}
    return {
        (key, day): sets
        for (key, day), sets in plan.items()
        if key in problem.by_key and day in sessions and sets in problem.choices(key, sessions[day])
    }


def can_stay(keeping: Keeping, plan: Plan, best: BestDose, room: float | None = None) -> bool:
    """Whether a plan breaks nothing and misses at most `room` priced sets more than the best; None: the tolerance."""
    most = best.value + (dose_room(keeping.problem) if room is None else room)
    return dose_value(keeping.problem, plan) <= most + LAST_DIGITS and not keeping.broken(plan)


def as_solved(problem: Problem, plan: Plan, best: BestDose) -> Solved:
    """Give a plan that stays as a solved problem: no other plan changes as little, so its rest is its own bound."""
    return Solved(
        plan=plan,
        dose_best=best.value,
        dose_bound=best.bound,
        rest_bound=rest_value(problem, plan),
        stopped=best.stopped,
        among="plans that change no more",
    )


def least_change(problem: Problem, best: BestDose) -> Solved:
    """Solve a problem with a plan in force whose best dose is known.

    `rest_bound` of the result holds among plans within the tolerance of the best dose that change no more. Where a stop
    left no plan, the week is planned anew: then the bound holds among all plans, and `among` is empty.
    """
    clock = Clock(problem.settings.emergency_seconds)
    change, nearest, stopped = smallest_change(problem, best, clock)
    if nearest is None:
        return anew(problem, best)
    settings, program = problem.settings, build(problem)
    proven = -INFINITE if stopped else change - step_of(problem)
    stops = Stops(settings.rest_gap_minutes, settings.node_budget, clock.left, quick=True)
    answer, plan = search(program, program.rest_price, best, change + ROUNDING, stops, proven)
    return Solved(
        plan=nearest if answer.values is None else plan,
        dose_best=best.value,
        dose_bound=best.bound,
        rest_bound=answer.bound if answer.bound < INFINITE else 0.0,
        rest_seconds=answer.seconds,
        stopped=stopped or best.stopped or answer.stopped or answer.values is None,
        among=AMONG,
    )


def anew(problem: Problem, best: BestDose) -> Solved:
    """Plan the week as if for the first time, with change priced beside the rest; at the least the best dose's plan."""
    with suppress(SolverFault, NoWeekPossible):
        fresh = solve_week(problem)
        if fresh and fresh.dose_best <= best.value + dose_room(problem):
            return replace(fresh, stopped=True)
    return Solved(best.plan, best.value, best.bound, rest_bound=0.0, stopped=True)


def smallest_change(problem: Problem, best: BestDose, clock: Clock) -> tuple[float, Plan | None, bool]:
    """Give the smallest price of change that the best dose allows, a plan of it, and whether a stop leaves a doubt.

    No plan: a stop came before any was seen.
    """
    settings, program = problem.settings, dose_program(problem)
    terms, empty = change_terms(program), change_price(problem, {})
    most, stopped = settings.price_moved_set * settings.smallest_block_sets, False
    while True:
        whole = most >= empty + sum(max(0.0, price) for price in terms.values())
        stops = Stops(step_of(problem), settings.node_budget, clock.left, quick=True)
        answer, plan = search(program, terms, best, INFINITE if whole else most, stops)
        stopped = stopped or answer.stopped
        if answer.values is not None:
            return empty + answer.value, plan, stopped
        if whole:
            return INFINITE, None, True
        most *= 2


def step_of(problem: Problem) -> float:
    """Price of change by which two plans differ at the least, if they do."""
    return STEP * min(problem.settings.price_moved_set, problem.settings.price_exchanged)


def search(
    program: Program, objective: Terms, best: BestDose, most: float, stops: Stops, proven: float = -INFINITE
) -> tuple[Answer, Plan]:
    """Minimize an objective over plans that hold the dose and change by `most` at most; `proven`: none changes by less."""
    problem = program.problem
    model = over_blocks(program, columns_within(program, most))
    model.add_row(hold(program.dose_price, best.value + dose_room(problem)))
    if most < INFINITE:
        empty = change_price(problem, {})
        model.add_row(Row("change", change_terms(program), proven - empty, most - empty))
    answer, point = model.minimize(objective, stops)
    return answer, plan_in(program, point)


def columns_within(program: Program, most: float) -> set[int]:
    """Block columns that change no more than `most` by themselves, and those that are pinned: no plan is without them."""
    problem, before = program.problem, program.problem.in_force or {}
    unmoved = problem.settings.price_moved_set
    return {
        column
        for pair, by_count in program.blocks.items()
        for sets, column in by_count.items()
        if pair in problem.pins
        or block_change(problem, pair, sets)
        + unmoved * before.get(pair, 0)
        + max(0.0, exchange_price(problem, pair[0]))
        <= most + ROUNDING
    }


def solve_held(inputs: Inputs, problem: Problem) -> tuple[Problem, Solved] | None:
    """Solve a week with what its block holds, and give the problem its plan is judged by; None: limits clash."""
    if not problem.anything_needed:
        return problem, Solved({}, 0.0, 0.0, rest_value(problem, {}))
    if inputs.block is not None and inputs.block.lighter:
        return solve_lighter(inputs, problem)
    plan = held_plan(inputs)
    # no other exercise may join, unless one of these can be planned nowhere
    for held in (Held(plan, closed=exercises_in(plan) <= problem.rooms), None):
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


def solve_back(inputs: Inputs, problem: Problem) -> Solved | None:
    """Solve the first week back after pain: last week's blocks on their days, of what comes back half the sets, no more.
    Where something hurts a little, solve the week with what is left of it on its days. None: neither, or it clashes."""
    less = {of: sets for of, sets in inputs.lessened.items() if problem.can_hold(*of)}
    if not inputs.returning:
        solved = solve_week(replace(problem, pins={**less, **problem.pins})) if less else None
        return solved and replace(solved, among=LESS_OF, dose_among=LESS_OF)
    plan = {of: sets for of, sets in {**inputs.last_plan, **inputs.returning}.items() if sets}
    held = Held(plan, blocks=True, sets="at_most")
    solved = solve_week(replace(problem, held=held))
    return solved and replace(solved, among=IN_PLACE, dose_among=IN_PLACE)


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
