"""The search for one aim: bound the week, then search only what could be better than what is known.

A week with room to spare is searched by its totals first (`by_totals`). Where that does not close the gap, session
patterns bound the week.

Value and bound are brought together: a plan that beats the best known one by more than the tolerance must cost
less than `width` above the linear bound, and so must each of its sessions. Where few patterns do, they are
searched as columns; where many do, the blocks that could belong to such a plan are (the
one-piece program, cut down by reduced cost). Both searches are exact, so their bounds hold for the week.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property

from planner.method import SEARCH
from planner.model.limits.time import seconds_used
from planner.model.program import INFINITE, Program
from planner.plain import ROUNDING
from planner.solve.by_totals import ByTotals
from planner.solve.found import Aim, Found
from planner.solve.highs import Answer, Ending, Stops
from planner.solve.integer import blocks_of_patterns, minimize_blocks, over_patterns
from planner.solve.patterns import UNMET, Bound, Decomposition
from planner.solve.sessions import Pattern, Room
from planner.solve.steps import Patterns, Round, Step, next_step
from planner.solve.totals import Totals

Looked = tuple[Answer, Mapping[int, float]]  # an answer and its point over blocks


class Search:
    """Closes the gap between value and bound of one aim after the other, over one program."""

    def __init__(self, program: Program, decomposition: Decomposition) -> None:
        self.program = program
        self.decomposition = decomposition
        self.settings = program.problem.settings

    @cached_property
    def totals(self) -> Totals:
        """The program of weekly totals, made when it is first asked."""
        return Totals(self.program)

    def close(self, aim: Aim, nodes: int | None = None) -> Found:
        """Find a plan and a bound that lie within the aim's gap; `point` None: no plan satisfies the rows.

        `nodes` None: the budget of an aim.
        """
        found = Found(None, INFINITE, -INFINITE)
        left = self.settings.node_budget if nodes is None else nodes
        if self.program.turns.of:
            left = max(1, left // SEARCH.pair_node_weight)
        totals = ByTotals(self.totals, aim, found, left) if aim.roomy else None
        if totals is not None:
            left = totals.narrow()
        if found.open(aim.gap):
            self._by_patterns(aim, found, left, totals)
        return found

    def _by_patterns(self, aim: Aim, found: Found, left: int, totals: ByTotals | None) -> None:
        """Close the gap by what session patterns tell; none of all plans is left out of the bound."""
        linear = self.decomposition.bound(aim.objective, *aim.holds)
        if linear.unmet > UNMET and found.point is None:
            found.bound = INFINITE
            return
        found.bound, width = max(found.bound, linear.value), aim.gap
        while found.open(aim.gap):
            needed = (
                found.value - aim.gap - linear.value
            )  # what a better plan may cost above the linear bound
            width = min(max(width, ROUNDING), needed)
            few, before = nearly_best(linear, width), found.value
            step = next_step(found, aim.gap, needed, few=few is not None)
            left -= self._take(
                step, Round(aim, linear, found, self._stops(aim, found, left), width, few or [])
            )
            if step is Step.LOOK and totals is not None and totals.promises_after(before):
                left = totals.go_on(left)
            width *= 2
            found.stopped = found.stopped or left <= 0
            if found.stopped:
                break

    def _stops(self, aim: Aim, found: Found, left: int) -> Stops:
        """When a search may end: near enough, out of nodes, or at a plan within the gap of the bound."""
        enough = found.bound + aim.gap
        return Stops(SEARCH.block_share * aim.gap, left, self.settings.emergency_seconds, enough)

    def _take(self, step: Step, given: Round) -> int:
        """Carry out one search; returns the nodes it took."""
        searches = {
            Step.PATTERNS: self._among_patterns,
            Step.LOOK: self._look,
            Step.FROM_BEST: self._from_best,
            Step.BLOCKS: self._among_blocks,
        }
        return searches[step](given)

    def _among_patterns(self, given: Round) -> int:
        """Search all plans made of patterns within the width of the best; returns the nodes it took."""
        aim, found = given.aim, given.found
        quick = replace(given.stops, gap=SEARCH.sharp_share * aim.gap, quick=True)
        answer, point = self._over_patterns(aim, given.patterns, found.better_than(aim.gap), quick)
        searched = given.linear.value + given.width
        if answer.ending is Ending.INFEASIBLE and all(
            one.spread() <= given.width for one in given.linear.knapsacks
        ):
            searched = INFINITE  # there are no other patterns
        taken = found.learn(answer, point, searched)
        if found.point is not None:
            # the best of the likely plans is known: no look finds a better one
            found.looks = len(SEARCH.look_nodes)
        return taken

    def _look(self, given: Round) -> int:
        """Look for a good plan among likely blocks, which proves nothing; returns the nodes it took."""
        found, near, nodes = given.found, INFINITE, given.stops.nodes
        if found.looks < len(SEARCH.look_nodes):
            near, nodes = SEARCH.look_nearness[found.looks], SEARCH.look_nodes[found.looks]
        found.looks += 1
        likely = set(given.linear.seen) | likely_blocks(given.linear, near * given.aim.gap)
        stops = replace(given.stops, nodes=nodes)
        answer, point = minimize_blocks(self.program, given.aim, likely, found.better_than(0.0), stops)
        searched = INFINITE if near == INFINITE else given.linear.value
        return found.learn(answer, point, searched)

    def _from_best(self, given: Round) -> int:
        """Look from the best plan known for those that are better by more than the gap; returns the nodes it took."""
        found, linear = given.found, given.linear
        found.hurried = True
        below, best = found.better_than(given.aim.gap), found.point or {}
        kept = likely_blocks(linear, below - linear.value) | {at for at, value in best.items() if value > 0.5}
        stops = given.stops
        quick = replace(stops, nodes=min(stops.nodes, SEARCH.hurry_nodes), quick=True, rins=True)
        answer, point = minimize_blocks(self.program, given.aim, kept, INFINITE, quick, start=best)
        return found.learn(answer, point, below)

    def _among_blocks(self, given: Round) -> int:
        """Search all plans that could be better by more than the gap; returns the nodes it took."""
        found, linear = given.found, given.linear
        below = found.better_than(given.aim.gap)
        kept = likely_blocks(linear, below - linear.value)
        answer, point = minimize_blocks(self.program, given.aim, kept, below, given.stops)
        return found.learn(answer, point, below)

    def _over_patterns(self, aim: Aim, patterns: Patterns, below: float, stops: Stops) -> Looked:
        rows = [*self.decomposition.rows, *aim.rows(below)]
        rooms = self.decomposition.rooms
        if self.program.turns.of:
            patterns = [
                in_turns(self.program, room, of_room) for room, of_room in zip(rooms, patterns, strict=True)
            ]
        model, by_column = over_patterns(self.program, rows, rooms, patterns)
        objective = dict(aim.objective)
        for number, pattern in by_column.items():
            objective[number] = sum(aim.objective.get(block, 0.0) for block in pattern)
        answer = model.minimize(objective, stops)
        return answer, blocks_of_patterns(by_column, model.point(answer))


def in_turns(program: Program, room: Room, patterns: list[Pattern]) -> list[Pattern]:
    """Add the columns of its pairs to each pattern, and leave out those that do not fit even so."""
    where = {
        column: (pair, sets)
        for pair, by_count in program.blocks.items()
        if pair[1] == room.id
        for sets, column in by_count.items()
    }
    whole = []
    for pattern in patterns:
        plan = dict(where[column] for column in pattern)
        if room.is_over or seconds_used(program.problem, plan, room.id) <= room.seconds:
            whole.append((*pattern, *program.turns.chosen(program, plan).elements()))
    return whole


def nearly_best(linear: Bound, width: float) -> Patterns | None:
    """All patterns of every session within `width` of its best; None if they are many."""
    found, left = [], SEARCH.few_patterns
    for knapsack in linear.knapsacks:
        patterns = knapsack.patterns(width, left)
        if patterns is None:
            return None
        found.append(patterns)
        left -= len(patterns)
    return found


def likely_blocks(linear: Bound, width: float) -> set[int]:
    """Block columns that a plan within `width` of the linear bound can hold."""
    return {
        column
        for knapsack in linear.knapsacks
        for column, cost in knapsack.forcing_costs().items()
        if cost < width + ROUNDING
    }
