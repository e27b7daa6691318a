"""The floor as intervals in time: order, start and replacements so that no station is asked for by more than it has.
Minutes are whole and count from the hour asked for; a block of sets is rounded up, which leaves time to walk and to
wipe down. The solver is CP-SAT of OR-Tools (extra `[room]`), imported where it is used."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import TYPE_CHECKING, Any, TypeVar

from library.errors import NoWeekPossible, SolverFault
from library.method import Settings
from planner.method import ROOM

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, CpSolver

Thing = TypeVar("Thing")
KNOWN = ("OPTIMAL", "FEASIBLE")
PARTS = 10  # of a minute-equivalent: the solver counts in whole numbers


@dataclass(frozen=True)
class Way:
    """One way to do a block: `lines` as printed, the stations it occupies throughout, and what it changes. `price`:
    minute-equivalents of the week that a replacement costs; `instead`: it is one."""

    lines: tuple[str, ...]
    minutes: int
    stations: tuple[str, ...]
    price: float = 0.0
    instead: bool = False


@dataclass(frozen=True)
class Block:
    """An exercise, or two in turns, with its letter on the sheet; the first way is the one that was planned."""

    letter: str
    ways: tuple[Way, ...]
    heavy: bool = False


@dataclass(frozen=True)
class Person:
    """Who comes, with the blocks in planned order. Booked from minute `begins` on; `over` at the latest."""

    name: str
    blocks: tuple[Block, ...]
    over: int
    begins: int = 0
    warmup: int = 0
    language: str = "en"  # of the slip


@dataclass(frozen=True)
class Room:
    """People who train at the same time, and how many may be at each counted station at once."""

    people: tuple[Person, ...]
    stations: Mapping[str, int]
    settings: Settings = ROOM


@dataclass(frozen=True)
class Visit:
    """A block in its place: minutes `start` to `end`."""

    block: Block
    way: Way
    start: int

    @property
    def end(self) -> int:
        """The minute in which the station is free again."""
        return self.start + self.way.minutes


@dataclass(frozen=True)
class Aim:
    """What is proven of an aim, in minutes: nothing else can be below `bound`."""

    value: float
    bound: float

    @property
    def gap(self) -> float:
        """By how much another timetable could be better at most."""
        return max(0.0, self.value - self.bound)


@dataclass(frozen=True)
class Timetable:
    """Visits of each person in order of time; `waiting` (replacements priced in it) came before `change`. `stopped`:
    the search ended before both were proven."""

    visits: tuple[tuple[Visit, ...], ...]
    waiting: Aim
    change: Aim
    stopped: bool


@dataclass
class Floor:
    """The program of a room: a column for each start, an interval for each way of each block."""

    room: Room
    limits: Mapping[str, int]  # stations that count here
    model: CpModel = field(init=False)
    starts: dict[tuple[int, int], Any] = field(default_factory=dict)  # (person, block) -> its start
    ends: dict[tuple[int, int], Any] = field(default_factory=dict)
    chosen: dict[tuple[int, int, int], Any] = field(default_factory=dict)  # (person, block, way) -> 0 or 1
    later: dict[tuple[int, int, int], Any] = field(default_factory=dict)  # (person, i, j): i comes after j
    out: dict[int, Any] = field(default_factory=dict)  # person -> the end of the last block

    def __post_init__(self) -> None:
        from ortools.sat.python import cp_model

        self.model = cp_model.CpModel()
        self.crowd: dict[str, list[Any]] = {station: [] for station in self.limits}
        for at in range(len(self.room.people)):
            self._person(at)
        for station, intervals in self.crowd.items():  # at each minute: people at the station ≤ what there is
            self.model.add_cumulative(intervals, [1] * len(intervals), self.limits[station])

    def _person(self, at: int) -> None:
        person, model = self.room.people[at], self.model
        first = person.begins + person.warmup
        whole = [self._block(at, number, first, person.over) for number in range(len(person.blocks))]
        model.add_no_overlap(whole)
        for i, j in combinations(range(len(person.blocks)), 2):
            swapped = self.later[at, i, j] = model.new_bool_var("")
            model.add(self.starts[at, i] >= self.ends[at, j]).only_enforce_if(swapped)
            model.add(self.starts[at, j] >= self.ends[at, i]).only_enforce_if(~swapped)
        self.out[at] = model.new_int_var(first, person.over, "")
        model.add_max_equality(self.out[at], [self.ends[at, number] for number in range(len(whole))])
        replaced = [self.chosen[key] for key in self.chosen if key[0] == at and self.way(*key).instead]
        model.add(sum(replaced) <= 1)  # each replacement alone keeps every limit of the week

    def _block(self, at: int, number: int, first: int, over: int) -> Any:
        model, ways = self.model, self.room.people[at].blocks[number].ways
        start = self.starts[at, number] = model.new_int_var(first, over, "")
        minutes = [way.minutes for way in ways]
        length = model.new_int_var(min(minutes), max(minutes), "")
        end = self.ends[at, number] = model.new_int_var(first, over, "")
        for number_of_way, way in enumerate(ways):
            taken = self.chosen[at, number, number_of_way] = model.new_bool_var("")
            model.add(length == way.minutes).only_enforce_if(taken)
            one = model.new_optional_fixed_size_interval_var(start, way.minutes, taken, "")
            for station in {*way.stations} & {*self.limits}:
                self.crowd[station].append(one)
        model.add_exactly_one(self.chosen[at, number, one] for one in range(len(ways)))
        return model.new_interval_var(start, length, end, "")

    def way(self, at: int, number: int, way: int) -> Way:
        """Give a way by its numbers."""
        return self.room.people[at].blocks[number].ways[way]

    def burden(self, at: int) -> Any:
        """A person's end − begin − warm-up − work + replacements · what each must save, in minutes."""
        person, price = self.room.people[at], self.room.settings.replacement_minutes
        ways = [(taken, self.way(*key)) for key, taken in self.chosen.items() if key[0] == at]
        stay = self.out[at] - person.begins - person.warmup
        return stay + sum(taken * (price * way.instead - way.minutes) for taken, way in ways)

    def change(self) -> Any:
        """Σ replacements · their price in the week + Σ pairs of blocks in the other order · theirs, in PARTS of a minute."""
        settings, people = self.room.settings, self.room.people
        terms = [taken * round(PARTS * self.way(*key).price) for key, taken in self.chosen.items()]
        for (at, i, j), swapped in self.later.items():
            behind = people[at].blocks[i].heavy and not people[at].blocks[j].heavy
            price = settings.heavy_order_minutes if behind else settings.order_minutes
            terms.append(swapped * round(PARTS * price))
        return sum(terms)

    def visits(self, solver: CpSolver) -> tuple[tuple[Visit, ...], ...]:
        """Read each person's visits in order of time."""
        found: list[list[Visit]] = [[] for _ in self.room.people]
        for key, taken in self.chosen.items():
            if solver.value(taken):
                start = solver.value(self.starts[key[:2]])
                found[key[0]].append(Visit(self.room.people[key[0]].blocks[key[1]], self.way(*key), start))
        return tuple(tuple(sorted(visits, key=lambda visit: visit.start)) for visits in found)

    def keep(self, solver: CpSolver) -> None:
        """Begin the next search from what is found, and let nobody's burden grow."""
        burdens = [self.burden(at) for at in self.out]
        for burden in burdens:
            self.model.add(burden <= solver.value(burden))
        for column in (*self.starts.values(), *self.chosen.values(), *self.later.values()):
            self.model.add_hint(column, solver.value(column))


