"""A search over the exercises of the good weeks that are known: what exchanges one by one do not find.

It proves nothing: it solves the rest over few exercises and under the tangents so far, mends what the tangents
overlooked, and keeps what is cheaper than the best week known.
"""

from __future__ import annotations

from collections.abc import Iterable

from planner.document import Plan
from planner.model.aims import rest_value
from planner.model.program import INFINITE, Row
from planner.solve.highs import Stops
from planner.solve.integer import over_blocks, plan_of_blocks
from planner.week.cautious.descent import Descent
from planner.week.cautious.draws import sets_a_week


def cheaper_week(descent: Descent, known: Iterable[Plan], best: Plan, most: float) -> Plan:
    """Give the cheapest week found of at most this expected shortfall, made of exercises of the `known` weeks."""
    keys = {key for plan in known for key, _ in plan}
    for _ in range(descent.settings.cautious_likely_rounds):
        there = under_tangents(descent, keys, rest_value(descent.problem, best), most)
        if there is None:
            break
        descent.shortfall.cut_at(sets_a_week(there))
        mended = descent.mended(there, most)
        if mended is not None:
            best = min(best, mended, key=lambda plan: rest_value(descent.problem, plan))
    return best


def under_tangents(descent: Descent, keys: set[str], below: float, most: float) -> Plan | None:
    """Minimize the rest over these exercises, where the tangents so far allow it; None: nothing cheaper was found."""
    program, settings = descent.program, descent.problem.settings
    kept = {
        column for (key, _), by_count in program.blocks.items() for column in by_count.values() if key in keys
    }
    model, gap = over_blocks(program, kept), settings.rest_gap_minutes
    cheaper = Row("cheaper", program.rest_price, -INFINITE, below - gap, "priced minutes")
    for row in (*descent.shortfall.cuts, descent.shortfall.at_most(most), cheaper):
        model.add_row(row)
    nodes = descent.settings.cautious_likely_nodes
    answer = model.minimize(program.rest_price, Stops(gap, nodes, settings.emergency_seconds))
    return None if answer.values is None else plan_of_blocks(program, model.point(answer))
