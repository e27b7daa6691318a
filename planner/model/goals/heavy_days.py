"""Heavy days: two heavy days of a head do not stand next to each other, over the week's end too."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from planner.athlete.brief import DAYS
from planner.document import Plan
from planner.model.goals.missing import Miss, miss
from planner.model.problem import Problem, SessionKind, dose_of
from planner.model.program import Program, add
from planner.plain import ROUNDING


def rows(program: Program) -> None:
    """Σe c[e,h]·x[e,d] ≤ 6 + 18·heavy[h,d] and heavy[h,d] + heavy[h,d'] ≤ 1 + miss for neighbouring days d, d'.

    Direct sets a head and session; 18 brings a heavy day up to the hard cap of 24, or to what was trained already.
    """
    settings, pairs = program.problem.settings, neighbours(program.problem)
    if not pairs:
        return
    for goal in program.problem.heads:
        heavy: dict[str, int] = {}
        for session in {one.id: one for pair in pairs for one in pair}.values():
            column = heavy[session.id] = program.variable(f"heavy:{goal.head}:{session.id}", 0, 1, whole=True)
            trained = dose_of(program.problem, program.problem.trained, goal.head, session.id)
            more = max(0.0, max(settings.session_hard_cap_sets, trained) - settings.heavy_day_sets)
            terms = add(program.dose(goal.head, session.id), {column: -more})
            name = f"heavy:{goal.head}:{session.id}"
            program.row(name, terms, high=settings.heavy_day_sets, unit="direct sets")
        for first, second in pairs:
            name = f"heavy_days:{goal.head}:{first.id}-{second.id}"
            column = program.miss(name, settings.price_heavy_days)
            terms = add({heavy[first.id]: 1.0, heavy[second.id]: 1.0}, {column: -1.0})
            program.row(name, terms, high=1, unit="days")


def neighbours(problem: Problem) -> list[tuple[SessionKind, SessionKind]]:
    """Pairs of sessions on neighbouring days, Sunday and Monday included."""
    return [
        (first, second)
        for first, second in combinations(problem.sessions, 2)
        if (DAYS.index(second.day) - DAYS.index(first.day)) % 7 in (1, 6)
    ]


def missed(problem: Problem, plan: Plan) -> Iterator[Miss]:
    """Name each pair of neighbouring heavy days."""
    settings = problem.settings
    for goal in problem.heads:
        for first, second in neighbours(problem):
            heavy = [
                dose_of(problem, plan, goal.head, session.id) > settings.heavy_day_sets + ROUNDING
                for session in (first, second)
            ]
            name = f"heavy_days:{goal.head}:{first.id}-{second.id}"
            yield from miss(name, float(all(heavy)), "pairs", settings.price_heavy_days)
