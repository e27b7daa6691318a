"""A cautious week from what is asked to its document, with the plain week beside it."""

from __future__ import annotations

from planner.document import Caution, Proof, WeekDocument
from planner.method import CautiousSettings
from planner.model.aims import rest_value
from planner.model.problem import Problem
from planner.solve.solved import Solved
from planner.week.cautious.draws import JUDGED_ON, PLANNED_ON, draw
from planner.week.cautious.judge import Judge, plain_blocks
from planner.week.cautious.solve import Cautious, cautious_week
from planner.week.cautious.told import require_own_week
from planner.week.plan import Asked, document_of, solve_asked, sureness
from planner.week.proven import proof


def plan_cautious(asked: Asked, level: float, settings: CautiousSettings | None = None) -> WeekDocument:
    """Plan the week that is asked for cautiously; where nothing is left to train it is the plain, empty week.

    Raises FaultyInput (the week belongs to a block), NoWeekPossible, SolverFault.
    """
    settings = settings or CautiousSettings()
    require_own_week(asked.week, asked.inputs.block)
    problem, plain = solve_asked(asked.inputs)
    if not problem.heads or not problem.anything_needed:
        return document_of(asked, problem, plain)
    draws = draw(
        asked.inputs, asked.pooled, problem, settings.cautious_draws, settings.cautious_seed, PLANNED_ON
    )
    found = cautious_week(problem, draws, level, plain.plan, settings)
    sure = sureness(asked, plain.plan), sureness(asked, found.plan)
    week = asked.inputs.week
    others = draw(asked.inputs, asked.pooled, problem, week.draws, week.seed, JUDGED_ON)
    judge = Judge(asked, problem, others, level)
    caution = Caution(
        level=level,
        draws=settings.cautious_draws,
        seed=settings.cautious_seed,
        judged_draws=week.draws,
        judged_seed=week.seed,
        plain=judge.figures(plain.plan, found.plain),
        cautious=judge.figures(found.plan, found.value),
        heads=judge.heads(plain.plan, found.plan, sure),
        plain_blocks=plain_blocks(asked, problem, plain.plan),
    )
    document = document_of(asked, problem, as_solved(plain, found), sure[1])
    status = "stopped" if found.stopped else "proven"
    return document.model_copy(
        update={"cautious": caution, "proof": proofs(problem, found), "status": status}
    )


def as_solved(plain: Solved, found: Cautious) -> Solved:
    """Give a cautious plan as a solved week; its dose is not the best, and is not said to be."""
    return Solved(
        plan=found.plan,
        dose_best=plain.dose_best,
        dose_bound=plain.dose_bound,
        rest_bound=found.rest_bound,
        dose_seconds=0.0,
        rest_seconds=0.0,
        stopped=found.stopped,
    )


def proofs(problem: Problem, found: Cautious) -> tuple[Proof, Proof]:
    """State value, bound and gap of the two aims that the week was solved for, of the plan as printed."""
    rest = rest_value(problem, found.plan)
    return (
        proof("shortfall", found.value, found.bound, "missed sets", found.seconds[0]),
        proof("rest", rest, found.rest_bound, "priced minutes", found.seconds[1]),
    )
