"""The search for one aim: the whole week at once, then around the best plan; what is asked of the solver and what it answers."""

from __future__ import annotations

import time
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from itertools import combinations
from typing import TYPE_CHECKING

from planner.document import Plan
from planner.method import SEARCH
from planner.model.program import INFINITE, Program, Row, Terms
from planner.plain import ROUNDING

if TYPE_CHECKING:
    from planner.solve.solver import IntegerProgram

CHOSEN = 0.5  # a whole column above it is 1
Point = Mapping[int, float]


class Ending(Enum):
    """How a solve ended."""

    OPTIMAL = "optimal"  # value and bound have met, within the gap asked for
    INFEASIBLE = "infeasible"  # proven: no point satisfies the rows
    UNBOUNDED = "unbounded"
    TARGET = "a point at least as good as asked for was found"
    NODES = "node budget used up"
    SECONDS = "emergency stop"


@dataclass(frozen=True)
class Stops:
    """When a solve may end: absolute gap in the objective's unit, nodes, processor seconds as an emergency stop, a good value.

    `held`: the best dose is held, so that one heuristic costs more than it gives.
    """

    gap: float
    nodes: int
    seconds: float
    target: float = -INFINITE
    quick: bool = False
    held: bool = False


@dataclass(frozen=True)
class Answer:
    """What the solver found: `values` by place (None: no point), value and bound of the objective."""

    ending: Ending
    values: Sequence[float] | None
    value: float
    bound: float
    seconds: float
    nodes: int

    @property
    def stopped(self) -> bool:
        """Whether a budget cut the search short."""
        return self.ending in (Ending.NODES, Ending.SECONDS)


@dataclass(frozen=True)
class Aim:
    """What is minimized over a program, what holds beside its rows, and the gap at which it is proven."""

    program: Program
    objective: Terms
    gap: float
    holds: tuple[Row, ...] = ()


@dataclass
class Found:
    """The best point known, its value, the bound, and whether a stop cut the search short.

    No point and an infinite bound: there is no plan.
    """

    point: Point | None
    value: float
    bound: float
    stopped: bool


@dataclass(frozen=True)
class Clock:
    """The processor seconds of one aim as a whole: every single search gets what is left of them."""

    seconds: float
    began: float = field(default_factory=time.thread_time)

    @property
    def left(self) -> float:
        """Processor seconds left, at least 0."""
        return max(0.0, self.seconds - (time.thread_time() - self.began))


def over_blocks(
    program: Program, kept: Collection[int] | None = None, holds: Iterable[Row] = ()
) -> IntegerProgram:
    """Give the program, or what is left of it if only some block columns are kept, with more rows that hold.

    Exercises that keep no block are left out too. The solver is loaded here: a command that solves nothing starts sooner.
    """
    from planner.solve.solver import IntegerProgram

    gone: set[int] = set()
    if kept is not None:
        gone = set(program.columns) - set(kept)
        staying = {key for (key, _), sets in program.blocks.items() if not gone.issuperset(sets.values())}
        gone |= {column for key, column in program.used.items() if key not in staying}
    variables = {at: column for at, column in enumerate(program.variables) if at not in gone}
    return IntegerProgram(variables, [*program.rows, *holds])


def plan_in(program: Program, point: Point) -> Plan:
    """Read the sets of each chosen block out of a point."""
    return {
        pair: sets
        for pair, by_count in program.blocks.items()
        for sets, column in by_count.items()
        if point.get(column, 0.0) > CHOSEN
    }


def hold(terms: Terms, most: float, rule: str = "hold") -> Row:
    """Σ terms ≤ most."""
    return Row(rule, terms, high=most + ROUNDING)


def linear_bound(aim: Aim) -> float:
    """Optimum of the linear relaxation, which no plan of the program is below; infinite if it has none."""
    from planner.solve.solver import IntegerProgram

    variables = {at: replace(column, whole=False) for at, column in enumerate(aim.program.variables)}
    model = IntegerProgram(variables, [*aim.program.rows, *aim.holds])
    seconds = aim.program.problem.settings.emergency_seconds
    return model.minimize(aim.objective, Stops(0.0, 1, seconds))[0].bound


def close(aim: Aim, start: Plan | None = None, share: float = 1.0) -> Found:
    """Find a plan and a bound that lie within the aim's gap, beginning from `start` where that keeps all that must hold.

    `share`: of the aim's seconds for the search of the whole week; what is left makes a plan that was stopped better.
    """
    program, settings = aim.program, aim.program.problem.settings
    clock = Clock(settings.emergency_seconds)
    point = _point_of(aim, start, clock) if start else None
    seconds = share * clock.left
    stops = Stops(
        SEARCH.search_share * aim.gap, settings.node_budget, seconds, quick=True, held=bool(aim.holds)
    )
    answer, values = over_blocks(program, None, aim.holds).minimize(aim.objective, stops, point)
    found = Found(values or None, answer.value, answer.bound, answer.stopped)
    if found.point and found.value - found.bound > SEARCH.polish_share * aim.gap:
        _polish(aim, found, clock)
    if found.point and found.stopped:
        _day_by_day(aim, found, clock)
    return found


def _day_by_day(aim: Aim, found: Found, clock: Clock) -> None:
    """Make two days anew, the others as they are or with less, until no two give a better plan or the clock ends."""
    pairs = list(combinations([one.id for one in aim.program.problem.open_sessions], 2))
    untried = list(pairs)
    while untried and clock.left and found.value - found.bound > SEARCH.polish_share * aim.gap:
        days, plan = untried.pop(0), plan_in(aim.program, found.point or {})
        kept = {
            column
            for (key, day), by_count in aim.program.blocks.items()
            for sets, column in by_count.items()
            if day in days or plan.get((key, day)) == sets
        }
        stops = Stops(aim.gap, SEARCH.day_nodes, clock.left, quick=True)
        answer, point = over_blocks(aim.program, kept, aim.holds).minimize(aim.objective, stops, found.point)
        if point and answer.value < found.value - ROUNDING:
            found.value, found.point = answer.value, point
            untried = [pair for pair in pairs if pair != days]


def _point_of(aim: Aim, plan: Plan, clock: Clock) -> Point | None:
    """Every column of the best week that is made of a plan's blocks alone; None if that is no week."""
    blocks = aim.program.blocks
    kept = {blocks[pair][sets] for pair, sets in plan.items() if sets in blocks.get(pair, ())}
    model, stops = over_blocks(aim.program, kept, aim.holds), Stops(aim.gap, SEARCH.polish_nodes, clock.left)
    return model.minimize(aim.objective, stops)[1] or None


def _polish(aim: Aim, found: Found, clock: Clock) -> None:
    """Look around the best plan for a better one: its exercises in other places, and others of their heads in theirs."""
    problem, plan = aim.program.problem, plan_in(aim.program, found.point or {})
    keys = {key for key, _ in plan}
    heads = {(problem.by_key[key].trains, day, sets) for (key, day), sets in plan.items()}
    kept = {
        column
        for (key, day), by_count in aim.program.blocks.items()
        for sets, column in by_count.items()
        if key in keys or (problem.by_key[key].trains, day, sets) in heads
    }
    gap = SEARCH.polish_share * aim.gap
    stops = Stops(gap, SEARCH.polish_nodes, clock.left, found.bound + gap, quick=True)
    answer, point = over_blocks(aim.program, kept, aim.holds).minimize(aim.objective, stops, found.point)
    if point and answer.value < found.value:
        found.value, found.point = answer.value, point
