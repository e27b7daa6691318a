"""The search for one aim: bound the week, then search only what could be better than what is known.

A week with room to spare is bounded by its totals (sets of each exercise, days left out), and the exercises of the
best totals are spread over the days. Where that does not close the gap, session patterns bound the week.

Value and bound are brought together: a plan that beats the best known one by more than the tolerance must cost
less than `width` above the linear bound, and so must each of its sessions. Where few patterns do, they are
searched as columns; where many do, the blocks that could belong to such a plan are (the
one-piece program, cut down by reduced cost). Both searches are exact, so their bounds hold for the week.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import cached_property

from planner.week.limits.time import seconds_used
from planner.week.program import INFINITE, Program, Row
from planner.week.solve.found import INSIDE, Aim, Found
from planner.week.solve.highs import Answer, Ending, Stops
from planner.week.solve.integer import blocks_of_patterns, over_blocks, over_patterns
from planner.week.solve.patterns import UNMET, Bound, Decomposition
from planner.week.solve.sessions import Pattern, Room
from planner.week.solve.settings import SEARCH
from planner.week.solve.totals import Totals

Patterns = list[list[Pattern]]  # of each session
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
        for _ in range(SEARCH.totals_rounds if aim.roomy else 0):
            before = found.value
            left -= self._by_totals(aim, found, left)
            stuck = found.value > before - INSIDE or found.open(SEARCH.totals_far * aim.gap)
            if left <= 0 or stuck or not found.open(aim.gap):
                break
        if found.open(aim.gap):
            self._by_patterns(aim, found, left)
        return found

    def _by_totals(self, aim: Aim, found: Found, left: int) -> int:
        """Bound the week by its totals and spread their exercises over the days; returns the nodes it took."""
        below = found.better_than(aim.gap)
        nodes, seconds = min(left, SEARCH.totals_nodes), self.settings.emergency_seconds
        stops = Stops(SEARCH.totals_share * aim.gap, nodes, seconds, quick=True)
        answer, exercises = self.totals.minimize(aim.objective, self._extra_rows(aim, below), stops)
        found.bound = max(found.bound, min(answer.bound, below))
        taken = max(1, answer.nodes)
        found.nodes += taken
        if found.open(aim.gap) and exercises:
            blocks = self._blocks_of(exercises)
            nodes = min(max(1, left - taken), SEARCH.spread_nodes)
            gap, enough = SEARCH.sharp_share * aim.gap, found.bound + aim.gap
            stops = Stops(gap, nodes, seconds, enough, quick=True, rins=True)
            spread, point = self._over_blocks(aim, blocks, found.better_than(0.0), stops)
            taken += found.learn(spread, point, found.bound)
        return taken

    def _blocks_of(self, exercises: Collection[str]) -> set[int]:
        return {
            column
            for (key, _), by_count in self.program.blocks.items()
            if key in exercises
            for column in by_count.values()
        }

    def _by_patterns(self, aim: Aim, found: Found, left: int) -> None:
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
            width = min(max(width, INSIDE), needed)
            patterns = nearly_best(linear, width)
            stops = Stops(
                SEARCH.block_share * aim.gap, left, self.settings.emergency_seconds, found.bound + aim.gap
            )
            if patterns is not None:
                left -= self._among_patterns(aim, linear, found, patterns, width, stops)
            elif found.point is None or (
                found.looks < len(SEARCH.look_nodes) and needed > (SEARCH.far_gaps - 1) * aim.gap
            ):
                left -= self._look(aim, linear, found, stops)
            else:
                left -= self._among_blocks(aim, linear, found, stops)
            width *= 2
            found.stopped = found.stopped or left <= 0
            if found.stopped:
                break

    def _among_patterns(
        self, aim: Aim, linear: Bound, found: Found, patterns: Patterns, width: float, stops: Stops
    ) -> int:
        """Search all plans made of patterns within `width` of the best; returns the nodes it took."""
        quick = replace(stops, gap=SEARCH.sharp_share * aim.gap, quick=True)
        answer, point = self._over_patterns(aim, patterns, found.better_than(aim.gap), quick)
        searched = linear.value + width
        if answer.ending is Ending.INFEASIBLE and all(one.spread() <= width for one in linear.knapsacks):
            searched = INFINITE  # there are no other patterns
        taken = found.learn(answer, point, searched)
        if found.point is not None:
            found.looks = len(
                SEARCH.look_nodes
            )  # the best of the likely plans is known: no look finds a better one
        return taken

    def _among_blocks(self, aim: Aim, linear: Bound, found: Found, stops: Stops) -> int:
        """Search all plans that could be better by more than the gap; returns the nodes it took."""
        below = found.better_than(aim.gap)
        answer, point = self._over_blocks(aim, likely_blocks(linear, below - linear.value), below, stops)
        return found.learn(answer, point, below)

    def _look(self, aim: Aim, linear: Bound, found: Found, stops: Stops) -> int:
        """Look for a good plan among likely blocks, which proves nothing; returns the nodes it took."""
        near, nodes = (
            (SEARCH.look_nearness[found.looks], SEARCH.look_nodes[found.looks])
            if found.looks < len(SEARCH.look_nodes)
            else (INFINITE, stops.nodes)
        )
        found.looks += 1
        likely = set(linear.seen) | likely_blocks(linear, near * aim.gap)
        answer, point = self._over_blocks(aim, likely, found.better_than(0.0), replace(stops, nodes=nodes))
        searched = INFINITE if near == INFINITE else linear.value
        return found.learn(answer, point, searched)

    def _over_patterns(self, aim: Aim, patterns: Patterns, below: float, stops: Stops) -> Looked:
        rows = [*self.decomposition.rows, *self._extra_rows(aim, below)]
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

    def _over_blocks(
        self, aim: Aim, kept: set[int] | None, below: float, stops: Stops
    ) -> tuple[Answer, Mapping[int, float]]:
        model = over_blocks(self.program, kept, kept)
        for row in self._extra_rows(aim, below):
            model.add_row(row)
        answer = model.minimize(aim.objective, stops)
        return answer, model.point(answer)

    def _extra_rows(self, aim: Aim, below: float) -> list[Row]:
        rows = [*aim.holds]
        if below < INFINITE:
            rows.append(Row("better", aim.objective, -INFINITE, below, "of the aim"))
        return rows


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
        if cost < width + INSIDE
    }
