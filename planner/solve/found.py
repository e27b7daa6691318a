"""What the search looks for, and what it has found so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.model.program import INFINITE, Row, Terms
from planner.plain import ROUNDING
from planner.solve.highs import Answer, Ending


@dataclass(frozen=True)
class Aim:
    """What is minimized, what holds beside it, the gap at which it is proven, and whether sessions may have room."""

    objective: Terms
    holds: tuple[Row, ...]
    gap: float
    roomy: bool = False

    def rows(self, below: float) -> list[Row]:
        """What a week must satisfy that costs at most `below`."""
        better = [Row("better", self.objective, -INFINITE, below, "of the aim")] if below < INFINITE else []
        return [*self.holds, *better]


@dataclass
class Found:
    """The best point over blocks, its value, the bound, and whether a stop cut the search short.

    `looks`: how often a good plan was looked for; `hurried`: whether a better one was searched for from the best.
    """

    point: Mapping[int, float] | None
    value: float
    bound: float
    stopped: bool = False
    looks: int = 0
    hurried: bool = False
    nodes: int = 0

    def open(self, gap: float) -> bool:
        """Whether value and bound are still farther apart than the gap."""
        return self.value - self.bound > gap + ROUNDING and self.bound < INFINITE

    def better_than(self, gap: float) -> float:
        """Value below which a plan is better by more than the gap; infinite while none is known."""
        # a plan of exactly that value is kept
        return self.value - gap + ROUNDING if self.point is not None else INFINITE

    def learn(self, answer: Answer, point: Mapping[int, float], searched: float) -> int:
        """Take in an answer over everything that costs less than `searched`; returns the nodes it took."""
        if answer.values is not None and answer.value < self.value:
            self.value, self.point = answer.value, point
        self.bound = max(self.bound, min(searched, answer.bound, self.value))
        self.stopped = answer.ending is Ending.SECONDS
        taken = max(1, answer.nodes)
        self.nodes += taken
        return taken
