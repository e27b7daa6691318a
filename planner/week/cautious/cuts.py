"""Cuts: the expected shortfall of the dose lies above every tangent plane, so tangents bound it from below."""

from __future__ import annotations

from collections.abc import Mapping

from planner.document import Plan
from planner.model.program import INFINITE, Program, Row, Terms
from planner.week.cautious.draws import Draws, sets_a_week
from planner.week.cautious.shortfall import expected_shortfall, falls, priced, worst_weights

UNIT = "missed sets"
DIGITS = 9  # tangents are rounded, so that no last digit chooses the plan
ROUNDED = 1e-7  # missed sets: and they are lowered by more than the rounding may cost: they stay below the shortfall


class Shortfall:
    """The expected shortfall of a program's weeks on some draws: its value anywhere, its column, its cuts so far."""

    def __init__(self, program: Program, draws: Draws, level: float) -> None:
        self.program = program
        self.draws = draws
        self.level = level
        self.column = program.variable("expected_shortfall", 0, INFINITE)
        self.cuts: list[Row] = []

    @property
    def objective(self) -> Terms:
        """The column alone."""
        return {self.column: 1.0}

    def of(self, plan: Plan) -> float:
        """Expected shortfall of a plan, in priced missed sets."""
        return expected_shortfall(
            priced(self.program.problem, self.draws, sets_a_week(plan)).values, self.level
        )

    def at_most(self, value: float) -> Row:
        """Expected shortfall ≤ value."""
        return Row("shortfall", self.objective, -INFINITE, value, UNIT)

    def cut_at(self, sets: Mapping[str, float]) -> float:
        """Add the tangent plane at so many sets a week of each exercise (parts of sets too); gives the value there.

        column + Σ fall[e]·x[e] ≥ value + Σ fall[e]·sets[e], a true lower bound everywhere, as the shortfall is convex.
        """
        problem = self.program.problem
        there = priced(problem, self.draws, sets)
        weights = worst_weights(there.values, self.level)
        fall: dict[str, float] = {}
        for head, drawn in self.draws.items():
            for key, gained in falls(drawn, weights, there.slopes[head]).items():
                fall[key] = fall.get(key, 0.0) + gained
        value = float(weights @ there.values)
        fall = {key: round(gained, DIGITS) for key, gained in fall.items()}
        low = round(value + sum(fall.get(key, 0.0) * count for key, count in sets.items()), DIGITS) - ROUNDED
        terms: Terms = {self.column: 1.0}
        for (key, _), by_count in self.program.blocks.items():
            for count, column in by_count.items():
                if fall.get(key):
                    terms[column] = fall[key] * count
        self.cuts.append(Row(f"shortfall_cut:{len(self.cuts)}", terms, low, INFINITE, UNIT))
        return value
