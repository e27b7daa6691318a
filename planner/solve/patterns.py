"""The linear bound: column generation over session patterns (Dantzig-Wolfe decomposition).

The master program holds every row but those that live inside one session (time, places, one set count an
exercise); each session's convexity row asks for one pattern. Pricing is an exact knapsack, so at the end the
linear optimum is a true lower bound, much nearer to the best week than the one-piece program's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from planner.model.program import Program, Row, Terms
from planner.plain import LINEAR
from planner.solve.sessions import Knapsack, Pattern, Room, rooms_of
from planner.solve.solver import LinearMaster

PENALTY = 1e4  # price of a row that is not met; above any price of a goal
LARGEST = 1e3  # an aim with larger prices is scaled down to it, so that the penalty stays above them
RAISED, RAISES = 1e2, 2  # where rows are left unmet that could be met, the penalty was too low
UNMET = 1e-5  # rows that are met leave less than this
INSIDE = frozenset({"time", "exercises"})  # limits of one session: its knapsack keeps them
LEFT_OUT = frozenset({"twins", "next_day"})  # many rows of little weight: the bound is true without them
Entries = list[list[tuple[int, float]]]  # column -> (row, value)


@dataclass(frozen=True)
class Bound:
    """A linear optimum: `value` a true lower bound, `unmet` what is left of rows that cannot be met."""

    value: float
    unmet: float
    knapsacks: tuple[Knapsack, ...]  # each session under the final block values
    seen: frozenset[int]  # block columns of the patterns that were generated
    duals: Mapping[str, float]  # what each row of the program is worth under the bound, by its name
    point: Mapping[int, float] = field(default_factory=dict)  # the linear optimum, in parts of blocks


class Decomposition:
    """One program split into a master and its sessions. Built once; bounds any objective. Not for paired sets."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.rooms: list[Room] = rooms_of(program)
        self.blocks = sorted(program.columns)
        self.coupling = [row for row in program.rows if not (row.day and row.rule in INSIDE)]
        self.rows = [row for row in self.coupling if row.rule not in LEFT_OUT]
        self.others = [column for column in range(len(program.variables)) if column not in program.columns]

    def bound(self, objective: Terms, *holds: Row) -> Bound:
        """Minimize Σ objective over the linear relaxation; `holds` are more rows (the first aim, held).

        Rows that can be met are met: the penalty for leaving one unmet is raised until it is above every price.
        """
        scale = max(1.0, max(map(abs, objective.values()), default=0.0) / LARGEST)
        penalty = PENALTY * scale
        linear = self._bound(objective, holds, penalty, scale)
        for _ in range(RAISES):
            if linear.unmet <= UNMET or self._bound({}, holds, 1.0).unmet > UNMET:
                break
            penalty *= RAISED
            linear = self._bound(objective, holds, penalty, scale)
        return linear

    def _bound(self, objective: Terms, holds: tuple[Row, ...], penalty: float, scale: float = 1.0) -> Bound:
        rows = [*self.rows, *holds]
        entries = _by_column(rows, len(self.program.variables))
        master = self._master(objective, rows, entries, penalty, scale)
        values = _BlockValues(self.blocks, objective, entries)
        generated: dict[int, Pattern] = {}
        best = Bound(-np.inf, 0.0, (), frozenset(), {})
        while True:
            value, duals = master.minimize()
            worth_now = values.under(duals)
            knapsacks = [Knapsack(room, worth_now) for room in self.rooms]
            new, bound = 0, value
            for at, knapsack in enumerate(knapsacks):
                worth, pattern = knapsack.best()
                reduced = -worth - duals[len(rows) + at]
                bound += min(0.0, reduced)
                if reduced < -LINEAR * scale:
                    generated[master.size] = pattern
                    cost, terms = merged(pattern, objective, entries)
                    master.add_column(cost, 0, np.inf, [*terms.items(), (len(rows) + at, 1.0)])
                    new += 1
            if bound > best.value:
                # what is searched by reduced cost must be under the very duals that give the bound: the last
                # ones may give a smaller one
                worths = {row.name: float(dual) for row, dual in zip(rows, duals, strict=False)}
                best = Bound(float(bound), 0.0, tuple(knapsacks), frozenset(), worths)
            if not new or value - best.value < LINEAR * max(1.0, abs(value)):
                seen = frozenset(block for pattern in generated.values() for block in pattern)
                point = over_blocks(generated, master.values())
                return replace(best, unmet=master.unmet(), seen=seen, point=point)

    def _master(
        self, objective: Terms, rows: list[Row], entries: Entries, penalty: float, scale: float
    ) -> LinearMaster:
        bounds = [(row.low, row.high) for row in rows] + [(1.0, 1.0)] * len(self.rooms)
        master = LinearMaster(bounds, scale)
        for column in self.others:
            variable = self.program.variables[column]
            master.add_column(objective.get(column, 0.0), variable.low, variable.high, entries[column])
        for at, row in enumerate(rows):
            if row.low > 0:
                master.add_column(penalty, 0, np.inf, [(at, 1.0)], penalty=True)
            if row.high < 0:
                master.add_column(penalty, 0, np.inf, [(at, -1.0)], penalty=True)
        for at, room in enumerate(self.rooms):
            forced = any(choice.forced for choice in room.choices)
            # every session starts with the empty pattern; where something is forced, that pattern is a penalty
            master.add_column(penalty if forced else 0.0, 0, np.inf, [(len(rows) + at, 1.0)], penalty=forced)
        return master


class _BlockValues:
    """Values of all blocks under the master's duals, in one pass over flat arrays."""

    def __init__(self, blocks: list[int], objective: Terms, entries: Entries) -> None:
        self.blocks = blocks
        self.cost = np.array([objective.get(column, 0.0) for column in blocks])
        flat = [(at, row, value) for at, column in enumerate(blocks) for row, value in entries[column]]
        self.owner = np.array([at for at, _, _ in flat], dtype=np.intp)
        self.row = np.array([row for _, row, _ in flat], dtype=np.intp)
        self.value = np.array([value for _, _, value in flat])

    def under(self, duals: np.ndarray[tuple[int], np.dtype[np.float64]]) -> dict[int, float]:
        """Give Σ dual · coefficient − cost for every block column."""
        gained = np.bincount(self.owner, weights=duals[self.row] * self.value, minlength=len(self.blocks))
        return dict(zip(self.blocks, (gained - self.cost).tolist(), strict=True))


def _by_column(rows: Iterable[Row], columns: int) -> Entries:
    entries: Entries = [[] for _ in range(columns)]
    for at, row in enumerate(rows):
        for column, value in row.terms.items():
            if value:
                entries[column].append((at, value))
    return entries


def over_blocks(generated: Mapping[int, Pattern], values: Sequence[float]) -> dict[int, float]:
    """Give a point over patterns as one over blocks."""
    point: dict[int, float] = {}
    for column, pattern in generated.items():
        if values[column] > LINEAR:
            for block in pattern:
                point[block] = point.get(block, 0.0) + values[column]
    return point


def merged(pattern: Pattern, objective: Terms, entries: Entries) -> tuple[float, dict[int, float]]:
    """Cost and row entries of a pattern: the sums over its blocks."""
    terms: dict[int, float] = {}
    for column in pattern:
        for row, value in entries[column]:
            terms[row] = terms.get(row, 0.0) + value
    return sum(objective.get(column, 0.0) for column in pattern), terms
