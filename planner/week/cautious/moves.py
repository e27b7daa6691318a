"""Weeks that are one exchange away from a plan: a block out, a block in, or both; all priced on all draws at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from planner.document import Plan
from planner.week.cautious.cuts import Shortfall
from planner.week.cautious.draws import sets_a_week
from planner.week.cautious.shortfall import expected_shortfalls, head_price

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

Pair = tuple[str, str]  # (exercise, session)


@dataclass(frozen=True)
class Move:
    """One exchange and the expected shortfall after it: `out` None: nothing goes; `into` None: nothing comes."""

    out: Pair | None
    into: Pair | None
    sets: int
    value: float

    def on(self, plan: Plan) -> Plan:
        """Give the plan after the exchange."""
        left = {pair: sets for pair, sets in plan.items() if pair != self.out}
        return left if self.into is None else {**left, self.into: self.sets}


class Moves:
    """All blocks of a program with what each gives on every draw: made once, asked about any plan."""

    def __init__(self, shortfall: Shortfall) -> None:
        program = shortfall.program
        self.problem, self.shortfall = program.problem, shortfall
        self.blocks = [(pair, sets) for pair, by_count in program.blocks.items() for sets in by_count]
        self.seconds = [self.problem.candidate(key).seconds(sets) for (key, _), sets in self.blocks]
        self.gains = {head: self._gains(head) for head in shortfall.draws}

    def _gains(self, head: str) -> Numbers:
        """Direct sets (draws, blocks + 1) of every block; the last column is no block."""
        drawn = self.shortfall.draws[head]
        at = {key: column for column, key in enumerate(drawn.exercises)}
        gains = np.zeros((len(drawn.elsewhere), len(self.blocks) + 1))
        for column, ((key, _), sets) in enumerate(self.blocks):
            if key in at:
                gains[:, column] = drawn.credits[:, at[key]] * sets
        return gains

    def of(self, plan: Plan) -> list[Move]:
        """List all exchanges of a plan that fit the clock; what is pinned stays."""
        free = [pair for pair in plan if pair not in self.problem.pins]
        return [move for out in (None, *free) for move in self._without(plan, out)]

    def _without(self, plan: Plan, out: Pair | None) -> Iterator[Move]:
        left = {pair: sets for pair, sets in plan.items() if pair != out}
        values = self._values(left).tolist()
        spare = self._spare(left)
        for ((key, day), sets), seconds, value in zip(self.blocks, self.seconds, values, strict=False):
            if (key, day) not in left and seconds <= spare[day]:
                yield Move(out, (key, day), sets, value)
        if out is not None:
            yield Move(out, None, 0, values[-1])

    def _values(self, left: Plan) -> Numbers:
        """Expected shortfall (blocks + 1,) of what is left with each block in turn, and with none."""
        sets = sets_a_week(left)
        total = np.zeros((1, 1))
        for goal in self.problem.heads:
            doses = self.shortfall.draws[goal.head].doses(sets)[:, None] + self.gains[goal.head]
            price, _ = head_price(self.problem, goal, np.maximum(0.0, goal.target - doses))
            total = total + price
        return expected_shortfalls(total, self.shortfall.level)

    def _spare(self, left: Plan) -> dict[str, float]:
        """Seconds that are left in each session; where sets may be paired, the clock is read later."""
        spare: dict[str, float] = {one.id: one.seconds for one in self.problem.sessions}
        if self.problem.paired:
            return dict.fromkeys(spare, float("inf"))
        for (key, day), sets in left.items():
            spare[day] -= self.problem.candidate(key).seconds(sets)
        return spare
