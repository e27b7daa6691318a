"""Dose: each head reaches its target. This is the first aim; its price is counted in missed sets."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import HeadGoal, Problem, dose_of
from planner.model.program import Program, add


def rows(program: Program) -> None:
    """Σ c·x + elsewhere[h] + short[h] ≥ T[h], direct sets a week.

    A missed set costs 1 down to midway to the floor, 2 from there to the floor, 4 below it, times the head's
    priority: short[h] is the sum of three columns with those prices (convex, so they fill in order).
    """
    settings = program.problem.settings
    for goal in program.problem.heads:
        terms = program.dose(goal.head)
        for width, price in steps(program.problem, goal):
            most = 0.0 if goal.must else width
            column = program.variable(f"short:{goal.head}:{price:g}", 0, most)
            add(terms, {column: 1.0})
            add(program.dose_price, {column: price * goal.priority})
            add(program.rest_price, {column: price * goal.priority * settings.price_missed_set})
        program.row(f"dose:{goal.head}", terms, low=goal.target - goal.elsewhere, unit="direct sets")


def steps(problem: Problem, goal: HeadGoal) -> tuple[tuple[float, float], ...]:
    """Widths (direct sets) and prices of the three parts of a shortfall, cheapest first."""
    settings, half = problem.settings, (goal.target - goal.floor) / 2
    return (
        (half, settings.dose_price_near),
        (half, settings.dose_price_low),
        (goal.floor, settings.dose_price_below),
    )


def price(problem: Problem, plan: Plan) -> float:
    """Value of the first aim for a plan: priced missed sets over all heads."""
    return sum(head_price(problem, plan, goal) for goal in problem.heads)


def head_price(problem: Problem, plan: Plan, goal: HeadGoal) -> float:
    """Price one head's shortfall, in missed sets, priority included."""
    left, total = shortfall(problem, plan, goal), 0.0
    for width, each in steps(problem, goal):
        part = min(left, width)
        total, left = total + part * each, left - part
    return total * goal.priority


def shortfall(problem: Problem, plan: Plan, goal: HeadGoal) -> float:
    """Direct sets by which a plan misses a head's target."""
    return max(0.0, goal.target - goal.elsewhere - dose_of(problem, plan, goal.head))


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each head below its target; inside the dose tolerance a miss is priced in the second aim too."""
    for goal in problem.heads:
        by = shortfall(problem, plan, goal)
        each = problem.settings.price_missed_set * head_price(problem, plan, goal) / by if by else 0.0
        yield from miss(f"dose:{goal.head}", by, "direct sets", each)
