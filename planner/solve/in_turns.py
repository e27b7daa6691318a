"""What one session can hold where two exercises may be done in turns: a knapsack of single blocks and of pairs.

Two pairs, or a pair and a single block, that share an exercise are not told apart while a value is priced (the
master program makes up for it: an exercise is done once a session), only while contents are listed. The bound
stays true, and nearly as sharp.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from planner.model.program import Program
from planner.plain import LAST_DIGITS
from planner.solve.sessions import CARRIED, NONE, Knapsack, Pattern, Room, same

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from planner.solve.sessions import Table

    Whole = NDArray[np.intp]
    Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Offers:
    """All pairs that a session could hold, as flat arrays: both blocks, the column that counts them, seconds."""

    first: Whole
    second: Whole
    column: Whole
    seconds: Whole

    def worth(self, values: Mapping[int, float], prices: Mapping[int, float]) -> Numbers:
        """Value of each pair: both blocks', less what the pair itself costs (it saves minutes: below 0)."""
        blocks = sorted({*self.first.tolist(), *self.second.tolist()})
        value = np.zeros(max(blocks, default=0) + 1)
        value[blocks] = [values[block] for block in blocks]
        columns = np.unique(self.column)
        cost = np.zeros(int(columns.max(initial=0)) + 1)
        cost[columns] = [prices.get(column, 0.0) for column in columns.tolist()]
        worth: Numbers = value[self.first] + value[self.second] - cost[self.column]
        return worth


def offers_of(program: Program, room: Room) -> Offers | None:
    """List the pairs of a session; None if it can hold none."""
    seconds = {
        column: time
        for choice in room.choices
        for column, time in zip(choice.columns, choice.seconds, strict=True)
    }
    rows = [
        (one, other, column, seconds[one] + seconds[other] - pairing.saved)
        for column, pairing in program.turns.of.items()
        if pairing.day == room.id
        for one in pairing.kinds[0].blocks
        for other in pairing.kinds[1].blocks
    ]
    fitting = [row for row in rows if row[3] <= room.seconds]
    if not fitting or room.places < PAIR:
        return None
    return Offers(*np.array(fitting, dtype=np.intp).T)


PAIR = 2  # places that a pair takes


class PairedKnapsack(Knapsack):
    """One session under given block values, with pairs; `prices` are the aim's, for the columns of pairs."""

    def __init__(
        self, room: Room, values: Mapping[int, float], offers: Offers, prices: Mapping[int, float]
    ) -> None:
        super().__init__(room, values)
        self.offers = offers
        self.worth = offers.worth(values, prices)
        self.exercise = {column: one.exercise for one in room.choices for column in one.columns}

    def _front(self) -> list[tuple[float, int, int]]:
        """Value, seconds and number of the pairs that no other beats in both."""
        gainful = np.flatnonzero(self.worth > 0)
        seconds, worth = self.offers.seconds[gainful], self.worth[gainful]
        order = np.lexsort((-worth, seconds))
        front, best = [], 0.0
        for at in order.tolist():
            if worth[at] > best + LAST_DIGITS:
                best = float(worth[at])
                front.append((best, int(seconds[at]), int(gainful[at])))
        return front

    def _rounds(self, table: Table) -> list[Table]:
        """Best value by places and seconds with up to 0, 1, 2 … pairs beside what the table holds."""
        rounds, front = [table], self._front()
        for _ in range(self.room.places // PAIR):
            before, grown = rounds[-1], rounds[-1].copy()
            for value, seconds, _number in front:
                width = before.shape[1] - seconds
                np.maximum(grown[PAIR:, seconds:], before[:-PAIR, :width] + value, out=grown[PAIR:, seconds:])
            rounds.append(grown)
        return rounds

    def best(self) -> tuple[float, Pattern]:
        """Value and columns of the best content, pairs as columns of their own; an exercise may stand twice."""
        items, tables = self._chain(0.0)
        rounds, front = self._rounds(tables[-1]), self._front()
        places, seconds = self.room.places, self.room.seconds
        taken: list[int] = []
        value = float(rounds[-1][places, seconds])
        for before, after in zip(reversed(rounds[:-1]), reversed(rounds[1:]), strict=True):
            if before[places, seconds] >= after[places, seconds] - CARRIED:
                continue
            for worth, time, number in front:
                if (
                    time <= seconds
                    and places >= PAIR
                    and same(before[places - PAIR, seconds - time] + worth, after, places, seconds)
                ):
                    taken += self._columns(number)
                    places, seconds = places - PAIR, seconds - time
                    break
        return value, (*taken, *self._taken(items, tables, places, seconds))

    def _columns(self, number: int) -> tuple[int, int, int]:
        offers = self.offers
        return int(offers.first[number]), int(offers.second[number]), int(offers.column[number])

    def patterns(self, slack: float, most: int) -> list[Pattern] | None:
        """List the blocks of all contents within `slack` of the best value; None if there are more than `most`."""
        items, tables = self._suffixes(slack)
        rounds = self._rounds(tables[0])
        need = float(rounds[-1][self.room.places, self.room.seconds]) - slack - LAST_DIGITS
        found: dict[frozenset[int], Pattern] = {}
        for pairs, places, seconds, value in self._some_pairs(rounds, need):
            paired = {self.exercise[block] for block in pairs}
            singles = [(choice, [] if choice.exercise in paired else options) for choice, options in items]
            for pattern in self._search(singles, tables, need, (0, places, seconds, value, pairs)):
                found.setdefault(frozenset(pattern), pattern)
                if len(found) > most:
                    return None
        return list(found.values())

    def _some_pairs(self, rounds: list[Table], need: float) -> Iterator[tuple[Pattern, int, int, float]]:
        """Walk through all sets of pairs without a common exercise that some content reaching `need` can have."""
        offers, room = self.offers, self.room
        stack: list[tuple[Pattern, int, int, int, float]] = [((), 0, room.places, room.seconds, 0.0)]
        while stack:
            blocks, start, places, seconds, value = stack.pop()
            yield blocks, places, seconds, value
            left = places // PAIR - 1
            if left < 0:
                continue
            time = offers.seconds[start:]
            fits = time <= seconds
            rest = rounds[left][places - PAIR, np.where(fits, seconds - time, 0)]
            good = np.flatnonzero(fits & (value + self.worth[start:] + rest >= need)) + start
            taken = {self.exercise[block] for block in blocks}
            for number in good.tolist():
                one, other, _ = self._columns(number)
                if self.exercise[one] in taken or self.exercise[other] in taken:
                    continue
                used = int(offers.seconds[number])
                more = value + float(self.worth[number])
                stack.append(((*blocks, one, other), number + 1, places - PAIR, seconds - used, more))

    def forcing_costs(self) -> dict[int, float]:
        """For every column, pairs' too: by how much, at least, the best content with it falls short of the best."""
        places, seconds = self.room.places, self.room.seconds
        rounds = self._rounds(self._chain(0.0)[1][-1])
        whole, fewer = rounds[-1], rounds[-2]
        best = float(whole[places, seconds])
        reached: dict[int, float] = {}
        for _choice, options in self.items:
            for value, time, column in options:
                reached[column] = value + float(whole[places - 1, seconds - time])
        in_pairs = self.worth + fewer[places - PAIR, seconds - self.offers.seconds]
        for side in (self.offers.first, self.offers.second, self.offers.column):
            for column, value in zip(side.tolist(), in_pairs.tolist(), strict=True):
                reached[column] = max(value, reached.get(column, NONE))
        return {column: max(0.0, best - value) for column, value in reached.items()}