def search(floor: Floor, effort: float) -> tuple[CpSolver, str]:
    """Solve a floor: the same answer on every machine, unless the emergency stop in seconds ends it; with its status."""
    from ortools.sat.python import cp_model

    solver, settings = cp_model.CpSolver(), floor.room.settings
    solver.parameters.num_workers = 1
    solver.parameters.interleave_search = True
    solver.parameters.max_deterministic_time = effort
    solver.parameters.max_time_in_seconds = settings.room_emergency_seconds
    status = solver.status_name(solver.solve(floor.model))
    if status == "MODEL_INVALID":
        raise SolverFault(f"The room's program is wrong: {floor.model.validate()}")
    return solver, status


def timetable(room: Room) -> Timetable | None:
    """Find the timetable of least waiting, and of those in which nobody waits longer the one of least change. None: it
    is proven that there is none. Raises NoWeekPossible if the search ends before it knows."""
    floor, effort = Floor(room, room.stations), room.settings.room_effort
    burdens = sum(floor.burden(at) for at in floor.out)
    floor.model.minimize(burdens)
    solver, status = search(floor, effort)
    if status == "INFEASIBLE":
        return None
    if status not in KNOWN:
        raise NoWeekPossible("The search found no timetable in its time: give some of them another hour")
    floor.keep(solver)
    floor.model.minimize(floor.change())
    second, also = search(floor, effort)
    best = second if also in KNOWN else solver
    # where the first search was stopped, the second may have found less waiting too
    waiting = Aim(best.value(burdens), min(best.value(burdens), solver.best_objective_bound))
    change = Aim(best.value(floor.change()) / PARTS, second.best_objective_bound / PARTS)
    return Timetable(floor.visits(best), waiting, change, stopped=(status, also) != ("OPTIMAL", "OPTIMAL"))


def too_many(room: Room) -> tuple[tuple[str, ...], tuple[Person, ...]]:
    """Give the fewest stations for which there is no timetable even if all others were plenty, and whom of them it
    takes. One station is looked for first; else each that can be left out is. Not known counts as possible."""

    def clash(stations: Sequence[str], people: Sequence[Person]) -> bool:
        limits = {key: room.stations[key] for key in stations}
        floor = Floor(Room(tuple(people), room.stations, room.settings), limits)
        return search(floor, room.settings.room_effort)[1] == "INFEASIBLE"

    one = next(([key] for key in room.stations if clash([key], room.people)), None)
    stations = one or _fewest(list(room.stations), lambda left: clash(left, room.people))
    return tuple(stations), tuple(_fewest(list(room.people), lambda left: clash(stations, left)))


def _fewest(items: list[Thing], still: Callable[[list[Thing]], bool]) -> list[Thing]:
    for item in list(items):
        left = [other for other in items if other is not item]
        items = left if still(left) else items
    return items
