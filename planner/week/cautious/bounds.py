"""What no week can beat: bounds of both aims over the tangents of the expected shortfall so far.

First over weeks of broken blocks, which is quick; then over whole weeks, round by round: a round finds a week
that the tangents hold for better (a new tangent there, and perhaps a better week), or proves that there is none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from planner.document import Plan
from planner.method import CautiousSettings
from planner.model.program import Program, Row, Terms
from planner.plain import ROUNDING
from planner.solve.found import Aim
from planner.solve.integer import plan_of_blocks
from planner.solve.patterns import Decomposition
from planner.solve.search import Search
from planner.week.cautious.cuts import Shortfall
from planner.week.cautious.draws import sets_a_week


@dataclass(frozen=True)
class Proven:
    """The best plan known of an aim, its value, the bound of every plan's, and whether the search was stopped."""

    plan: Plan
    value: float
    bound: float
    stopped: bool


@dataclass(frozen=True)
class Question:
    """An aim to prove: what is minimized, what holds beside it, its gap, and the true value of a plan.

    `value` gives infinity for a plan that does not keep what holds.
    """

    objective: Terms
    holds: tuple[Row, ...]
    gap: float
    value: Callable[[Plan], float]


class Bounds:
    """One program with its tangents, asked again and again."""

    def __init__(self, shortfall: Shortfall, settings: CautiousSettings) -> None:
        self.shortfall, self.settings = shortfall, settings
        self.search = Search(shortfall.program, Decomposition(shortfall.program))
        blocks = max(1, len(self.search.decomposition.blocks))
        self.rounds = (
            settings.cautious_effort // blocks**2
        )  # in a large week a round takes long and proves little

    def prove(self, question: Question, plan: Plan) -> Proven:
        """Bring bound and value together as far as the budget allows; `plan` is the best that is known."""
        value = question.value(plan)
        bound, left, stopped = self.linear(question, value), self.settings.cautious_node_budget, False
        for _ in range(self.rounds):
            if value - bound <= question.gap + ROUNDING or left <= 0:
                break
            better = Row("better", question.objective, -float("inf"), value - question.gap, "of the aim")
            aim = Aim(question.objective, (*self._holds(question), better), question.gap / 2)
            found = self.search.close(aim, left)
            left -= max(1, found.nodes)
            bound = max(bound, min(found.bound, value - question.gap))
            if found.point is None:
                stopped = stopped or found.stopped
                break
            there = plan_of_blocks(self.search.program, found.point)
            self.shortfall.cut_at(sets_a_week(there))
            if question.value(there) < value:
                plan, value = there, question.value(there)
        return Proven(plan, value, min(bound, value), stopped or value - bound > question.gap + ROUNDING)

    def linear(self, question: Question, value: float) -> float:
        """Bound an aim by weeks of broken blocks, with a new tangent where they are best."""
        bound = -float("inf")
        for _ in range(self.settings.cautious_bound_rounds):
            linear = self.search.decomposition.bound(question.objective, *self._holds(question))
            bound = max(bound, linear.value)
            if value - bound <= question.gap:
                break
            self.shortfall.cut_at(sets_of_point(self.search.program, linear.point))
        return bound

    def _holds(self, question: Question) -> tuple[Row, ...]:
        return (*self.shortfall.cuts, *question.holds)


def sets_of_point(program: Program, point: Mapping[int, float]) -> dict[str, float]:
    """Sets a week of each exercise at a point over blocks, parts of blocks too."""
    sets: dict[str, float] = {}
    for (key, _), by_count in program.blocks.items():
        for count, column in by_count.items():
            if point.get(column):
                sets[key] = sets.get(key, 0.0) + count * point[column]
    return sets
