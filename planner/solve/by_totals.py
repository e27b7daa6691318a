"""Weeks with room to spare: bounded by their totals, and made of the best totals, spread over the days.

The linear optimum over totals bounds the week and tells by how much a week that uses an exercise is dearer at
least. A good week is found among totals over exercises that are hardly dearer. A week that beats it by more than
the gap can hold only exercises that are not too dear: where no totals over those do, none exists.
"""

from __future__ import annotations

from collections.abc import Mapping

from planner.method import SEARCH
from planner.plain import ROUNDING
from planner.solve.found import Aim, Found
from planner.solve.highs import Stops
from planner.solve.integer import minimize_blocks
from planner.solve.totals import Totals


class ByTotals:
    """Narrows the gap of one aim; `left` is what is left of its nodes."""

    def __init__(self, totals: Totals, aim: Aim, found: Found, left: int) -> None:
        self.totals, self.aim, self.found, self.left = totals, aim, found, left
        self.program = totals.program
        self.seconds = self.program.problem.settings.emergency_seconds
        self.nodes = SEARCH.totals_nodes  # of one search over weekly totals
        self.relaxed = totals.relaxed(aim.objective, aim.holds, self.seconds)

    def narrow(self) -> int:
        """Go on until the gap is closed or a round is of no more use; returns the nodes that are left."""
        self.found.bound = self.relaxed.bound
        self._round(SEARCH.totals_near * self.aim.gap)
        for _ in range(SEARCH.totals_rounds):
            before = self.found.value
            self.go_on(self.left)
            if not self.promises_after(before):
                if self.nodes > SEARCH.totals_nodes or self.found.open(SEARCH.totals_far * self.aim.gap):
                    break
                self.nodes = SEARCH.totals_patience  # the bound is near: it has been given up too soon
        return self.left

    def promises_after(self, value: float) -> bool:
        """Whether a round more may close the gap: the best week has become better since `value`, and is not far."""
        found = self.found
        return found.value < value - ROUNDING and not found.open(SEARCH.totals_far * self.aim.gap)

    def go_on(self, left: int) -> int:
        """Search only what could be better than the best week by more than the gap; returns the nodes that are left."""
        self.left = left
        self._round(self.found.better_than(self.aim.gap) - self.relaxed.bound)
        return self.left

    def _round(self, width: float) -> None:
        """Bound the weeks within `width` of the linear bound, and spread the best totals among them."""
        if self.left > 0 and self.found.open(self.aim.gap):
            first = self.found.point is None
            kept = self.relaxed.within(width) | self.totals.exercises_of(self.found.point or {})
            self._spread(self._bound(kept, self.relaxed.bound + width), first=first)

    def _bound(self, kept: set[str], searched: float) -> Mapping[str, int]:
        """Bound the weeks cheaper than `searched`, made of exercises `kept`; gives the sets of the best totals."""
        gap, found = self.aim.gap, self.found
        nodes = min(self.left, SEARCH.totals_first if found.point is None else self.nodes)
        if found.point is None:
            enough = found.bound + SEARCH.totals_enough * gap
            stops = Stops(SEARCH.totals_share * gap, nodes, self.seconds, enough, quick=True)
        else:
            stops = Stops(SEARCH.block_share * gap, nodes, self.seconds, quick=True)
        answer, sets = self.totals.minimize(self.aim.objective, self.aim.holds, stops, kept, found.point)
        found.bound = max(found.bound, min(answer.bound, searched))
        self._took(answer.nodes)
        return sets

    def _spread(self, sets: Mapping[str, int], *, first: bool) -> None:
        """Spread exercises over the days: with the very sets, which is quick, then with as many as may be."""
        for rows in (self.totals.held(sets), ()):
            if not sets or self.left <= 0 or not self.found.open(self.aim.gap):
                break
            nodes = 1 if rows or first else min(self.left, SEARCH.spread_nodes)
            enough = self.found.bound + self.aim.gap
            stops = Stops(
                SEARCH.sharp_share * self.aim.gap, nodes, self.seconds, enough, quick=True, rins=True
            )
            blocks = self.totals.blocks_of(sets)
            better = self.found.better_than(0.0)
            answer, point = minimize_blocks(self.program, self.aim, blocks, better, stops, rows)
            self._took(self.found.learn(answer, point, self.found.bound))

    def _took(self, nodes: int) -> None:
        self.left -= max(1, nodes)
