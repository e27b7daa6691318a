"""Every plan of a small week, by counting: the slowest and plainest way to an optimum."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from planner.document import Plan
from planner.model.aims import change_price, dose_room, dose_value, rest_value
from planner.model.problem import Problem, dose_of


def every_plan(problem: Problem) -> Iterator[Plan]:
    """All plans that keep the hard limits, whatever they are worth."""
    pairs, counts = [], []
    for candidate in problem.candidates:
        for session in problem.sessions:
            options = problem.choices(candidate.key, session)
            pinned = (candidate.key, session.id) in problem.pins
            if options:
                pairs.append((candidate.key, session.id))
                counts.append(options if pinned else (0, *options))
    for chosen in product(*counts):
        plan = {pair: sets for pair, sets in zip(pairs, chosen, strict=True) if sets}
        if keeps_limits(problem, plan):
            yield plan


def keeps_limits(problem: Problem, plan: Plan) -> bool:
    """Time, exercises, joints and the hard cap, summed here; what was trained stands."""
    settings, trained = problem.settings, problem.trained
    for session in problem.sessions:
        here = {key: sets for (key, day), sets in plan.items() if day == session.id}
        if session.frozen:
            continue
        if sum(problem.candidate(key).seconds(sets) for key, sets in here.items()) > session.seconds:
            return False
        if len(here) > settings.exercises_per_session:
            return False
        if any(
            dose_of(problem, plan, goal.head, session.id) > settings.session_hard_cap_sets
            for goal in problem.heads
        ):
            return False
    for budget in problem.joints:
        room = max(0.0, budget.allowed - budget.elsewhere, grade_sets(problem, trained, budget.region))
        if grade_sets(problem, plan, budget.region) > room:
            return False
    most = max(settings.exercises_per_week, len({key for key, _ in trained}))
    return len({key for key, _ in plan}) <= most


def grade_sets(problem: Problem, plan: Plan, region: str) -> float:
    return sum(problem.candidate(key).grades.get(region, 0) * sets for (key, _), sets in plan.items())


def least_by_counting(problem: Problem) -> tuple[float, float, float]:
    """Dose, change and care of the best plan: within the tolerance of the best dose, least change, then care."""
    plans = list(every_plan(problem))
    best = min(dose_value(problem, plan) for plan in plans)
    near = [plan for plan in plans if dose_value(problem, plan) <= best + dose_room(problem) + 1e-9]
    least = min(change_price(problem, plan) for plan in near)
    care = min(
        rest_value(problem, plan) - least for plan in near if change_price(problem, plan) <= least + 1e-9
    )
    return best, least, care
