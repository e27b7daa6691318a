"""Cautious weeks: the dose of the bad draws is made as good as it can be, beside the plain plan.

The first aim is the expected shortfall of the priced missed sets on seeded draws (conditional value at risk), in the
linear form of Rockafellar and Uryasev 2000 and in one piece:

    eta + Σs u[s] / (N·(1 − level)),   u[s] ≥ price of the missed sets in draw s − eta,   u[s] ≥ 0

The second is the rest, among weeks within the dose tolerance of the best. The plain plan is the start.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from library.errors import Fault, FaultyInput
from planner.document import (
    BlockMark,
    Caution,
    CautiousHead,
    HeadBets,
    PlainBlock,
    Plan,
    PlanFigures,
    WeekDocument,
)
from planner.files.text import as_written
from planner.method import CautiousSettings
from planner.model.aims import build, dose_room, rest_value
from planner.model.doses import steps
from planner.model.inputs import Inputs
from planner.model.limits import seconds_used
from planner.model.problem import HeadGoal, Problem, counted_of, dose_of, sets_a_week
from planner.model.program import INFINITE, Program, Terms
from planner.plain import ROUNDING, share_in
from planner.solve.search import Clock, Stops, hold, over_blocks, plan_in
from planner.solve.solve import Solved
from planner.week.compose import proof
from planner.week.gather import Asked
from planner.week.interval import Sureness, draw_doses, draw_ratios, drawn_credit, drawn_keys
from planner.week.plan import document_of, solve_asked, sureness

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

OPTION = "--cautious"
LEVELS = "Write a share between 0 and 1 such as 0.8, or 80%: the worst fifth of the draws is then made better"
DIGITS = 6  # what a last digit does, which differs from machine to machine, must not choose the plan
PLANNED_ON, JUDGED_ON = 0, 1  # streams: draws of one never meet those of the other, even from one seed
SECONDS_A_MINUTE = 60


@dataclass(frozen=True)
class HeadDraws:
    """One head: credits (draws, exercises) in direct sets a set, and what elsewhere gives: own and helping (draws,)."""

    exercises: tuple[str, ...]
    credits: Numbers
    own: Numbers
    helping: Numbers

    def priced(self, problem: Problem, goal: HeadGoal, sets: Mapping[str, int]) -> Numbers:
        """Priced missed sets (draws,) of so many sets a week of each exercise."""
        import numpy as np

        own, helping = self.own.copy(), self.helping.copy()
        for at, key in enumerate(self.exercises):
            total = own if problem.by_key[key].trains == goal.head else helping
            total += self.credits[:, at] * sets.get(key, 0)
        missed = np.maximum(0.0, goal.target - own - np.minimum(goal.aside_most, helping))
        price, start = np.zeros_like(missed), 0.0
        for width, each in steps(problem, goal):
            price += each * np.clip(missed - start, 0.0, width)
            start += width
        weighted: Numbers = price * goal.priority
        return weighted


Draws = Mapping[str, HeadDraws]


def draw(inputs: Inputs, problem: Problem, count: int, seed: int, stream: int) -> dict[str, HeadDraws]:
    """Draw `count` times from this athlete's ratios, heads apart from each other; same seed and stream, same draws."""
    import numpy as np

    elsewhere, drawn = inputs.brief.elsewhere, {}
    for number, goal in enumerate(problem.heads):
        profile = inputs.profiles[goal.head]
        keys = drawn_keys(inputs, goal, {*problem.by_key, *elsewhere})
        head_seed = int(np.random.SeedSequence([seed, stream, number]).generate_state(1)[0])
        ratios = draw_ratios(profile, keys, count, head_seed)
        credits = {key: drawn_credit(inputs, key, ratios[:, at]) for at, key in enumerate(keys)}
        whole, own, helping = np.zeros(count), np.zeros(count), np.zeros(count)
        for key, done in elsewhere.items():
            if key in credits:
                exercise = inputs.library.exercises[key]
                of = whole if done.whole else own if exercise.trains == goal.head else helping
                of += credits[key] * done.sets
        own = whole + np.minimum(own, inputs.week.elsewhere_share * goal.target)
        planned = tuple(key for key in keys if key in problem.by_key)
        table = np.array([credits[key] for key in planned]).reshape(len(planned), count).T
        drawn[goal.head] = HeadDraws(planned, table.round(DIGITS), own.round(DIGITS), helping.round(DIGITS))
    return drawn


