"""Whether a plan that was made before can stay, and what of it can."""

from __future__ import annotations

from planner.document import Plan
from planner.model.aims import dose_room, dose_value, rest_value
from planner.model.problem import Problem
from planner.plain import LAST_DIGITS
from planner.solve.solved import Solved
from planner.week.best_dose import BestDose
from planner.week.holding import Holding


def still_possible(problem: Problem, plan: Plan) -> Plan:
    """Give the part of a plan that can still be trained: on days that are left, with what is there."""
    sessions = {session.id: session for session in problem.sessions}
    known = {candidate.key for candidate in problem.candidates}
    return {
        (key, day): sets
        for (key, day), sets in plan.items()
        if key in known and day in sessions and sets in problem.choices(key, sessions[day])
    }


def can_stay(holding: Holding, plan: Plan, best: BestDose, room: float | None = None) -> bool:
    """Whether a plan breaks nothing and misses at most `room` priced sets more than the best; None: the tolerance."""
    problem = holding.problem
    most = best.value + (dose_room(problem) if room is None else room)
    return dose_value(problem, plan) <= most + LAST_DIGITS and not holding.broken(plan)


def as_solved(problem: Problem, plan: Plan, best: BestDose) -> Solved:
    """Give a plan that stays as a solved problem: no other plan changes as little, so its rest is its own bound."""
    return Solved(
        plan=plan,
        dose_best=best.value,
        dose_bound=best.bound,
        rest_bound=rest_value(problem, plan),
        dose_seconds=0.0,
        rest_seconds=0.0,
        stopped=best.stopped,
    )
