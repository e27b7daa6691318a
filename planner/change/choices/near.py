"""Weeks that are nearly as good as the best and share as few exercises with it, and each other, as can be.

No proof is claimed for the difference: the search stops after a small budget of nodes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from planner.document import Plan
from planner.model.aims import build, rest_value
from planner.model.problem import Problem
from planner.model.program import INFINITE, Program, Row, Terms, add
from planner.solve.solved import Solved

DIFFERENT = 0.5  # gap in exercises: a whole one less is found, its place in the library is not fought for


def near_equal_weeks(problem: Problem, first: Solved, count: int) -> list[Plan]:
    """Find up to `count` - 1 further plans, each as far as can be from all before it; fewer if there are no more."""
    program, found = build(problem), [first.plan]
    rows = near_rows(program, first)
    while len(found) < count:
        plan = farthest(program, rows, found)
        if plan is None or any(exercises(plan) == exercises(other) for other in found):
            break
        found.append(plan)
    return found[1:]


def near_rows(program: Program, first: Solved) -> list[Row]:
    """Dose price ≤ best + 0.5 a head, and rest ≤ 1.1 times that of the plan in force."""
    problem, settings = program.problem, program.problem.settings
    dose = first.dose_best + settings.choices_dose_sets * len(problem.heads)
    rest = rest_value(problem, first.plan) * (1 + settings.choices_rest_share)
    return [
        Row("near:dose", program.dose_price, -INFINITE, dose, "missed sets"),
        Row("near:rest", program.rest_price, -INFINITE, rest, "priced minutes"),
    ]


def farthest(program: Program, rows: Sequence[Row], found: Sequence[Plan]) -> Plan | None:
    """Minimize the exercises shared with the plans found so far, each counted as often as it stands in one."""
    from planner.solve.highs import Stops
    from planner.solve.integer import over_blocks, plan_of_blocks

    settings, model = program.problem.settings, over_blocks(program)
    for row in rows:
        model.add_row(row)
    stops = Stops(DIFFERENT, settings.choices_nodes, settings.emergency_seconds)
    start = point_of(program, found[0])
    answer = model.minimize(
        shared(program, found), stops, start=[start.get(number, 0.0) for number in model.numbers]
    )
    return plan_of_blocks(program, model.point(answer)) if answer.values is not None else None


def shared(program: Program, found: Sequence[Plan]) -> Terms:
    """Σ over exercises of how many plans hold them; the rest's price breaks ties."""
    settings = program.problem.settings
    terms: Terms = {at: settings.choices_tie * price for at, price in program.rest_price.items()}
    for key, times in Counter(key for plan in found for key in exercises(plan)).items():
        add(terms, {program.used[key]: float(times)})
    return terms


def point_of(program: Program, plan: Plan) -> dict[int, float]:
    """Give all columns of a plan: its blocks are 1, what follows from them is the cheapest that satisfies the rows."""
    from planner.solve.highs import Stops
    from planner.solve.integer import over_blocks

    chosen = {program.blocks[pair][sets] for pair, sets in plan.items()}
    model = over_blocks(program, chosen)
    for column in sorted(chosen):
        model.add_row(Row(f"start:{column}", {column: 1.0}, 1, 1, "blocks"))
    settings = program.problem.settings
    return model.point(
        model.minimize(program.rest_price, Stops(0.0, settings.node_budget, settings.emergency_seconds))
    )


def exercises(plan: Plan) -> frozenset[str]:
    """Exercises of a plan."""
    return frozenset(key for key, _ in plan)


def names() -> Iterator[str]:
    """Names of the weeks, in order: A is the first."""
    yield from "ABCDEFGHI"
