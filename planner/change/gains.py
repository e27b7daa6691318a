"""What easing each thing gives, by solving again: exact where it was solved, a bound where it was not.

Where some target is missed the first aim alone is solved for every easing. Where all are met the whole week is,
for the easings whose linear bound promises most; what the others could give at most is told by their bounds. Most
easings touch nothing that holds the plan back, which the duals of the plan's own linear bound prove at once: under
any duals, what a week costs at least is a sum (Lagrange).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from planner.document import Plan
from planner.model.aims import build, dose_program, dose_room, misses, rest_value
from planner.model.build import build_problem
from planner.model.doses import head_price, shortfall
from planner.model.inputs import Inputs
from planner.model.limits import seconds_used
from planner.model.problem import Problem
from planner.model.program import INFINITE, Program, Row, Terms
from planner.plain import LAST_DIGITS, ROUNDING
from planner.solve.patterns import Decomposition
from planner.solve.sessions import NONE, Knapsack
from planner.solve.solve import BestDose, Solved, best_dose, solve_week
from planner.solve.whole import hold
from planner.week.edits import Edit

Duals = Mapping[str, float]  # price of each row, by its name
Tick = Callable[[str, int], None]  # what is being tried, and how much there is to try in all


@dataclass(frozen=True)
class Gain:
    """What an easing gives: `heads` direct sets nearer to each target, `missed_sets` priced, or the second aim's.

    `kind`: "exact" after solving again; "at most" by a bound alone; "none" is proven to within the aim's gap.
    `within`: how far an exact gain may be off, in the unit of its aim: the larger gap of the two weeks' proofs.
    """

    easing: Edit
    kind: Literal["exact", "at most", "none"]
    missed_sets: float = 0.0
    priced_minutes: float = 0.0
    minutes: float = 0.0
    heads: Mapping[str, float] = field(default_factory=dict)
    within: float = 0.0
    stopped: bool = False


@dataclass(frozen=True)
class Promise:
    """An eased week before it is solved: the value to beat, and the most that can be gained on it."""

    easing: Edit
    eased: Problem
    value: float
    most: float


def dose_gains(
    inputs: Inputs, problem: Problem, base: BestDose, easings: Sequence[Edit], tick: Tick
) -> list[Gain]:
    """Give the gain of every easing in the first aim."""
    gains: dict[str, Gain] = {}
    _, duals = linear_bound(dose_aim(problem))
    for easing in easings:
        tick(easing.words, len(easings))
        hopeless = not easing.loosens_dose or gives_nothing(gains.get(easing.less_than))
        gains[easing.name] = (
            Gain(easing, "none") if hopeless else dose_gain(inputs, problem, base, easing, duals)
        )
    return in_order(list(gains.values()))


def gives_nothing(gain: Gain | None) -> bool:
    """Whether an easing was found to give nothing; False if it was not tried."""
    return gain is not None and gain.kind == "none" and not gain.stopped


def dose_gain(inputs: Inputs, problem: Problem, base: BestDose, easing: Edit, duals: Duals) -> Gain:
    """Solve the first aim of one eased week, unless a bound says that nothing is to be had."""
    eased, gap = build_problem(easing.apply(inputs)), problem.settings.dose_gap_sets
    before = {goal.head: goal for goal in problem.heads if not easing.forgotten(f"dose:{goal.head}")}
    value = sum(head_price(problem, base.plan, goal) for goal in before.values())
    if value - bound_under(dose_aim(eased), duals) <= gap:
        return Gain(easing, "none")
    best = best_dose(eased)
    if best is None or value - best.value <= gap:
        return Gain(easing, "none", stopped=best is None or best.stopped)
    after = {goal.head: goal for goal in eased.heads}
    heads = {
        head: shortfall(problem, base.plan, goal) - shortfall(eased, best.plan, after[head])
        for head, goal in before.items()
        if head in after
    }
    within = max(base.value - base.bound, best.value - best.bound)
    return Gain(easing, "exact", value - best.value, heads=heads, within=within, stopped=best.stopped)


def rest_gains(
    inputs: Inputs, problem: Problem, base: Solved, easings: Sequence[Edit], tick: Tick
) -> tuple[list[Gain], float]:
    """Give the gain of every easing in the second aim, every target being met, and the gain that none exceeds.

    That is how well the plan itself is proven: a gain below it could be the plan's own.
    """
    settings, whole = problem.settings, rest_value(problem, base.plan)
    least, duals = linear_bound(rest_aim(problem, base.dose_best))
    floor = max(whole - least, settings.rest_gap_minutes) + ROUNDING
    promises: dict[str, Promise] = {}
    for easing in easings:
        tick(easing.words, len(easings) + settings.why_solves)
        more = promises.get(easing.less_than)
        if more is not None and more.most <= floor:
            promises[easing.name] = replace(more, easing=easing)
        else:
            promises[easing.name] = promise(inputs, problem, base, easing, duals, floor)
    ranked = sorted(promises.values(), key=lambda one: -one.most)
    open_ones = [one for one in ranked if one.most > floor]
    gains = [Gain(one.easing, "none") for one in ranked if one.most <= floor]
    tried, left = open_ones[: settings.why_solves], open_ones[settings.why_solves :]
    for one in tried:
        tick(one.easing.words, len(easings) + len(tried))
        gains.append(rest_gain(problem, base, one))
    gains += [Gain(one.easing, "at most", priced_minutes=one.most) for one in left]
    return in_order(gains), floor


def promise(
    inputs: Inputs, problem: Problem, base: Solved, easing: Edit, duals: Duals, floor: float
) -> Promise:
    """Bound what an easing can give, by the plan's own duals; by its own linear bound where that is above `floor`."""
    eased = build_problem(easing.apply(inputs))
    value = rest_value(problem, base.plan) - own_price(problem, base.plan, easing)
    aim = rest_aim(eased, base.dose_best)
    most = value - bound_under(aim, duals)
    if most > floor:
        most = value - linear_bound(aim)[0]
    return Promise(easing, eased, value, most)


