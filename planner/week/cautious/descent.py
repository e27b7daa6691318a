"""Improving a week exchange by exchange, within every limit: first the expected shortfall, then the rest.

It proves nothing. It finds in a moment what a search over all weeks would take long to find; the bound is
another's work (`bounds.py`).
"""

from __future__ import annotations

from collections.abc import Mapping

from planner.document import Plan
from planner.method import CautiousSettings
from planner.model.aims import rest_value
from planner.model.limits.time import seconds_used
from planner.model.problem import dose_of
from planner.plain import ROUNDING
from planner.week.cautious.cuts import Shortfall
from planner.week.cautious.moves import Move, Moves, Pair
from planner.week.holding import Holding

DIGITS = 9  # values are put in order by so many decimals, so that no last digit chooses the plan


class Descent:
    """Limits, ceilings and exchanges of one problem; `ceilings`: direct sets a week of these sessions, by head."""

    def __init__(
        self, shortfall: Shortfall, ceilings: Mapping[str, float], settings: CautiousSettings
    ) -> None:
        self.program, self.problem = shortfall.program, shortfall.program.problem
        self.shortfall, self.ceilings, self.settings = shortfall, ceilings, settings
        self.moves, self.holding = Moves(shortfall), Holding(self.problem)

    def keeps(self, plan: Plan) -> bool:
        """Whether a plan keeps every limit, ceiling and goal that must hold; what is quick to see is seen first."""
        if any(dose_of(self.problem, plan, head) > most + ROUNDING for head, most in self.ceilings.items()):
            return False
        clock = ((seconds_used(self.problem, plan, one.id), one) for one in self.problem.sessions)
        if any(used > one.seconds and not one.frozen for used, one in clock):
            return False
        return not self.holding.broken(plan)

    def least_shortfall(self, plan: Plan) -> Plan:
        """Exchange while the expected shortfall falls, the largest fall first."""
        for _ in range(self.settings.cautious_steps):
            found = self._surest(plan, self.moves.of(plan))
            if found is None:
                break
            plan = found
        return plan

    def mended(self, plan: Plan, most: float) -> Plan | None:
        """Exchange until a plan has at most this expected shortfall, cheaply, then for the rest; None: it never has."""
        for _ in range(self.settings.cautious_steps):
            if self.shortfall.of(plan) <= most + ROUNDING:
                return self.least_rest(plan, most)
            moves = self.moves.of(plan)
            found = self._cheapest(plan, self._near(plan, moves, most), float("inf"))
            found = found or self._surest(plan, moves)
            if found is None:
                break
            plan = found
        return None

    def least_rest(self, plan: Plan, most: float) -> Plan:
        """Exchange while the rest gets cheaper among weeks of at most this expected shortfall."""
        value = rest_value(self.problem, plan)
        for _ in range(self.settings.cautious_steps):
            found = self._cheapest(plan, self._near(plan, self.moves.of(plan), most), value)
            if found is None:
                break
            plan, value = found, rest_value(self.problem, found)
        return plan

    def _surest(self, plan: Plan, moves: list[Move]) -> Plan | None:
        """The exchange that lowers the expected shortfall most."""
        value = self.shortfall.of(plan)
        better = [move for move in moves if move.value < value - ROUNDING]
        better.sort(key=lambda move: round(move.value, DIGITS))  # ties fall in library order
        after = (move.on(plan) for move in better)
        return next((there for there in after if self.keeps(there)), None)

    def _near(self, plan: Plan, moves: list[Move], most: float) -> list[Move]:
        """The exchanges that are worth a closer look: of at most this expected shortfall, the least effort first."""
        near = [move for move in moves if move.value <= most + ROUNDING]
        near.sort(key=lambda move: round(self._effort(plan, move), DIGITS))
        return near[: self.settings.cautious_looks]

    def _cheapest(self, plan: Plan, moves: list[Move], below: float) -> Plan | None:
        found = None
        for move in moves:
            there = move.on(plan)
            value = rest_value(self.problem, there)
            if value < below - ROUNDING and self.keeps(there):
                found, below = there, value
        return found

    def _effort(self, plan: Plan, move: Move) -> float:
        """What an exchange costs by minutes and lines alone: the order in which it is worth a closer look."""
        gone = self._price(move.out, plan[move.out]) if move.out else 0.0
        return (self._price(move.into, move.sets) if move.into else 0.0) - gone

    def _price(self, pair: Pair, sets: int) -> float:
        return self.program.rest_price.get(self.program.blocks[pair][sets], 0.0)
