"""What easing each thing gives, by solving again: exact where it was solved, a bound where it was not.

Where some target is missed the first aim alone is solved for every easing. Where all are met the whole week is,
for the easings whose linear bound promises most; what the others could give at most is told by their bounds. What
cannot give as much as is worth telling is not solved: the linear relaxation of the eased week proves that at once.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from planner.document import Plan
from planner.model.aims import build, dose_program, dose_room, misses, rest_value
from planner.model.build import build_problem
from planner.model.doses import head_price, shortfall
from planner.model.inputs import Inputs
from planner.model.limits import seconds_used
from planner.model.problem import Problem
from planner.solve.search import Aim, hold, linear_bound
from planner.solve.solve import BestDose, Solved, best_dose, solve_week
from planner.week.edits import Edit

Tick = Callable[[str, int], None]  # what is being tried, and how much there is to try in all


@dataclass(frozen=True)
class Gain:
    """What an easing gives: `heads` direct sets nearer to each target, `missed_sets` priced, or the second aim's.

    `kind`: "exact" after solving again; "at most" by a bound alone; "none" is proven to be no more than is worth telling.
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
) -> tuple[list[Gain], float]:
    """Give the gain of every easing in the first aim, and the gain that no other easing exceeds."""
    gains: dict[str, Gain] = {}
    for easing in easings:
        tick(easing.words, len(easings))
        hopeless = not easing.loosens_dose or gives_nothing(gains.get(easing.less_than))
        gains[easing.name] = Gain(easing, "none") if hopeless else dose_gain(inputs, problem, base, easing)
    return in_order(list(gains.values())), problem.settings.why_least_sets


def gives_nothing(gain: Gain | None) -> bool:
    """Whether an easing was found to give nothing; False if it was not tried."""
    return gain is not None and gain.kind == "none" and not gain.stopped


def dose_gain(inputs: Inputs, problem: Problem, base: BestDose, easing: Edit) -> Gain:
    """Solve the first aim of one eased week, unless a bound says that too little is to be had."""
    eased, least = build_problem(easing.apply(inputs)), problem.settings.why_least_sets
    before = {goal.head: goal for goal in problem.heads if not easing.forgotten(f"dose:{goal.head}")}
    value = sum(head_price(problem, base.plan, goal) for goal in before.values())
    program = dose_program(eased)
    if value - linear_bound(Aim(program, program.dose_price, least)) <= least:
        return Gain(easing, "none")
    best = best_dose(eased, base.plan)
    if best is None or value - best.bound <= least:
        return Gain(easing, "none", stopped=best is None)
    if best.stopped and value - best.value <= least:
        return Gain(easing, "none", stopped=True)
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
    """Give the gain of every easing in the second aim, every target being met, and the gain that no other exceeds.

    It is at least how well the plan itself is proven: a gain below that could be the plan's own.
    """
    settings = problem.settings
    floor = max(rest_gap(problem, base), settings.why_least_minutes)
    promises = []
    for easing in easings:
        tick(easing.words, len(easings) + settings.why_solves)
        promises.append(promise(inputs, problem, base, easing))
    ranked = sorted(promises, key=lambda one: -one.most)
    open_ones = [one for one in ranked if one.most > floor]
    gains = [Gain(one.easing, "none") for one in ranked if one.most <= floor]
    tried, left = open_ones[: settings.why_solves], open_ones[settings.why_solves :]
    for one in tried:
        tick(one.easing.words, len(easings) + len(tried))
        gains.append(rest_gain(problem, base, one, floor))
    gains += [Gain(one.easing, "at most", priced_minutes=one.most) for one in left]
    return in_order(gains), floor


def promise(inputs: Inputs, problem: Problem, base: Solved, easing: Edit) -> Promise:
    """Bound what an easing can give: no plan within the tolerance of a dose that can be had is below the linear bound."""
    eased = build_problem(easing.apply(inputs))
    program, forgotten = (
        build(eased),
        [miss.price for miss in misses(problem, base.plan) if easing.forgotten(miss.goal)],
    )
    value = rest_value(problem, base.plan) - sum(forgotten)
    held = hold(program.dose_price, base.dose_best + dose_room(eased))
    return Promise(easing, eased, value, value - linear_bound(Aim(program, program.rest_price, 0.0, (held,))))


def rest_gain(problem: Problem, base: Solved, promised: Promise, floor: float) -> Gain:
    """Solve one eased week whole. Where that takes away what the dose needs, a cheaper week is no gain."""
    easing, eased, value, settings = promised.easing, promised.eased, promised.value, problem.settings
    solved = solve_week(eased)
    if solved is None:
        return Gain(easing, "none", stopped=True)
    gained, off = value - rest_value(eased, solved.plan), rest_gap(eased, solved)
    too_little = gained + off <= floor or (solved.stopped and gained <= floor)
    if too_little or solved.dose_best > base.dose_best + settings.dose_gap_sets:
        return Gain(easing, "none", stopped=solved.stopped and gained + off > floor)
    return Gain(
        easing,
        "exact",
        priced_minutes=gained,
        minutes=minutes_of(problem, base.plan) - minutes_of(eased, solved.plan),
        within=max(rest_gap(problem, base), off),
        stopped=solved.stopped,
    )


def rest_gap(problem: Problem, solved: Solved) -> float:
    """Minutes' worth by which some week could be better than a plan in the second aim, as far as it is proven."""
    return max(0.0, rest_value(problem, solved.plan) - solved.rest_bound)


def minutes_of(problem: Problem, plan: Plan) -> float:
    """Minutes of training a week, general warm-ups left out."""
    return sum(seconds_used(problem, plan, session.id) for session in problem.sessions) / 60


def in_order(gains: Sequence[Gain]) -> list[Gain]:
    """Sort by gain: dose first, then priced minutes; what was solved before what is only bounded."""
    rank = {"exact": 0, "at most": 1, "none": 2}
    return sorted(gains, key=lambda one: (rank[one.kind], -one.missed_sets, -one.priced_minutes))
