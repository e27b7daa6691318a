"""Change: what a new plan moves in the plan in force, which a swap keeps as small as it can."""

from __future__ import annotations

from planner.week.problem import Plan, Problem
from planner.week.program import Program, Terms, add


def change_rows(program: Program) -> None:
    """moved[e,d] ≥ |x[e,d] − x'[e,d]|, sets; gone[e] ≥ z'[e] − z[e], exercises; x', z' of the plan in force.

    Only where there is a plan in force. An exercise that is exchanged costs more than sets that move.
    """
    problem, before = program.problem, program.problem.in_force
    if before is None:
        return
    for key, day in sorted(set(program.blocks) | {pair for pair in before if pair in program.blocks}):
        was = before.get((key, day), 0)
        moved = program.miss(f"moved:{key}:{day}", problem.settings.price_moved_set)
        program.row(f"fewer:{key}:{day}", add(program.sets(key, day), {moved: 1.0}), low=was, unit="sets")
        program.row(f"more:{key}:{day}", add(program.sets(key, day), {moved: -1.0}), high=was, unit="sets")
    for key in sorted({key for key, _ in before} & set(program.used)):
        gone: Terms = {program.miss(f"gone:{key}", problem.settings.price_exchanged): 1.0}
        program.row(f"gone:{key}", add(gone, {program.used[key]: 1.0}), low=1, unit="exercises")


def sets_moved(problem: Problem, plan: Plan) -> int:
    """Sets by which a plan differs from the plan in force, over all pairs that can still be planned."""
    before = problem.in_force or {}
    pairs = {(key, day) for key, day in set(plan) | set(before) if problem.can_hold(key, day)}
    return sum(abs(plan.get(pair, 0) - before.get(pair, 0)) for pair in pairs)


def exercises_gone(problem: Problem, plan: Plan) -> int:
    """Exercises of the plan in force that could still be planned and are not."""
    before = {key for key, day in problem.in_force or {}}
    could = {key for key in before if any(problem.can_hold(key, session.id) for session in problem.sessions)}
    return len(could - {key for key, _ in plan})


def change_price(problem: Problem, plan: Plan) -> float:
    """Price of the change, in priced minutes; 0 where no plan is in force."""
    if problem.in_force is None:
        return 0.0
    settings = problem.settings
    return settings.price_moved_set * sets_moved(problem, plan) + settings.price_exchanged * exercises_gone(
        problem, plan
    )
