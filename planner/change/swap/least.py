"""The plan that changes least, and among such plans the best: dose, then change, then care, each solved alone.

A plan that changes little holds no block that changes much by itself. So where a plan of the dose is known, only
changes below its own are looked for, over the few blocks that can be part of them. Where none is, the search looks at
changes up to a small price first and doubles it until a plan is found. What was searched in vain is proven.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.document import Plan
from planner.errors import SolverFault
from planner.model.aims import build, dose_room
from planner.model.change import change_price, change_terms, exercise_change
from planner.model.problem import Problem
from planner.model.program import INFINITE, Program, Row, Terms
from planner.plain import ROUNDING
from planner.solve.solved import Solved
from planner.week.best_dose import BestDose, dose_program

if TYPE_CHECKING:
    from planner.solve.highs import Answer

STEP = 0.4  # of the lowest price of change: two changes at our prices differ by half of it at least


def least_change(problem: Problem, best: BestDose, known: Plan | None = None) -> Solved:
    """Solve a problem with a plan in force whose best dose is known; `known`: some plan within its tolerance.

    `rest_bound` of the result holds among plans within the tolerance of the best dose that change no more.
    Raises SolverFault if a stop left no plan.
    """
    change, stopped = smallest_change(problem, best, known)
    settings, program = problem.settings, build(problem)
    answer, plan = search(program, program.rest_price, best, change + ROUNDING, settings.rest_gap_minutes)
    if answer.values is None:
        raise SolverFault("The search for the week that changes least was stopped before it found one.")
    return Solved(
        plan=plan,
        dose_best=best.value,
        dose_bound=best.bound,
        rest_bound=answer.bound,
        dose_seconds=0.0,
        rest_seconds=answer.seconds,
        stopped=stopped or best.stopped or was_stopped(answer),
    )


def smallest_change(problem: Problem, best: BestDose, known: Plan | None = None) -> tuple[float, bool]:
    """Give the smallest price of change that the best dose allows (priced minutes), and whether a stop leaves a doubt.

    With a known plan, only one that changes less by a step is looked for; to find none proves the known one's price.
    """
    settings, program = problem.settings, dose_program(problem)
    step = STEP * min(settings.price_moved_set, settings.price_exchanged)
    terms, empty = change_terms(program), change_price(problem, {})
    if known is not None:
        price = change_price(problem, known)
        answer, _ = search(program, terms, best, price - step, step)
        return (price if answer.values is None else empty + answer.value), was_stopped(answer)
    most, stopped = settings.price_moved_set * settings.smallest_block_sets, False
    while True:
        whole = most >= empty + largest_change(program)
        answer, _ = search(program, terms, best, INFINITE if whole else most, step)
        stopped = stopped or was_stopped(answer)
        if answer.values is not None:
            return empty + answer.value, stopped
        if whole:
            raise SolverFault("The search for the smallest change was stopped before it found a plan.")
        most *= 2


def search(
    program: Program, objective: Terms, best: BestDose, most: float, gap: float
) -> tuple[Answer, Plan]:
    """Minimize an objective over plans that hold the dose and whose change is priced at `most` at most."""
    from planner.solve.highs import Stops
    from planner.solve.integer import over_blocks, plan_of_blocks

    problem, settings = program.problem, program.problem.settings
    model = over_blocks(program, columns_within(program, most))
    dose = best.value + dose_room(problem)
    model.add_row(Row("hold", program.dose_price, -INFINITE, dose, "missed sets"))
    if most < INFINITE:
        high = most - change_price(problem, {})
        model.add_row(Row("change", change_terms(program), -INFINITE, high, "priced minutes"))
    stops = Stops(gap, settings.node_budget, settings.emergency_seconds, quick=True)
    answer = model.minimize(objective, stops)
    return answer, plan_of_blocks(program, model.point(answer))


def columns_within(program: Program, most: float) -> set[int]:
    """Block columns that change no more than `most` by themselves."""
    settings, before = program.problem.settings, program.problem.in_force or {}
    return {
        column
        for (key, day), by_count in program.blocks.items()
        for sets, column in by_count.items()
        if settings.price_moved_set * abs(sets - before.get((key, day), 0))
        + max(0.0, exercise_change(program.problem, key))
        <= most + ROUNDING
    }


def largest_change(program: Program) -> float:
    """An upper bound of what any plan changes beyond an empty week: every block at its largest, every exercise new."""
    return sum(max(0.0, price) for price in change_terms(program).values())


def was_stopped(answer: Answer) -> bool:
    """Whether a budget cut a search short."""
    from planner.solve.highs import Ending

    return answer.ending in (Ending.NODES, Ending.SECONDS)