def expected_shortfall(values: Numbers, level: float) -> float:
    """Mean of the worst 1 − level of the values; larger is worse. 0 ≤ level < 1; at 0 it is the plain mean."""
    import numpy as np

    worst = (1.0 - level) * len(values)
    ranked = np.sort(values)[::-1]
    whole = min(int(worst), len(values) - 1)
    return float((ranked[:whole].sum() + (worst - whole) * ranked[whole]) / worst)


def shortfall_of(problem: Problem, draws: Draws, plan: Plan, level: float) -> float:
    """Expected shortfall of a plan on draws, in priced missed sets."""
    sets = sets_a_week(plan)
    total = sum(draws[goal.head].priced(problem, goal, sets) for goal in problem.heads)
    return expected_shortfall(total, level)  # type: ignore[arg-type]


def shortfall_terms(program: Program, draws: Draws, level: float) -> Terms:
    """Add the columns and rows of the expected shortfall and give it as terms: eta + Σ u[s] / (N·(1 − level)).

    For every draw s and head h: own + aside + missed parts ≥ T, aside ≤ helping, aside ≤ a·T; u[s] ≥ Σ price − eta.
    """
    problem = program.problem
    count = len(next(iter(draws.values())).own)
    eta = program.variable(0, INFINITE)
    columns = {(key, sets, at) for (key, _), of in program.blocks.items() for sets, at in of.items()}
    terms: Terms = {eta: 1.0}
    for s in range(count):
        excess = program.variable(0, INFINITE)
        terms[excess] = 1.0 / (count * (1.0 - level))
        price: Terms = {excess: 1.0, eta: 1.0}
        for goal in problem.heads:
            drawn = draws[goal.head]
            credit = dict(zip(drawn.exercises, drawn.credits[s].tolist(), strict=True))
            aside = program.variable(0, goal.aside_most)
            dose, helping = {aside: 1.0}, {aside: 1.0}
            for key, sets, column in sorted(columns):
                if value := credit.get(key, 0.0) * sets:
                    if problem.by_key[key].trains == goal.head:
                        dose[column] = value
                    else:
                        helping[column] = -value
            for width, each in steps(problem, goal):
                part = program.variable(0, width)
                dose[part] = 1.0
                price[part] = -each * goal.priority
            low = goal.target - float(drawn.own[s])
            program.row("drawn_dose", dose, low=low, unit="direct sets", about=f"{goal.head}:{s}")
            high = float(drawn.helping[s])
            program.row("drawn_aside", helping, high=high, unit="direct sets", about=f"{goal.head}:{s}")
        program.row("drawn_price", price, low=0, unit="missed sets", about=str(s))
    return terms


@dataclass(frozen=True)
class CautiousWeek:
    """A cautious plan: `value` its expected shortfall on its own draws, `bound` any plan's; the same of the rest."""

    plan: Plan
    value: float
    bound: float
    rest_bound: float
    stopped: bool
    seconds: tuple[float, float]  # of the two aims


