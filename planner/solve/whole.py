"""Integer programs as PuLP sees them: the whole week, the week over some blocks, or over some session patterns."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import pulp

from planner.document import Plan
from planner.model.program import INFINITE, Program, Row, Terms, Variable
from planner.plain import ROUNDING
from planner.solve.sessions import Pattern, Room
from planner.solve.solver import Answer, Stops, solve

CHOSEN = 0.5  # a whole column above it is 1
Point = Mapping[int, float]


@dataclass(frozen=True)
class Aim:
    """What is minimized, what holds beside the program's rows, and the gap at which it is proven."""

    objective: Terms
    holds: tuple[Row, ...]
    gap: float

    def rows(self, below: float) -> list[Row]:
        """What a week must satisfy that costs at most `below`."""
        return [*self.holds, *([Row("better", self.objective, high=below)] if below < INFINITE else [])]


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


def over_blocks(program: Program, kept: Collection[int] | None = None) -> IntegerProgram:
    """Give the one-piece program, or what is left of it if only some block columns are kept.

    Exercises that keep no block are left out too.
    """
    if kept is None:
        return IntegerProgram(dict(enumerate(program.variables)), program.rows)
    gone = set(program.columns) - set(kept)
    staying = {key for (key, _), by_count in program.blocks.items() if not gone.issuperset(by_count.values())}
    gone |= {column for key, column in program.used.items() if key not in staying}
    variables = {at: column for at, column in enumerate(program.variables) if at not in gone}
    return IntegerProgram(variables, program.rows)


def minimize_blocks(
    program: Program,
    aim: Aim,
    kept: Collection[int] | None,
    below: float,
    stops: Stops,
    start: Point | None = None,
) -> tuple[Answer, dict[int, float]]:
    """Search weeks made of some blocks (None: of all) that cost at most `below`: the answer and its point."""
    model = over_blocks(program, kept)
    for row in aim.rows(below):
        model.add_row(row)
    return model.minimize(aim.objective, stops, start)


def over_patterns(
    program: Program, rows: Iterable[Row], rooms: Sequence[Room], patterns: Sequence[Sequence[Pattern]]
) -> tuple[IntegerProgram, dict[int, Pattern]]:
    """Give the program that picks one pattern a session, and each pattern's column.

    `rows` are the program's rows without those that live inside one session.
    """
    by_column: dict[int, Pattern] = {}
    one_each: list[Row] = []
    for room, of_room in zip(rooms, patterns, strict=True):
        first = len(program.variables) + len(by_column)
        numbers = range(first, first + len(of_room))
        by_column.update(zip(numbers, of_room, strict=True))
        one_each.append(Row("pattern", dict.fromkeys(numbers, 1.0), 1, 1, day=room.id))
    variables = {at: column for at, column in enumerate(program.variables) if at not in program.columns}
    variables |= {at: Variable(0, 1, whole=True) for at in by_column}
    holders: dict[int, list[int]] = {}
    for number, pattern in by_column.items():
        for block in pattern:
            holders.setdefault(block, []).append(number)
    spread = [Row(row.rule, _over(row.terms, holders, program), row.low, row.high) for row in rows]
    return IntegerProgram(variables, spread + one_each), by_column


def _over(terms: Terms, holders: Mapping[int, Sequence[int]], program: Program) -> Terms:
    """Write terms over blocks as terms over patterns: b = Σ of the patterns that hold it."""
    spread: Terms = {}
    for column, value in terms.items():
        for number in holders.get(column, ()) if column in program.columns else (column,):
            spread[number] = spread.get(number, 0.0) + value
    return spread


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


def point_in(by_column: Mapping[int, Pattern], point: Point) -> dict[int, float]:
    """Turn chosen patterns into a point over blocks."""
    return {
        block: 1.0
        for number, pattern in by_column.items()
        if point.get(number, 0.0) > CHOSEN
        for block in pattern
    }


def hold(terms: Terms, most: float, rule: str = "hold") -> Row:
    """Σ terms ≤ most."""
    return Row(rule, terms, high=most + ROUNDING)
