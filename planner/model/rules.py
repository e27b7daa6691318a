"""One record a rule: what it is called, its words, its rows in the program, and how a plan keeps it.

Limits are hard; goals may be missed for a price. Both are written once here and in limits.py and goals.py, and whatever
speaks of rules (program, why, clash, sheets, coach's pages, week.json, tests) reads these records.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.document import LimitUse, Plan
from planner.plain import ROUNDING, RuleWords, rule_words

if TYPE_CHECKING:
    from planner.model.problem import Problem
    from planner.model.program import Program


@dataclass(frozen=True)
class Miss:
    """One goal missed by `by` (in `unit`), costing `price` minute-equivalents in the second aim."""

    goal: str
    by: float
    unit: str
    price: float


@dataclass(frozen=True)
class Limit:
    """A hard limit: `rows` adds its inequality to a program, `use` says from the plan alone how much is used."""

    name: str
    rows: Callable[[Program], None]
    use: Callable[[Problem, Plan], Iterator[LimitUse]]

    @property
    def words(self) -> RuleWords:
        """Its words."""
        return rule_words()["limit"][self.name]


@dataclass(frozen=True)
class Goal:
    """A goal: `rows` adds its inequality with its price, `missed` names from the plan alone what is missed."""

    name: str
    rows: Callable[[Program], None]
    missed: Callable[[Problem, Plan], Iterator[Miss]]

    @property
    def words(self) -> RuleWords:
        """Its words."""
        return rule_words()["goal"][self.name]


def no_use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Nothing to report of a limit."""
    del problem, plan
    return iter(())


def miss(goal: str, by: float, unit: str, price_each: float) -> Iterator[Miss]:
    """Give a miss if the goal is not reached."""
    if by > ROUNDING:
        yield Miss(goal, by, unit, by * price_each)