def rest_gain(problem: Problem, base: Solved, promised: Promise) -> Gain:
    """Solve one eased week whole. Where that takes away what the dose needs, a cheaper week is no gain."""
    easing, eased, value, settings = promised.easing, promised.eased, promised.value, problem.settings
    solved = solve_week(eased)
    if solved is None:
        return Gain(easing, "none", stopped=True)
    gained = value - rest_value(eased, solved.plan)
    if gained <= settings.rest_gap_minutes or solved.dose_best > base.dose_best + settings.dose_gap_sets:
        return Gain(easing, "none", stopped=solved.stopped)
    return Gain(
        easing,
        "exact",
        priced_minutes=gained,
        minutes=minutes_of(problem, base.plan) - minutes_of(eased, solved.plan),
        within=max(rest_gap(problem, base), rest_gap(eased, solved)),
        stopped=solved.stopped,
    )


def rest_gap(problem: Problem, solved: Solved) -> float:
    """Minutes' worth by which some week could be better than a plan in the second aim, as far as it is proven."""
    return max(0.0, rest_value(problem, solved.plan) - solved.rest_bound)


def own_price(problem: Problem, plan: Plan, easing: Edit) -> float:
    """Price of what a plan misses of the very goals that an easing drops."""
    return sum(miss.price for miss in misses(problem, plan) if easing.forgotten(miss.goal))


def minutes_of(problem: Problem, plan: Plan) -> float:
    """Minutes of training a week, general warm-ups left out."""
    return sum(seconds_used(problem, plan, session.id) for session in problem.sessions) / 60


def in_order(gains: Sequence[Gain]) -> list[Gain]:
    """Sort by gain: dose first, then priced minutes; what was solved before what is only bounded."""
    rank = {"exact": 0, "at most": 1, "none": 2}
    return sorted(gains, key=lambda one: (rank[one.kind], -one.missed_sets, -one.priced_minutes))


@dataclass(frozen=True)
class Aim:
    """One program with what is minimized and what holds beside its rows."""

    program: Program
    objective: Terms
    hold: tuple[Row, ...]


def dose_aim(problem: Problem) -> Aim:
    """The first aim."""
    program = dose_program(problem)
    return Aim(program, program.dose_price, ())


def rest_aim(problem: Problem, dose: float) -> Aim:
    """The second aim among plans within the tolerance of a dose that can be had."""
    program = build(problem)
    return Aim(program, program.rest_price, (hold(program.dose_price, dose + dose_room(problem)),))


def linear_bound(aim: Aim) -> tuple[float, Duals]:
    """The linear bound by session patterns, and the duals of its rows."""
    if aim.program.problem.paired:  # what pairs save is no part of a session pattern
        return -INFINITE, {}
    bound = Decomposition(aim.program).bound(aim.objective, *aim.hold)
    return bound.value, bound.duals


def bound_under(aim: Aim, duals: Duals) -> float:
    """A lower bound under given duals: rows paid by their duals, columns and sessions each at their cheapest."""
    if aim.program.problem.paired:
        return -INFINITE
    decomposition = Decomposition(aim.program)
    cost, value = dict(aim.objective), 0.0
    for row in (*decomposition.rows, *aim.hold):
        dual = duals.get(row.name, 0.0)
        limit = row.low if dual > 0 else row.high
        if abs(dual) <= LAST_DIGITS or abs(limit) == INFINITE:
            continue
        value += dual * limit
        for column, factor in row.terms.items():
            cost[column] = cost.get(column, 0.0) - dual * factor
    for column in decomposition.others:
        value += cheapest(cost.get(column, 0.0), *bounds_of(aim.program, column))
    for room in decomposition.rooms:
        values = {block: -cost.get(block, 0.0) for block in decomposition.blocks}
        worth, _ = Knapsack(room, values).best()
        value += INFINITE if worth == NONE else -worth
    return value


def bounds_of(program: Program, column: int) -> tuple[float, float]:
    """Lower and upper bound of a column."""
    variable = program.variables[column]
    return variable.low, variable.high


def cheapest(cost: float, low: float, high: float) -> float:
    """The least that a column can cost."""
    if abs(cost) <= LAST_DIGITS:
        return 0.0
    return cost * (low if cost > 0 else high)
