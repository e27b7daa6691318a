"""Cautious weeks: the dose of the bad draws is made as good as it can be, beside the plain plan.

The first aim is the expected shortfall of the priced missed sets on seeded draws (conditional value at risk), in the
linear form of Rockafellar and Uryasev 2000 and in one piece:

    eta + Σs u[s] / (N·(1 − level)),   u[s] ≥ price of the missed sets in draw s − eta,   u[s] ≥ 0

The second is the rest, among weeks that leave at most half of what the first has gained on the plain plan, and at most half of
the dose tolerance.
"""

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from library.errors import Fault, FaultyInput, as_written
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
from planner.method import CautiousSettings
from planner.model.aims import build, dose_room, rest_value
from planner.model.doses import steps
from planner.model.inputs import Inputs
from planner.model.limits import seconds_used
from planner.model.problem import HeadGoal, Problem, counted_of, dose_of, exercises_in, sets_a_week
from planner.model.program import INFINITE, Program, Terms
from planner.plain import ROUNDING, share_in
from planner.solve.search import Stops, hold, over_blocks, plan_in
from planner.solve.solve import Solved
from planner.week.compose import proof
from planner.week.gather import Asked
from planner.week.interval import Draws, Sureness, draw, draw_doses, expected_shortfall
from planner.week.plan import document_of, solve_asked, sureness

OPTION = "--cautious"
LEVELS = "Write a share between 0 and 1 such as 0.8, or 80%: the worst fifth of the draws is then made better"
PLANNED_ON, JUDGED_ON = 0, 1  # streams: draws of one never meet those of the other, even from one seed
SECONDS_A_MINUTE = 60
AMONG = "weeks of the plain week's exercises and of movements that coaches reach for first"


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
    terms = shortfall_terms(program, draws, level)
    model = over_blocks(program, known_movements(problem, program, plain))
    nodes, seconds = settings.cautious_node_budget, problem.settings.emergency_seconds
    answer, point = model.minimize(terms, Stops(settings.cautious_gap_sets, nodes, seconds, quick=True))
    plans = [*([plan_in(program, point)] if point else []), plain]
    values = [shortfall_of(problem, draws, one, level) for one in plans]
    value, middle = min(values), time.perf_counter()
    most = (value + min(value + dose_room(problem), values[-1])) / 2 + ROUNDING
    model.add_row(hold(terms, most, "shortfall"))
    stops = Stops(problem.settings.rest_gap_minutes, nodes, seconds, quick=True)
    rest, better = model.minimize(program.rest_price, stops)
    known = [one for one, worth in zip(plans, values, strict=True) if worth <= most]
    known += [plan_in(program, better)] if better else []
    best = min(known, key=lambda one: rest_value(problem, one))
    return CautiousWeek(
        plan=best,
        value=shortfall_of(problem, draws, best, level),
        bound=max(0.0, min(answer.bound, value)),
        rest_bound=max(0.0, min(rest.bound, rest_value(problem, best))),
        stopped=answer.stopped or rest.stopped,
        seconds=(middle - began, time.perf_counter() - middle),
    )


def known_movements(problem: Problem, program: Program, plain: Plan) -> frozenset[int]:
    """Columns of the plain plan's exercises and of own movements that coaches reach for first: caution is no jumble of others."""
    keys = exercises_in(plain) | {one.key for one in problem.candidates if one.trains and one.choice == 1}
    return frozenset(at for (key, _), of in program.blocks.items() if key in keys for at in of.values())


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
        proof("shortfall", made.value, made.bound, "missed sets", made.seconds[0], AMONG),
        proof(
            "rest", rest_value(problem, made.plan), made.rest_bound, "priced minutes", made.seconds[1], AMONG
        ),
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
