"""Integer programs as PuLP sees them: the whole week, the week over some blocks, or over some session patterns."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

import pulp

from planner.document import Plan
from planner.model.program import INFINITE, Program, Row, Terms, Variable
from planner.solve.found import Aim
from planner.solve.highs import Answer, Stops, solve
from planner.solve.sessions import Pattern, Room


class IntegerProgram:
    """Columns and rows handed to PuLP once, with running numbers for names; minimized for one aim at a time."""

    def __init__(self, variables: Mapping[int, Variable], rows: Sequence[Row]) -> None:
        self.lp = pulp.LpProblem("week", pulp.LpMinimize)
        self.row_count = 0
        self.numbers = list(variables)
        self.columns = {
            number: self.lp.add_variable(
                f"v{place:06d}",
                one.low,
                None if one.high == INFINITE else one.high,
                pulp.LpInteger if one.whole else pulp.LpContinuous,
            )
            for place, (number, one) in enumerate(variables.items())
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

    def minimize(self, terms: Terms, stops: Stops, start: Sequence[float] | None = None) -> Answer:
        """Minimize Σ terms; `values` of the answer come in the order of `numbers`."""
        self.lp.setObjective(self._expression(terms))
        return solve(self.lp, stops, start=start)

    def values(self, point: Mapping[int, float]) -> list[float]:
        """Give a point in the order of `numbers`; a column that it does not name is 0."""
        return [point.get(number, 0.0) for number in self.numbers]

    def point(self, answer: Answer) -> dict[int, float]:
        """Give the found point by column number; empty if none was found."""
        return dict(zip(self.numbers, answer.values or (), strict=False))


def over_blocks(
    program: Program, kept: Collection[int] | None = None, pairs: Collection[int] | None = None
) -> IntegerProgram:
    """Give the one-piece program, or what is left of it if only some block columns, and columns of pairs, are kept.

    Exercises that keep no block are left out too.
    """
    if kept is None:
        return IntegerProgram(dict(enumerate(program.variables)), program.rows)
    kept = set(kept)
    gone = {column for by_count in program.blocks.values() for column in by_count.values()} - kept
    staying = {key for (key, _), by_count in program.blocks.items() if not kept.isdisjoint(by_count.values())}
    gone |= {column for key, column in program.used.items() if key not in staying}
    for column, pairing in program.turns.of.items():
        lost = any(gone.issuperset(kind.blocks) for kind in pairing.kinds)
        if lost or (pairs is not None and column not in pairs):
            gone.add(column)
    variables = {at: one for at, one in enumerate(program.variables) if at not in gone}
    return IntegerProgram(variables, program.rows)


def minimize_blocks(
    program: Program,
    aim: Aim,
    kept: Collection[int],
    below: float,
    stops: Stops,
    more: Iterable[Row] = (),
    start: Mapping[int, float] | None = None,
) -> tuple[Answer, Mapping[int, float]]:
    """Search weeks made of some blocks that cost at most `below` and satisfy `more`: the answer and its point.

    `start` is a point to start from.
    """
    model = over_blocks(program, kept, kept)
    for row in [*aim.rows(below), *more]:
        model.add_row(row)
    answer = model.minimize(aim.objective, stops, None if start is None else model.values(start))
    return answer, model.point(answer)


def over_patterns(
    program: Program, rows: Sequence[Row], rooms: Sequence[Room], patterns: Sequence[Sequence[Pattern]]
) -> tuple[IntegerProgram, dict[int, Pattern]]:
    """Give the program that picks one pattern a session, and each pattern's column.

    `rows` are the program's rows without those that live inside one session.
    """
    first = len(program.variables)
    by_column: dict[int, Pattern] = {}
    one_each: list[Row] = []
    for room, of_room in zip(rooms, patterns, strict=True):
        numbers = range(first + len(by_column), first + len(by_column) + len(of_room))
        by_column.update(zip(numbers, of_room, strict=True))
        one_each.append(Row(f"pattern:{room.id}", dict.fromkeys(numbers, 1.0), 1, 1, "patterns"))
    blocks = {column for by_count in program.blocks.values() for column in by_count.values()}
    blocks |= program.turns.columns  # a pattern brings its pairs along
    variables = {at: one for at, one in enumerate(program.variables) if at not in blocks}
    variables |= {at: Variable("pattern", 0, 1, whole=True) for at in by_column}
    holders = holders_of(by_column)
    spread = [
        Row(row.name, over_holders(row.terms, holders, blocks), row.low, row.high, row.unit) for row in rows
    ]
    return IntegerProgram(variables, spread + one_each), by_column


def holders_of(by_column: Mapping[int, Pattern]) -> dict[int, list[int]]:
    """Give for every block the columns of the patterns that hold it."""
    holders: dict[int, list[int]] = {}
    for number, pattern in by_column.items():
        for block in pattern:
            holders.setdefault(block, []).append(number)
    return holders


def over_holders(terms: Terms, holders: Mapping[int, Sequence[int]], blocks: Collection[int]) -> Terms:
    """Write terms over blocks as terms over patterns: b = Σ of the patterns that hold it."""
    spread: Terms = {}
    for column, value in terms.items():
        for number in holders.get(column, ()) if column in blocks else (column,):
            spread[number] = spread.get(number, 0.0) + value
    return spread


def can_be_broken(terms: Terms, low: float, high: float) -> bool:
    """Whether low ≤ Σ terms ≤ high says anything of columns that are never negative: some term must pull that way."""
    too_little = low > 0 or (low > -INFINITE and any(value < 0 for value in terms.values()))
    too_much = high < 0 or (high < INFINITE and any(value > 0 for value in terms.values()))
    return too_little or too_much


def plan_of_blocks(program: Program, point: Mapping[int, float]) -> Plan:
    """Read the sets of each chosen block out of a point."""
    return {
        pair: sets
        for pair, by_count in program.blocks.items()
        for sets, column in by_count.items()
        if point.get(column, 0.0) > 0.5
    }


def blocks_of_patterns(by_column: Mapping[int, Pattern], point: Mapping[int, float]) -> dict[int, float]:
    """Turn chosen patterns into a point over blocks."""
    return {
        block: 1.0
        for number, pattern in by_column.items()
        if point.get(number, 0.0) > 0.5
        for block in pattern
    }
