"""The search for one aim: bound the week by session patterns, then search only what could be better than what is known.

Value and bound are brought together: a plan that beats the best known one by more than the gap must cost less than
`width` above the linear bound, and so must each of its sessions. Where few patterns do, they are searched as columns;
where many do, the blocks that could belong to such a plan are (the one-piece program, cut down by reduced cost). Both
searches are exact, so their bounds hold for the week. Paired sets are searched in one piece.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

from planner.document import Plan
from planner.method import SEARCH
from planner.model.program import INFINITE, Program
from planner.plain import ROUNDING
from planner.solve.patterns import UNMET, Bound, Decomposition
from planner.solve.sessions import Pattern
from planner.solve.solver import Answer, Ending, Stops
from planner.solve.whole import Aim, Point, minimize_blocks, over_patterns, plan_in, point_in

Patterns = list[list[Pattern]]  # of each session


@dataclass
class Found:
    """The best point over blocks, its value, the bound, and whether a stop cut the search short."""

    point: Point | None = None
    value: float = INFINITE
    bound: float = -INFINITE
    stopped: bool = False
    looks: int = 0  # how often a good plan was looked for
    hurried: bool = False  # whether a better one was searched for from the best
    nodes: int = 0

    def open(self, gap: float) -> bool:
        """Whether value and bound are still farther apart than the gap."""
        return self.value - self.bound > gap + ROUNDING and self.bound < INFINITE

    def better_than(self, gap: float) -> float:
        """Value below which a plan is better by more than the gap; infinite while none is known."""
        return self.value - gap + ROUNDING if self.point is not None else INFINITE

    def learn(self, answer: Answer, point: Point, searched: float) -> None:
        """Take in an answer over everything that costs less than `searched`."""
        if answer.values is not None and answer.value < self.value:
            self.value, self.point = answer.value, point
        self.bound = max(self.bound, min(searched, answer.bound, self.value))
        self.stopped = answer.ending is Ending.SECONDS
        self.nodes += max(1, answer.nodes)


@dataclass
class Clock:
    """The seconds of one aim as a whole: every single search gets what is left of them."""

    seconds: float
    began: float

    @classmethod
    def of(cls, seconds: float) -> Clock:
        """Start a clock now."""
        return cls(seconds, time.perf_counter())

    @property
    def left(self) -> float:
        """Seconds left, at least 0."""
        return max(0.0, self.seconds - (time.perf_counter() - self.began))


class Search:
    """Closes the gap between value and bound of one aim after the other, over one program."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.settings = program.problem.settings

    @cached_property
    def decomposition(self) -> Decomposition:
        """The program split by sessions, made when it is first asked."""
        return Decomposition(self.program)

    def close(self, aim: Aim, start: Plan | None = None) -> Found:
        """Find a plan and a bound that lie within the aim's gap; `point` None and bound infinite: no plan is possible.

        `start`: a plan to begin from, where it keeps all that must hold.
        """
        clock, found = Clock.of(self.settings.emergency_seconds), Found()
        self._in_one_piece(aim, found, clock, self._point_of(aim, start, clock) if start else None)
        if found.open(aim.gap) and not self.program.problem.paired:
            found.stopped = False
            self._by_patterns(aim, found, clock)
        if found.value - found.bound > SEARCH.polish_share * aim.gap:
            self._polish(aim, found, clock)
        return found

    def _point_of(self, aim: Aim, plan: Plan, clock: Clock) -> Point | None:
        """Every column of the best week that is made of a plan's blocks alone; None if that is no week."""
        kept = {
            by_count[plan[pair]]
            for pair, by_count in self.program.blocks.items()
            if plan.get(pair) in by_count
        }
        stops = Stops(aim.gap, SEARCH.polish_nodes, clock.left)
        answer, point = minimize_blocks(self.program, aim, kept, INFINITE, stops)
        return (
            {**dict.fromkeys(range(len(self.program.variables)), 0.0), **point}
            if answer.values is not None
            else None
        )

    def _polish(self, aim: Aim, found: Found, clock: Clock) -> None:
        """Look around the best plan for a better one: its exercises in other places, and others of their heads in theirs."""
        if found.point is None:
            return
        problem, plan = self.program.problem, plan_in(self.program, found.point)
        keys = {key for key, _ in plan}
        heads = {(problem.by_key[key].trains, day, sets) for (key, day), sets in plan.items()}
        kept = {
            column
            for (key, day), by_count in self.program.blocks.items()
            for sets, column in by_count.items()
            if key in keys or (problem.by_key[key].trains, day, sets) in heads
        }
        gap = SEARCH.polish_share * aim.gap
        stops = Stops(gap, SEARCH.polish_nodes, clock.left, found.bound + gap, quick=True, rins=True)
        answer, point = minimize_blocks(self.program, aim, kept, INFINITE, stops, found.point)
        if answer.values is not None and answer.value < found.value:
            found.value, found.point = answer.value, point

    def _in_one_piece(self, aim: Aim, found: Found, clock: Clock, start: Point | None) -> None:
        """Search the whole week for a short while; paired sets as long as they may."""
        paired = self.program.problem.paired
        nodes = self.settings.node_budget if paired else SEARCH.one_piece_nodes

        stops = Stops(SEARCH.block_share * aim.gap, nodes, clock.left, quick=True, rins=True)
        answer, point = minimize_blocks(self.program, aim, None, INFINITE, stops, start)
        found.learn(answer, point, INFINITE)
        found.stopped = answer.stopped

    def _by_patterns(self, aim: Aim, found: Found, clock: Clock) -> None:
        """Close the gap by what session patterns tell; none of all plans is left out of the bound."""
        linear = self.decomposition.bound(aim.objective, *aim.holds)
        if linear.unmet > UNMET and found.point is None:
            found.bound = INFINITE
            return
        found.bound, width = max(found.bound, linear.value), aim.gap
        while found.open(aim.gap):
            if clock.left <= 0 or found.nodes >= self.settings.node_budget:
                found.stopped = True
                break
            # what a better plan may cost above the linear bound
            needed = found.value - aim.gap - linear.value
            width = min(max(width, ROUNDING), needed)
            patterns = nearly_best(linear, width)
            self._step(found, aim.gap, needed, few=patterns is not None)(
                _Round(aim, linear, found, self._stops(aim, found, clock), width, patterns or [])
            )
            width *= 2

    def _step(self, found: Found, gap: float, needed: float, *, few: bool) -> Callable[[_Round], None]:
        """Choose the next search, the cheapest first; all but a look are exact."""
        if few:
            return self._among_patterns
        far = needed > (SEARCH.far_gaps - 1) * gap
        if found.point is None or (far and found.looks < len(SEARCH.look_nodes)):
            return (
                self._look
            )  # while nothing is known to be better than, exact searches would be over everything
        return self._among_blocks if found.hurried else self._from_best

    def _stops(self, aim: Aim, found: Found, clock: Clock) -> Stops:
        """When a search may end: near enough, out of nodes or time, or at a plan within the gap of the bound."""
        nodes = max(1, self.settings.node_budget - found.nodes)
        return Stops(SEARCH.block_share * aim.gap, nodes, clock.left, found.bound + aim.gap)

    def _among_patterns(self, given: _Round) -> None:
        """Search all plans made of patterns within the width of the best."""
        aim, found = given.aim, given.found
        quick = replace(given.stops, gap=SEARCH.sharp_share * aim.gap, quick=True)
        rows = [*self.decomposition.coupling, *aim.rows(found.better_than(aim.gap))]
        model, by_column = over_patterns(self.program, rows, self.decomposition.rooms, given.patterns)
        objective = dict(aim.objective)
        for number, pattern in by_column.items():
            objective[number] = sum(aim.objective.get(block, 0.0) for block in pattern)
        answer, point = model.minimize(objective, quick)
        searched = given.linear.value + given.width
        whole = all(knapsack.spread() <= given.width for knapsack in given.linear.knapsacks)
        if answer.ending is Ending.INFEASIBLE and whole:
            searched = INFINITE  # there are no other patterns
        found.learn(answer, point_in(by_column, point), searched)
        if found.point is not None:
            # the best of the likely plans is known: no look finds a better one
            found.looks = len(SEARCH.look_nodes)

    def _look(self, given: _Round) -> None:
        """Look for a good plan among likely blocks, which proves nothing."""
        found, near, nodes = given.found, INFINITE, given.stops.nodes
        if found.looks < len(SEARCH.look_nodes):
            near, nodes = SEARCH.look_nearness[found.looks], SEARCH.look_nodes[found.looks]
        found.looks += 1
        likely = set(given.linear.seen) | likely_blocks(given.linear, near * given.aim.gap)
        stops = replace(given.stops, nodes=nodes)
        answer, point = minimize_blocks(self.program, given.aim, likely, found.better_than(0.0), stops)
        found.learn(answer, point, INFINITE if near == INFINITE else given.linear.value)

    def _from_best(self, given: _Round) -> None:
        """Look from the best plan known for those that are better by more than the gap."""
        found, linear = given.found, given.linear
        found.hurried = True
        below, best = found.better_than(given.aim.gap), found.point or {}
        kept = likely_blocks(linear, below - linear.value) | {at for at, value in best.items() if value > 0}
        nodes = min(given.stops.nodes, SEARCH.hurry_nodes)
        quick = replace(given.stops, nodes=nodes, quick=True, rins=True)
        answer, point = minimize_blocks(self.program, given.aim, kept, INFINITE, quick, best)
        found.learn(answer, point, below)

    def _among_blocks(self, given: _Round) -> None:
        """Search all plans that could be better by more than the gap."""
        found, linear = given.found, given.linear
        below = found.better_than(given.aim.gap)
        kept = likely_blocks(linear, below - linear.value)
        answer, point = minimize_blocks(self.program, given.aim, kept, below, given.stops)
        found.learn(answer, point, below)


@dataclass(frozen=True)
class _Round:
    """What one search is given: the aim, its linear bound, what is known so far, and when to stop.

    `patterns` are all that lie within `width` of their session's best (in the aim's unit); empty where they are many.
    """

    aim: Aim
    linear: Bound
    found: Found
    stops: Stops
    width: float
    patterns: Patterns


def nearly_best(linear: Bound, width: float) -> Patterns | None:
    """All patterns of every session within `width` of its best; None if they are many."""
    listed, left = [], SEARCH.few_patterns
    for knapsack in linear.knapsacks:
        patterns = knapsack.patterns(width, left)
        if patterns is None:
            return None
        listed.append(patterns)
        left -= len(patterns)
    return listed


def likely_blocks(linear: Bound, width: float) -> set[int]:
    """Block columns that a plan within `width` of the linear bound can hold."""
    return {
        column
        for knapsack in linear.knapsacks
        for column, cost in knapsack.forcing_costs().items()
        if cost < width + ROUNDING
    }
