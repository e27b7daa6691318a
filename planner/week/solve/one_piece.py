"""The one-piece program: all sessions at once, solved by HiGHS through PuLP. Slow and plain; it is the check."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pulp

from planner.week.aims import build, dose_room
from planner.week.problem import Plan, Problem
from planner.week.program import INFINITE, Program, Terms
from planner.week.solve.highs import Answer, Ending, Stops, solve


@dataclass(frozen=True)
class Solved:
    """A plan and what is proven: bounds of both aims (missed sets; priced minutes), seconds, and if stopped."""

    plan: Plan
    dose_best: float
    dose_bound: float
    rest_bound: float
    dose_seconds: float
    rest_seconds: float
    stopped: bool


class Pulp:
    """A program as PuLP sees it: built once, with running numbers for names, minimized for one aim at a time."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.lp = pulp.LpProblem("week", pulp.LpMinimize)
        self.columns = [
            pulp.LpVariable(
                f"v{number:06d}",
                one.low,
                None if one.high == INFINITE else one.high,
                pulp.LpInteger if one.whole else pulp.LpContinuous,
            )
            for number, one in enumerate(program.variables)
        ]
        self.lp.addVariables(self.columns)
        for number, row in enumerate(program.rows):
            self.add_row(f"r{number:06d}", row.terms, row.low, row.high)

    def add_row(self, name: str, terms: Terms, low: float, high: float) -> None:
        """Add low ≤ Σ terms ≤ high."""
        expression = pulp.LpAffineExpression((self.columns[column], value) for column, value in terms.items())
        if low > -INFINITE:
            self.lp.addConstraint(pulp.LpConstraint(expression, pulp.LpConstraintGE, f"{name}l", low))
        if high < INFINITE:
            self.lp.addConstraint(pulp.LpConstraint(expression, pulp.LpConstraintLE, f"{name}h", high))

    def minimize(self, terms: Terms, stops: Stops, start: Sequence[float] | None = None) -> Answer:
        """Minimize Σ terms."""
        self.lp.setObjective(
            pulp.LpAffineExpression((self.columns[column], value) for column, value in terms.items())
        )
        return solve(self.lp, stops, start=start)


def solve_one_piece(problem: Problem) -> Solved | None:
    """Minimize the dose price, then the rest among plans within the tolerance; None: the limits clash.

    Raises SolverFault if a stop left no plan at all.
    """
    settings = problem.settings
    program = build(problem)
    model = Pulp(program)
    dose = model.minimize(
        program.dose_price,
        Stops(settings.dose_gap_sets / 2, settings.node_budget, settings.emergency_seconds),
    )
    if dose.ending is Ending.INFEASIBLE or dose.values is None:
        return None
    model.add_row("hold", program.dose_price, -INFINITE, dose.value + dose_room(problem))
    rest = model.minimize(
        program.rest_price,
        Stops(settings.rest_gap_minutes, settings.node_budget, settings.emergency_seconds),
        start=dose.values,
    )
    best = rest if rest.values is not None else dose
    return Solved(
        plan=plan_from(program, best.values or ()),
        dose_best=dose.value,
        dose_bound=max(0.0, dose.bound),
        rest_bound=rest.bound,
        dose_seconds=dose.seconds,
        rest_seconds=rest.seconds,
        stopped=Ending.SECONDS in (dose.ending, rest.ending) or Ending.NODES in (dose.ending, rest.ending),
    )


def plan_from(program: Program, values: Sequence[float]) -> Plan:
    """Read the sets of each chosen block out of the columns."""
    return {
        pair: sets
        for pair, by_count in program.blocks.items()
        for sets, column in by_count.items()
        if values[column] > 0.5
    }