def cautious_week(
    problem: Problem, draws: Draws, level: float, plain: Plan, settings: CautiousSettings
) -> CautiousWeek:
    """Minimize the expected shortfall on the draws, then the rest; never worse than the plain plan on them."""
    began, program = time.perf_counter(), build(problem)
    for goal in problem.heads:  # more and more sets would make any dose sure
        most = max(goal.ceiling - goal.elsewhere, dose_of(problem, plain, goal.head))
        program.row(
            "cautious_ceiling", program.dose(goal.head), high=most, unit="direct sets", about=goal.head
        )
    terms, model_gap = shortfall_terms(program, draws, level), settings.cautious_gap_sets
    model, nodes = over_blocks(program), settings.cautious_node_budget
    clock = Clock(problem.settings.emergency_seconds)
    answer, point = model.minimize(terms, Stops(model_gap, nodes, clock.left, quick=True))
    plan = plan_in(program, point) if answer.values is not None else plain
    plain_value = shortfall_of(problem, draws, plain, level)
    if shortfall_of(problem, draws, plan, level) > plain_value:
        plan = plain
    value, middle = shortfall_of(problem, draws, plan, level), time.perf_counter()
    most = min(value + dose_room(problem), plain_value) + ROUNDING
    clock = Clock(problem.settings.emergency_seconds)
    model.add_row(hold(terms, most, "shortfall"))
    gap = problem.settings.rest_gap_minutes
    rest, better = model.minimize(program.rest_price, Stops(gap, nodes, clock.left, quick=True))
    known = [plan, *([plain] if plain_value <= most else [])]
    known += [plan_in(program, better)] if rest.values is not None else []
    best = min(known, key=lambda one: rest_value(problem, one))
    return CautiousWeek(
        plan=best,
        value=shortfall_of(problem, draws, best, level),
        bound=max(0.0, min(answer.bound, value)),
        rest_bound=max(0.0, min(rest.bound, rest_value(problem, best))),
        stopped=answer.stopped or rest.stopped,
        seconds=(middle - began, time.perf_counter() - middle),
    )


def plan_cautious(asked: Asked, level: float, settings: CautiousSettings | None = None) -> WeekDocument:
    """Plan the week that is asked for cautiously; where nothing is left to train it is the plain, empty week.

    Raises FaultyInput (the week belongs to a block), NoWeekPossible, SolverFault.
    """
    settings, inputs = settings or CautiousSettings(), asked.inputs
    require_own_week(asked.week, inputs.block)
    problem, plain = solve_asked(inputs)
    if not problem.heads or not problem.anything_needed:
        return document_of(asked, problem, plain)
    draws = draw(inputs, problem, settings.cautious_draws, settings.cautious_seed, PLANNED_ON)
    made = cautious_week(problem, draws, level, plain.plan, settings)
    plans = plain.plan, made.plan
    sure = [sureness(asked, problem, plan) for plan in plans]
    solved = Solved(made.plan, plain.dose_best, plain.dose_bound, made.rest_bound, stopped=made.stopped)
    proofs = (
        proof("shortfall", made.value, made.bound, "missed sets", made.seconds[0]),
        proof("rest", rest_value(problem, made.plan), made.rest_bound, "priced minutes", made.seconds[1]),
    )
    status = "stopped" if made.stopped else "proven"
    caution = judged(inputs, problem, plans, draws, sure, level, settings)
    document = document_of(asked, problem, solved, sure[1])
    return document.model_copy(update={"cautious": caution, "proof": proofs, "status": status})


def judged(
    inputs: Inputs,
    problem: Problem,
    plans: tuple[Plan, Plan],
    draws: Draws,
    sure: Sequence[Mapping[str, Sureness]],
    level: float,
    settings: CautiousSettings,
) -> Caution:
    """Hold the plain and the cautious plan against each other, on the draws planned on and on others."""
    others = draw(inputs, problem, inputs.week.draws, inputs.week.seed, JUDGED_ON)
    plain, cautious = (
        plan_figures(problem, plan, *(shortfall_of(problem, of, plan, level) for of in (draws, others)))
        for plan in plans
    )
    heads = (
        (
            goal.head,
            [
                bets(inputs, problem, goal, plan, of[goal.head], level)
                for plan, of in zip(plans, sure, strict=True)
            ],
        )
        for goal in problem.heads
    )
    return Caution(
        level=level,
        draws=settings.cautious_draws,
        seed=settings.cautious_seed,
        judged_draws=inputs.week.draws,
        judged_seed=inputs.week.seed,
        plain=plain,
        cautious=cautious,
        heads=tuple(CautiousHead(head=head, plain=one, cautious=other) for head, (one, other) in heads),
        plain_blocks=plain_blocks(inputs, problem, plans[0]),
    )


