"""The integer program as PuLP sees it, and the search for one aim: the whole week at once, then around the best plan."""

from __future__ import annotations

import time
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

import pulp

from planner.document import Plan
from planner.method import SEARCH
from planner.model.program import INFINITE, Program, Row, Terms, Variable
from planner.plain import ROUNDING
from planner.solve.solver import Answer, Stops, solve

CHOSEN = 0.5  # a whole column above it is 1
Point = Mapping[int, float]


@dataclass(frozen=True)
class Aim:
    """What is minimized over a program, what holds beside its rows, and the gap at which it is proven."""

    program: Program
    objective: Terms
    gap: float
    holds: tuple[Row, ...] = ()


@dataclass
class Found:
    """The best point known, its value, the bound, and whether a stop cut the search short.

    No point and an infinite bound: there is no plan.
    """

    point: Point | None
    value: float
    bound: float
    stopped: bool


@dataclass(frozen=True)
class Clock:
    """The seconds of one aim as a whole: every single search gets what is left of them."""

    seconds: float
    began: float = field(default_factory=time.perf_counter)

    @property
    def left(self) -> float:
        """Seconds left, at least 0."""
        return max(0.0, self.seconds - (time.perf_counter() - self.began))


class IntegerProgram:
    """Columns and rows handed to PuLP once, with running numbers for names; minimized for one aim at a time."""

    def __init__(self, variables: Mapping[int, Variable], rows: Iterable[Row]) -> None:
        self.lp = pulp.LpProblem("week", pulp.LpMinimize)
        self.row_count = 0
        self.numbers = list(variables)
        self.columns = {
            number: self.lp.add_variable(
                f"v{place:06d}",
                column.low,
                None if column.high == INFINITE else column.high,
                pulp.LpInteger if column.whole else pulp.LpContinuous,
            )
            for place, (number, column) in enumerate(variables.items())
        }
        self.lp.addVariables(self.columns.values())
        for row in rows:
            self.add_row(row)

    def add_row(self, row: Row) -> None:
        """Add low ≤ Σ terms ≤ high, over the columns that are here; a row that these cannot break is left out."""
        terms = {at: value for at, value in row.terms.items() if at in self.columns}
        if not can_be_broken(terms, row.low, row.high):
            return
        self.row_count += 1
        name, expression = f"r{self.row_count:06d}", self._expression(terms)
        if row.low > -INFINITE:
            self.lp.addConstraint(pulp.LpConstraint(expression, pulp.LpConstraintGE, f"{name}l", row.low))
        if row.high < INFINITE:
            self.lp.addConstraint(pulp.LpConstraint(expression, pulp.LpConstraintLE, f"{name}h", row.high))

    def _expression(self, terms: Terms) -> pulp.LpAffineExpression:
        columns = self.columns
        return pulp.LpAffineExpression([(columns[at], value) for at, value in terms.items() if at in columns])

    def minimize(
        self, terms: Terms, stops: Stops, start: Point | None = None
    ) -> tuple[Answer, dict[int, float]]:
        """Minimize Σ terms: the answer, and its point by column number (empty if none was found)."""
        self.lp.setObjective(self._expression(terms))
        values = None if start is None else [start.get(number, 0.0) for number in self.numbers]
        answer = solve(self.lp, stops, values)
        return answer, dict(zip(self.numbers, answer.values or (), strict=False))


def over_blocks(
    program: Program, kept: Collection[int] | None = None, holds: Iterable[Row] = ()
) -> IntegerProgram:
    """Give the program, or what is left of it if only some block columns are kept, with more rows that hold.

    Exercises that keep no block are left out too.
    """
    gone: set[int] = set()
    if kept is not None:
        gone = set(program.columns) - set(kept)
        staying = {
            key for (key, _), by_count in program.blocks.items() if not gone.issuperset(by_count.values())
        }
        gone |= {column for key, column in program.used.items() if key not in staying}
    variables = {at: column for at, column in enumerate(program.variables) if at not in gone}
    return IntegerProgram(variables, [*program.rows, *holds])


def can_be_broken(terms: Terms, low: float, high: float) -> bool:
    """Whether low ≤ Σ terms ≤ high says anything of columns that are never negative: some term must pull that way."""
    too_little = low > 0 or (low > -INFINITE and any(value < 0 for value in terms.values()))
    too_much = high < 0 or (high < INFINITE and any(value > 0 for value in terms.values()))
    return too_little or too_much


def plan_in(program: Program, point: Point) -> Plan:
    """Read the sets of each chosen block out of a point."""
    return {
        pair: sets
        for pair, by_count in program.blocks.items()
        for sets, column in by_count.items()
        if point.get(column, 0.0) > CHOSEN
    }


def hold(terms: Terms, most: float, rule: str = "hold") -> Row:
    """Σ terms ≤ most."""
    return Row(rule, terms, high=most + ROUNDING)


def linear_bound(aim: Aim) -> float:
    """Optimum of the linear relaxation, which no plan of the program is below; infinite if it has none."""
    variables = {at: replace(column, whole=False) for at, column in enumerate(aim.program.variables)}
    model = IntegerProgram(variables, [*aim.program.rows, *aim.holds])
    seconds = aim.program.problem.settings.emergency_seconds
    return model.minimize(aim.objective, Stops(0.0, 1, seconds))[0].bound


def close(aim: Aim, start: Plan | None = None) -> Found:
    """Find a plan and a bound that lie within the aim's gap, beginning from `start` where that keeps all that must hold."""
    program, settings = aim.program, aim.program.problem.settings
    clock = Clock(settings.emergency_seconds)
    point = _point_of(aim, start, clock) if start else None
    stops = Stops(SEARCH.search_share * aim.gap, settings.node_budget, clock.left, quick=True)
    answer, values = over_blocks(program, None, aim.holds).minimize(aim.objective, stops, point)
    found = Found(values or None, answer.value, answer.bound, answer.stopped)
    if found.point and found.value - found.bound > SEARCH.polish_share * aim.gap:
        _polish(aim, found, clock)
    return found


def _point_of(aim: Aim, plan: Plan, clock: Clock) -> Point | None:
    """Every column of the best week that is made of a plan's blocks alone; None if that is no week."""
    blocks = aim.program.blocks
    kept = {blocks[pair][sets] for pair, sets in plan.items() if sets in blocks.get(pair, ())}
    model, stops = over_blocks(aim.program, kept, aim.holds), Stops(aim.gap, SEARCH.polish_nodes, clock.left)
    return model.minimize(aim.objective, stops)[1] or None


def _polish(aim: Aim, found: Found, clock: Clock) -> None:
    """Look around the best plan for a better one: its exercises in other places, and others of their heads in theirs."""
    problem, plan = aim.program.problem, plan_in(aim.program, found.point or {})
    keys = {key for key, _ in plan}
    heads = {(problem.by_key[key].trains, day, sets) for (key, day), sets in plan.items()}
    kept = {
        column
        for (key, day), by_count in aim.program.blocks.items()
        for sets, column in by_count.items()
        if key in keys or (problem.by_key[key].trains, day, sets) in heads
    }
    gap = SEARCH.polish_share * aim.gap
    stops = Stops(gap, SEARCH.polish_nodes, clock.left, found.bound + gap, quick=True)
    answer, point = over_blocks(aim.program, kept, aim.holds).minimize(aim.objective, stops, found.point)
    if point and answer.value < found.value:
        found.value, found.point = answer.value, point
