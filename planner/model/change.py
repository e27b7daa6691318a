"""Change: what a new plan moves in the plan in force, which a swap keeps as small as it can.

Change comes before everything else in the second aim (DESIGN §3.3: change before care): one set moved costs
more than any minutes, so the aim is "least change, then care" in one objective.
"""

from __future__ import annotations

from planner.document import Plan
from planner.model.problem import Problem
from planner.model.program import Program, Terms, add


def price_change(program: Program) -> None:
    """Price |x[e,d] − x'[e,d]|, sets moved, and |z[e] − z'[e]|, exercises that leave or join; x', z' in force."""
    if program.problem.in_force is not None:
        add(program.rest_price, change_terms(program))
        always = program.variable("empty_week", 1, 1)
        add(program.rest_price, {always: change_price(program.problem, {})})


def change_terms(program: Program) -> Terms:
    """Give the price of change against an empty week's, in priced minutes: it is linear in the columns.

    A block of k sets adds |k − x'| − x' to the sets that an empty week moves, an exercise in use 1 − 2·z' to the
    exercises that it exchanges.
    """
    problem, terms = program.problem, Terms()
    for (key, day), by_count in program.blocks.items():
        for sets, column in by_count.items():
            terms[column] = block_change(problem, key, day, sets)
    for key, column in program.used.items():
        terms[column] = exercise_change(problem, key)
    return terms


def block_change(problem: Problem, key: str, day: str, sets: int) -> float:
    """Price of a block of `sets` sets against no block at all; below 0 where the plan in force has one."""
    was = (problem.in_force or {}).get((key, day), 0)
    return problem.settings.price_moved_set * (abs(sets - was) - was)


def exercise_change(problem: Problem, key: str) -> float:
    """Price of an exercise in use against leaving it out; below 0 where the plan in force uses it."""
    price = problem.settings.price_exchanged
    return -price if key in {name for name, _ in problem.in_force or {}} else price


def sets_moved(problem: Problem, plan: Plan) -> int:
    """Sets by which a plan differs from the plan in force, over all pairs that can still be planned."""
    before = problem.in_force or {}
    pairs = {(key, day) for key, day in set(plan) | set(before) if problem.can_hold(key, day)}
    return sum(abs(plan.get(pair, 0) - before.get(pair, 0)) for pair in pairs)


def exercises_exchanged(problem: Problem, plan: Plan) -> int:
    """Exercises that leave the plan in force though they could stay, or join it."""
    before = {key for key, _ in problem.in_force or {}}
    could = {key for key in before if any(problem.can_hold(key, session.id) for session in problem.sessions)}
    return len(could ^ {key for key, _ in plan})


def change_price(problem: Problem, plan: Plan) -> float:
    """Price of the change, in priced minutes; 0 where no plan is in force."""
    if problem.in_force is None:
        return 0.0
    settings = problem.settings
    moved, exchanged = sets_moved(problem, plan), exercises_exchanged(problem, plan)
    return settings.price_moved_set * moved + settings.price_exchanged * exchanged
