"""Whether a given plan keeps every hard limit and every goal that must hold, told by the names of the rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from planner.document import Plan
from planner.model.aims import misses
from planner.model.goals.ceiling import over_elsewhere
from planner.model.limits import LIMITS
from planner.model.problem import Problem
from planner.model.program import Program, Row
from planner.plain import ROUNDING


class Holding:
    """The hard rows of a problem, made once and held against any number of plans."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.program = Program(problem)
        for limit in LIMITS:
            limit.rows(self.program)
        whole = {n for n, column in enumerate(self.program.variables) if column.whole}
        # a row with a column that is not whole has a miss in it: a price, not a limit
        self.hard = [row for row in self.program.rows if whole.issuperset(row.terms)]

    def broken(self, plan: Plan) -> list[str]:
        """Name what a plan breaks: blocks that cannot be, pins left out, limits overrun, goals that must hold."""
        impossible = [
            f"block:{key}:{day}" for (key, day), sets in plan.items() if not self._can_be(key, day, sets)
        ]
        if impossible:
            return impossible
        unpinned = [
            f"pin:{key}:{day}" for (key, day), n in self.problem.pins.items() if plan.get((key, day)) != n
        ]
        chosen = Counter(self.program.blocks[pair][sets] for pair, sets in plan.items())
        chosen.update({self.program.used[key] for key, _ in plan})
        chosen.update(self.program.turns.chosen(self.program, plan))
        rows = [row.name for row in self.hard if not within(row, chosen)]
        return [*unpinned, *rows, *self._musts(plan)]

    def _can_be(self, key: str, day: str, sets: int) -> bool:
        return sets in self.program.blocks.get((key, day), ())

    def _musts(self, plan: Plan) -> list[str]:
        allowed = {f"dose:{head.head}": 0.0 for head in self.problem.heads if head.must}
        allowed |= {f"ceiling:{head.head}": over_elsewhere(head) for head in self.problem.heads if head.must}
        variety = ("implements", "family:") if self.problem.variety_must else ()
        return [
            miss.goal
            for miss in misses(self.problem, plan)
            if miss.by > allowed.get(miss.goal, miss.by) + ROUNDING or miss.goal.startswith(variety)
        ]


def within(row: Row, chosen: Mapping[int, int]) -> bool:
    """Whether a row holds where the chosen columns have their counts and all others are 0."""
    total = sum(value * chosen[column] for column, value in row.terms.items() if column in chosen)
    return row.low - ROUNDING <= total <= row.high + ROUNDING
