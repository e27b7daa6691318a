"""Improving a week exchange by exchange, within every limit: first the expected shortfall, then the rest.

It proves nothing. It finds in a moment what a search over all weeks would take long to find; the bound is
another's work (`bounds.py`).
"""

from __future__ import annotations

from collections.abc import Mapping

from planner.week.aims import rest_value
from planner.week.cautious.cuts import Shortfall
from planner.week.cautious.moves import Move, Moves, Pair
from planner.week.cautious.settings import CautiousSettings
from planner.week.holding import Holding
from planner.week.limits.time import seconds_used
from planner.week.problem import Plan, dose_of

DUST = 1e-6


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
        if any(dose_of(self.problem, plan, head) > most + DUST for head, most in self.ceilings.items()):
            return False
        clock = ((seconds_used(self.problem, plan, one.id), one) for one in self.problem.sessions)
        if any(used > one.seconds and not one.frozen for used, one in clock):
            return False
        return not self.holding.broken(plan)

    def least_shortfall(self, plan: Plan) -> Plan:
        """Exchange while the expected shortfall falls, the largest fall first."""
        value = self.shortfall.of(plan)
        for _ in range(self.settings.cautious_steps):
            better = sorted(
                (move for move in self.moves.of(plan) if move.value < value - DUST),
                key=lambda move: move.value,
            )
            found = next((move for move in better if self.keeps(move.on(plan))), None)
            if found is None:
                break
            plan, value = found.on(plan), found.value
        return plan

    def least_rest(self, plan: Plan, most: float) -> Plan:
        """Exchange while the rest gets cheaper among weeks of at most this expected shortfall."""
        value = rest_value(self.problem, plan)
        for _ in range(self.settings.cautious_steps):
            near = [move for move in self.moves.of(plan) if move.value <= most + DUST]
            near.sort(key=lambda move: self._effort(plan, move))
            found = self._cheapest(plan, near[: self.settings.cautious_looks], value - DUST)
            if found is None:
                break
            plan, value = found, rest_value(self.problem, found)
        return plan

    def _cheapest(self, plan: Plan, moves: list[Move], below: float) -> Plan | None:
        found = None
        for move in moves:
            there = move.on(plan)
            value = rest_value(self.problem, there)
            if value < below and self.keeps(there):
                found, below = there, value
        return found

    def _effort(self, plan: Plan, move: Move) -> float:
        """What an exchange costs by minutes and lines alone: the order in which it is worth a closer look."""
        gone = self._price(move.out, plan[move.out]) if move.out else 0.0
        return (self._price(move.into, move.sets) if move.into else 0.0) - gone

    def _price(self, pair: Pair, sets: int) -> float:
        return self.program.rest_price.get(self.program.blocks[pair][sets], 0.0)
