"""The plan that changes least, and among such plans the best: dose, then change, then care, each solved alone.

A plan that changes little holds no block that changes much by itself. So where a plan of the dose is known, only
changes below its own are looked for, over the few blocks that can be part of them. Where none is, the search looks at
changes up to a small price first and doubles it until a plan is found. What was searched in vain is proven.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

from planner.document import Plan
from planner.errors import NoWeekPossible, SolverFault
from planner.model.aims import (
    block_change,
    build,
    change_price,
    change_terms,
    dose_program,
    dose_room,
    exchange_price,
)
from planner.model.problem import Problem
from planner.model.program import INFINITE, Program, Row, Terms
from planner.plain import ROUNDING
from planner.solve.search import Answer, Clock, Stops, hold, over_blocks, plan_in
from planner.solve.solve import BestDose, Solved, solve_week

STEP = 0.4  # of the lowest price of change: two changes at our prices differ by half of it at least
AMONG = "plans of this dose that change no more"
FRESH = "The search for the smallest change found none in its time: the week is planned anew, as near as it can be."


def least_change(problem: Problem, best: BestDose, known: Plan | None = None) -> Solved:
    """Solve a problem with a plan in force whose best dose is known; `known`: some plan within its tolerance.

    `rest_bound` of the result holds among plans within the tolerance of the best dose that change no more. Where a stop
    left no plan, the week is planned anew: then the bound holds among all plans, and `among` is empty.
    """
    clock = Clock(problem.settings.emergency_seconds)
    change, nearest, stopped = smallest_change(problem, best, clock, known)
    if nearest is None:
        return anew(problem, best)
    settings, program = problem.settings, build(problem)
    answer, plan = search(
        program, program.rest_price, best, change + ROUNDING, settings.rest_gap_minutes, clock
    )
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


def smallest_change(
    problem: Problem, best: BestDose, clock: Clock, known: Plan | None = None
) -> tuple[float, Plan | None, bool]:
    """Give the smallest price of change that the best dose allows, a plan of it, and whether a stop leaves a doubt.

    With a known plan, only one that changes less by a step is looked for; to find none proves the known one's price.
    No plan: a stop came before any was seen.
    """
    settings, program = problem.settings, dose_program(problem)
    step = STEP * min(settings.price_moved_set, settings.price_exchanged)
    terms, empty = change_terms(program), change_price(problem, {})
    if known is not None:
        price = change_price(problem, known)
        answer, plan = search(program, terms, best, price - step, step, clock)
        changed = (price, known) if answer.values is None else (empty + answer.value, plan)
        return *changed, answer.stopped
    most, stopped = settings.price_moved_set * settings.smallest_block_sets, False
    while True:
        whole = most >= empty + sum(max(0.0, price) for price in terms.values())
        answer, plan = search(program, terms, best, INFINITE if whole else most, step, clock)
        stopped = stopped or answer.stopped
        if answer.values is not None:
            return empty + answer.value, plan, stopped
        if whole:
            return INFINITE, None, True
        most *= 2


def search(
    program: Program, objective: Terms, best: BestDose, most: float, gap: float, clock: Clock
) -> tuple[Answer, Plan]:
    """Minimize an objective over plans that hold the dose and whose change is priced at `most` at most."""
    problem = program.problem
    model = over_blocks(program, columns_within(program, most))
    model.add_row(hold(program.dose_price, best.value + dose_room(problem)))
    if most < INFINITE:
        model.add_row(Row("change", change_terms(program), high=most - change_price(problem, {})))
    stops = Stops(gap, problem.settings.node_budget, clock.left, quick=True)
    answer, point = model.minimize(objective, stops)
    return answer, plan_in(program, point)


def columns_within(program: Program, most: float) -> set[int]:
    """Block columns that change no more than `most` by themselves."""
    problem, before = program.problem, program.problem.in_force or {}
    unmoved = problem.settings.price_moved_set
    return {
        column
        for pair, by_count in program.blocks.items()
        for sets, column in by_count.items()
        if block_change(problem, pair, sets)
        + unmoved * before.get(pair, 0)
        + max(0.0, exchange_price(problem, pair[0]))
        <= most + ROUNDING
    }