def plan_figures(problem: Problem, plan: Plan, own: float, others: float) -> PlanFigures:
    """Judge a plan as a whole; its shortfalls on the draws planned on and on others."""
    used = [seconds_used(problem, plan, session.id) for session in problem.sessions]
    warmup = problem.settings.general_warmup_minutes
    return PlanFigures(
        own_shortfall=round(own, 3),
        judged_shortfall=round(others, 3),
        sets=sum(plan.values()),
        exercises=len(sets_a_week(plan)),
        minutes=round(sum(seconds / SECONDS_A_MINUTE + warmup for seconds in used if seconds), 1),
        priced_minutes=round(rest_value(problem, plan), 1),
    )


def bets(
    inputs: Inputs, problem: Problem, goal: HeadGoal, plan: Plan, sure: Sureness, level: float
) -> HeadBets:
    """Judge one head of one plan on the draws of its interval, so that one page says one thing."""
    sets = sets_a_week(plan)
    doses = draw_doses(inputs, goal, sets)
    gives = {key: n * problem.by_key[key].credits.get(goal.head, 0.0) for key, n in sets.items()}
    gives = {key: dose for key, dose in gives.items() if dose > 0}
    largest = max(gives, key=lambda key: gives[key], default="")
    return HeadBets(
        dose=round(counted_of(problem, plan, goal), 3),
        mean=round(float(doses.mean()), 3),
        bad=round(-expected_shortfall(-doses, level), 3),
        chance_floor=round(sure.chance_floor, 4),
        chance_target90=round(sure.chance_target90, 4),
        exercises=len(gives),
        largest=largest,
        largest_share=round(gives[largest] / sum(gives.values()), 4) if gives else 0.0,
    )


def plain_blocks(inputs: Inputs, problem: Problem, plan: Plan) -> tuple[PlainBlock, ...]:
    """List the plain plan, session by session in library order."""
    days, exercises = [one.id for one in problem.sessions], inputs.library.exercises
    ordered = sorted(plan, key=lambda pair: (days.index(pair[1]), problem.by_key[pair[0]].place))
    return tuple(
        PlainBlock(session=day, exercise=key, name=exercises[key].name, sets=plan[key, day])
        for key, day in ordered
    )


def level_of(text: str) -> float:
    """Return the level as a share: 0.8 and 80% are the same. Raises FaultyInput if it is none between 0 and 1."""
    level = share_in(text)
    if not 0 < level < 1:
        raise FaultyInput([Fault(OPTION, "", as_written(text), LEVELS)])
    return level


def require_alone(choices: int, take: str | None) -> None:
    """Raise FaultyInput if near-equal weeks are asked for too: they are near in the plain dose."""
    others = [*([f"--choices {choices}"] if choices > 1 else []), *([f"--take {take}"] if take else [])]
    if others:
        remedy = (
            "Leave one of them out: --choices looks for weeks of nearly the same plain dose, --cautious for one "
            "whose dose is surer"
        )
        raise FaultyInput([Fault(OPTION, "", f"together with {' and '.join(others)}", remedy)])


def require_own_week(week: str, block: BlockMark | None) -> None:
    """Raise FaultyInput if the week belongs to a block."""
    if block is not None:
        read = f"{week} is week {block.number} of the block that begins with {block.first}"
        remedy = "A block keeps its exercises: plan this week without --cautious, or another week with it"
        raise FaultyInput([Fault(OPTION, "", read, remedy)])
