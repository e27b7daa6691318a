"""What one session can hold, searched exactly: a knapsack of blocks in whole seconds.

A pattern is the content of one session: which exercises, how many sets. Values may be anything; a forced
exercise (pinned, or trained already) is in every pattern.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from planner.model.problem import SessionKind
from planner.model.program import Program
from planner.plain import LAST_DIGITS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Table = NDArray[np.float64]

Pattern = tuple[int, ...]  # the columns of its blocks
Option = tuple[float, int, int]  # value, seconds, column
State = tuple[int, int, int, float, Pattern]  # next item, places and seconds left, value so far, taken so far
NONE = float("-inf")
CARRIED = 1e-12  # in the values' unit: a cell that an item does not raise is carried over digit by digit


@dataclass(frozen=True)
class Choice:
    """One exercise in one session: its columns and seconds by set count, and whether it is forced."""

    exercise: str
    columns: tuple[int, ...]
    seconds: tuple[int, ...]
    forced: bool


@dataclass(frozen=True)
class Room:
    """One session as a knapsack: seconds, places on the sheet, and the choices it has."""

    id: str
    seconds: int
    places: int
    choices: tuple[Choice, ...]
    is_over: bool = False


def rooms_of(program: Program) -> list[Room]:
    """Give every session of a program as a knapsack."""
    return [room_of(program, session) for session in program.problem.sessions]


def room_of(program: Program, session: SessionKind) -> Room:
    """Give one session; one that is over holds exactly what was done, however long it took."""
    problem, choices = program.problem, []
    for candidate in problem.candidates:
        by_count = program.blocks.get((candidate.key, session.id), {})
        if by_count:
            columns = tuple(by_count.values())
            forced = any(program.variables[column].low > 0 for column in columns)
            seconds = tuple(max(0, candidate.seconds(sets)) for sets in by_count)
            choices.append(Choice(candidate.key, columns, seconds, forced))
    done = sum(choice.seconds[0] for choice in choices if choice.forced)
    return Room(
        session.id,
        max(session.seconds, done) if session.frozen else session.seconds,
        len(choices) if session.frozen else problem.settings.exercises_per_session,
        tuple(choices),
        session.frozen,
    )


Item = tuple[Choice, list[Option]]


class Knapsack:
    """One session under given block values: the best pattern, all nearly best ones, and what forcing a block costs."""

    def __init__(self, room: Room, values: Mapping[int, float]) -> None:
        self.room = room
        self.items = [self._item(choice, values) for choice in room.choices]

    def _item(self, choice: Choice, values: Mapping[int, float]) -> Item:
        pairs = zip(choice.columns, choice.seconds, strict=True)
        options = [
            (values[column], seconds, column) for column, seconds in pairs if seconds <= self.room.seconds
        ]
        return choice, sorted(options, reverse=True)

    def _worth_it(self, slack: float) -> list[Item]:
        """Items that a pattern within `slack` of the best can hold, the most valuable first."""
        kept = [
            (choice, options if choice.forced else [option for option in options if option[0] > -slack])
            for choice, options in self.items
        ]
        return sorted(
            (item for item in kept if item[1] or item[0].forced),
            key=lambda item: -max((value for value, _, _ in item[1]), default=0.0),
        )

    def _empty(self) -> Table:
        return np.zeros((self.room.places + 1, self.room.seconds + 1))

    def _extend(self, table: Table, item: Item) -> Table:
        """Best value by places and seconds left, once this item may (or, forced, must) be taken."""
        choice, options = item
        grown = np.full_like(table, NONE) if choice.forced else table.copy()
        for value, seconds, _ in options:
            width = table.shape[1] - seconds
            np.maximum(grown[1:, seconds:], table[:-1, :width] + value, out=grown[1:, seconds:])
        return grown

    def best(self) -> tuple[float, Pattern]:
        """Value and columns of the best pattern; value -inf if what is forced does not fit."""
        items, tables = self._chain(0.0)
        places, seconds = self.room.places, self.room.seconds
        value = float(tables[-1][places, seconds])
        return (NONE, ()) if value == NONE else (value, self._taken(items, tables, places, seconds))

    def _chain(self, slack: float) -> tuple[list[Item], list[Table]]:
        """Items within `slack`, and the tables as they are taken in one after the other."""
        items, tables = self._worth_it(slack), [self._empty()]
        for item in items:
            tables.append(self._extend(tables[-1], item))
        return items, tables

    def _suffixes(self, slack: float) -> tuple[list[Item], list[Table]]:
        """Items within `slack`, and for each the table of it and all later ones."""
        items, tables = self._worth_it(slack), [self._empty()]
        for item in reversed(items):
            tables.append(self._extend(tables[-1], item))
        return items, tables[::-1]

    def _taken(self, items: Sequence[Item], tables: Sequence[Table], places: int, seconds: int) -> Pattern:
        """Read what the last table took for these places and seconds."""
        taken: list[int] = []
        for (choice, options), before, after in zip(
            reversed(items), reversed(tables[:-1]), reversed(tables[1:]), strict=True
        ):
            if not choice.forced and before[places, seconds] >= after[places, seconds] - CARRIED:
                continue
            for worth, time, column in options:
                if (
                    time <= seconds
                    and places > 0
                    and same(before[places - 1, seconds - time] + worth, after, places, seconds)
                ):
                    taken.append(column)
                    places, seconds = places - 1, seconds - time
                    break
        return tuple(taken)

    def patterns(self, slack: float, most: int) -> list[Pattern] | None:
        """List all patterns within `slack` of the best value; None if there are more than `most`."""
        items, tables = self._suffixes(slack)
        need = float(tables[0][self.room.places, self.room.seconds]) - slack - LAST_DIGITS
        found: list[Pattern] = []
        start = (0, self.room.places, self.room.seconds, 0.0, ())
        for pattern in self._search(items, tables, need, start):
            found.append(pattern)
            if len(found) > most:
                return None
        return found

    def _search(
        self, items: Sequence[Item], tables: Sequence[Table], need: float, start: State
    ) -> Iterator[Pattern]:
        """Walk depth first, from a start, through all patterns whose value reaches `need`."""
        stack = [start]
        while stack:
            at, places, seconds, value, taken = stack.pop()
            if value + tables[at][places, seconds] < need:
                continue
            if at == len(items):
                yield taken
                continue
            choice, options = items[at]
            if not choice.forced:
                stack.append((at + 1, places, seconds, value, taken))
            if places:
                stack.extend(
                    (at + 1, places - 1, seconds - time, value + worth, (*taken, column))
                    for worth, time, column in options
                    if time <= seconds
                )

    def spread(self) -> float:
        """How far below the best value any content can lie, at most."""
        lowest = sorted(min((value for value, _, _ in options), default=0.0) for _, options in self.items)
        return self.best()[0] - sum(min(0.0, value) for value in lowest[: self.room.places])

    def forcing_costs(self) -> dict[int, float]:
        """For every column: by how much the best pattern that holds its block falls short of the best pattern."""
        items, places = self._worth_it(0.0), self.room.places
        whole = self._table(items)
        best = float(whole[places, self.room.seconds])
        costs: dict[int, float] = {}
        gainful = {choice.exercise for choice, _ in items}
        for choice, options in self.items:
            rest = whole
            if choice.exercise in gainful:
                rest = self._table([item for item in items if item[0].exercise != choice.exercise])
            for value, seconds, column in options:
                with_it = value + float(rest[places - 1, self.room.seconds - seconds])
                costs[column] = max(0.0, best - with_it)
        return costs

    def _table(self, items: Sequence[Item]) -> Table:
        table = self._empty()
        for item in items:
            table = self._extend(table, item)
        return table


def same(value: float, table: Table, places: int, seconds: int) -> bool:
    """Whether a value is the table's, but for rounding."""
    return abs(value - float(table[places, seconds])) < LAST_DIGITS * max(1.0, abs(value))
