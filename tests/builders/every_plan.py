"""Every plan of a small week, by counting: the slowest and plainest way to an optimum."""

from itertools import product

from planner.model.aims import dose_room, dose_value, rest_value
from planner.model.pairs import seconds_saved
from planner.model.problem import dose_of, exercises_in


def every_plan(problem):
    """All plans that keep the hard limits, whatever they are worth."""
    pairs = [(one.key, day) for one in problem.candidates for day in problem.sessions]
    pairs = [(key, day) for key, day in pairs if problem.choices(key, day)]
    counts = [problem.choices(key, day) + (0,) * ((key, day.id) not in problem.pins) for key, day in pairs]
    for chosen in product(*counts):
        plan = {(key, day.id): sets for (key, day), sets in zip(pairs, chosen, strict=True) if sets}
        if keeps_limits(problem, plan):
            yield plan


def keeps_limits(problem, plan):
    """Time, exercises, caps, joints and trapezius, summed here; what was trained stands."""
    settings, trained = problem.settings, problem.trained
    for session in problem.open_sessions:
        here = {key: sets for (key, day), sets in plan.items() if day == session.id}
        seconds = sum(problem.by_key[key].seconds(sets) for key, sets in here.items())
        doses = [dose_of(problem, plan, goal.head, session.id) for goal in problem.heads]
        if (
            seconds - seconds_saved(problem, plan, session.id) > session.seconds
            or len(here) > settings.exercises_per_session
            or max(doses) > settings.session_hard_cap_sets
        ):
            return False
    for budget in problem.joints:
        room = max(0.0, budget.allowed - budget.elsewhere, stress(problem, trained, budget.region))
        if stress(problem, plan, budget.region) > room:
            return False
    if problem.quiet_trapezius and loud(problem, plan) > max(0.0, loud(problem, trained)) + 1e-9:
        return False
    for key, most in problem.capped.items():
        pinned = sum(sets for (name, _), sets in problem.pins.items() if name == key)
        if sum(sets for (name, _), sets in plan.items() if name == key) > max(most, pinned):
            return False
    return len(exercises_in(plan)) <= max(settings.exercises_per_week, len(exercises_in(trained)))


def stress(problem, plan, region):
    return sum(problem.by_key[key].grades.get(region, 0) * sets for (key, _), sets in plan.items())


def loud(problem, plan):
    level = problem.settings.trapezius_level
    return sum((problem.by_key[key].trapezius - level) * sets for (key, _), sets in plan.items())


def least_by_counting(problem):
    """Best dose, and the least rest of all plans within the tolerance of it."""
    plans = list(every_plan(problem))
    best = min(dose_value(problem, plan) for plan in plans)
    near = [plan for plan in plans if dose_value(problem, plan) <= best + dose_room(problem) + 1e-9]
    return best, min(rest_value(problem, plan) for plan in near)
