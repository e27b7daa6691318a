"""Every single move in a plan, priced for all of them at once: what each does to limits, to doses and to the change."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import numpy as np

from planner.document import Plan
from planner.model.goals import dose
from planner.model.problem import dose_of
from planner.model.program import Row
from planner.plain import ROUNDING
from planner.week.holding import Holding

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Whole = NDArray[np.intp]

Move = tuple[tuple[str, str], int]  # (exercise, session) and its new sets, 0 for none
OVERRUN = 1e4  # missed sets that a limit overrun by its whole size counts, our choice: mending it comes before any dose
NOTHING = -1  # the last column of the table of limits: no block, which uses nothing


class Moves:
    """All ways to give one exercise other sets in one session; the change is counted against the plan `before`."""

    def __init__(self, holding: Holding, before: Plan) -> None:
        self.holding, self.before = holding, before
        self.problem, self.blocks = holding.problem, holding.program.blocks
        self.pairs = [pair for pair in self.blocks if pair not in self.problem.pins]
        self.limits, self.doses = Limits(holding), Doses(holding)
        ways = [
            (at, sets, column)
            for at, pair in enumerate(self.pairs)
            for sets, column in ((0, NOTHING), *self.blocks[pair].items())
        ]
        self.at, self.sets, self.column = np.array(ways, dtype=np.intp).reshape(-1, 3).T
        self.keys = list(holding.program.used)
        place, names = {key: at for at, key in enumerate(self.keys)}, {key for key, _ in before}
        self.exercise = np.array([place[key] for key, _ in self.pairs], dtype=np.intp)[self.at]
        self.sets_before = self._of_pairs(before)
        self.used_before = np.array([key in names for key in self.keys], dtype=bool)[self.exercise]

    def best(self, plan: Plan, enough: float) -> Move | None:
        """Give the move that mends most for its change; where at most `enough` is missed, that which takes most back.

        None: no move helps.
        """
        price, change = self.prices(plan)
        least = (
            self.problem.settings.price_moved_set / 2
        )  # a move that takes change back is not infinitely good
        if price[0] > enough:
            gain = price[0] - price[1:]
            worth = np.where(gain > ROUNDING, gain / np.maximum(change, least), 0.0)
        else:
            worth = np.where(price[1:] <= enough, -change, 0.0)
        if not worth.any() or worth.max() <= 0:
            return None
        pick = int(worth.argmax())
        return self.pairs[self.at[pick]], int(self.sets[pick])

    def prices(self, plan: Plan) -> tuple[Numbers, Numbers]:
        """Missed sets (1 + moves) of the plan and after each move, limits overrun among them; change (moves) added."""
        sets, joins = self._of_pairs(plan), self._joins(plan)
        old = np.array([self.blocks[pair][plan[pair]] if pair in plan else NOTHING for pair in self.pairs])
        effect = self.limits.effect(self.column, old.astype(np.intp)[self.at], self.exercise, joins)
        missed = self.doses.missed(plan, self.exercise, self.sets - sets)
        settings = self.problem.settings
        moved = abs(self.sets - self.sets_before) - abs(sets - self.sets_before)
        exchanged = np.where(self.used_before, -joins, joins)
        change = settings.price_moved_set * moved + settings.price_exchanged * exchanged
        return missed + OVERRUN * self.limits.overrun(plan, effect), change

    def _of_pairs(self, plan: Plan) -> Whole:
        """Sets that a plan has where each move is made."""
        return np.array([plan.get(pair, 0) for pair in self.pairs], dtype=np.intp)[self.at]

    def _joins(self, plan: Plan) -> Whole:
        """1 for a move by which its exercise joins the week, -1 where it leaves, else 0."""
        count = Counter(key for key, _ in plan)
        blocks = np.array([count[key] for key in self.keys], dtype=np.intp)[self.exercise]
        after = blocks - (self._of_pairs(plan) > 0) + (self.sets > 0)
        return (after > 0).astype(np.intp) - (blocks > 0)


class Limits:
    """The hard rows as one table, low ≤ Σ terms ≤ high, without those of `limits/blocks.py`, which every plan keeps."""

    def __init__(self, holding: Holding) -> None:
        self.program = holding.program
        rows = [row for row in holding.hard if not row.name.startswith(("blocks:", "used:"))]
        self.table = np.zeros((len(rows), len(self.program.variables) + 1))
        for at, row in enumerate(rows):
            self.table[at, list(row.terms)] = list(row.terms.values())
        bounds = np.array([(row.low, row.high, size_of(row)) for row in rows]).reshape(-1, 3)
        self.low, self.high, self.size = (column[:, None] for column in bounds.T)
        self.used = np.array(list(self.program.used.values()), dtype=np.intp)

    def effect(self, new: Whole, old: Whole, exercise: Whole, joins: Whole) -> Numbers:
        """What each move adds to each row (rows, moves): its new block for the old, and its exercise if it joins."""
        effect: Numbers = self.table[:, new] - self.table[:, old] + self.table[:, self.used[exercise]] * joins
        return effect

    def overrun(self, plan: Plan, effect: Numbers) -> Numbers:
        """By how much rows are broken, in parts of their size (1 + moves): by the plan, and after each move."""
        columns = [self.program.blocks[pair][sets] for pair, sets in plan.items()]
        columns += [self.program.used[key] for key in {key for key, _ in plan}]
        use = self.table[:, columns].sum(axis=1, keepdims=True)
        uses = np.hstack([use, use + effect])
        over = np.maximum(0.0, uses - self.high - ROUNDING) + np.maximum(0.0, self.low - uses - ROUNDING)
        broken: Numbers = (over / self.size).sum(axis=0)
        return broken


class Doses:
    """The first aim as arrays: credits (heads, exercises), and the steps of each head's price."""

    def __init__(self, holding: Holding) -> None:
        self.problem, keys = holding.problem, list(holding.program.used)
        self.heads = self.problem.heads
        of_heads = [
            [self.problem.candidate(key).credits.get(one.head, 0.0) for key in keys] for one in self.heads
        ]
        self.credits = np.array(of_heads).reshape(len(self.heads), len(keys))
        self.priority = np.array([[one.priority] for one in self.heads])
        steps = zip(*(dose.steps(self.problem, one) for one in self.heads), strict=True)
        self.steps = [np.array(step).T[:, :, None] for step in steps]  # (width and price, heads, 1)

    def missed(self, plan: Plan, exercise: Whole, more: Whole) -> Numbers:
        """Priced missed sets (1 + moves): of a plan, and with `more` sets of each move's exercise."""
        short = [one.target - one.elsewhere - dose_of(self.problem, plan, one.head) for one in self.heads]
        needed = np.array(short).reshape(-1, 1)
        left = np.maximum(0.0, np.hstack([needed, needed - self.credits[:, exercise] * more]))
        total = np.zeros(1 + len(more))
        for width, price in self.steps:
            part = np.minimum(left, width)
            total += (part * price * self.priority).sum(axis=0)
            left = left - part
        return total


def size_of(row: Row) -> float:
    """Size of a row: its largest finite bound, at least 1."""
    return max(1.0, *(abs(bound) for bound in (row.low, row.high) if np.isfinite(bound)))
