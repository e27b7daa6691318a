"""Pairs in the program: how often two kinds of exercises are done in turns in a session.

Exercises that work the same heads at the same equipment and rest as long are one kind; how many pairs there are
of two kinds is one whole column.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING

from planner.document import Plan
from planner.model.pairs import is_heavy, may_pair, pairs_of, saved_seconds, worked
from planner.model.problem import Candidate, SessionKind

if TYPE_CHECKING:
    from planner.model.program import Program, Terms


@dataclass(frozen=True, eq=False)
class Kind:
    """Exercises of one session that pair alike, each with the same number of sets: their block columns."""

    like: Candidate
    sets: int
    blocks: list[int] = field(default_factory=list)


@dataclass(frozen=True)
class Pairing:
    """One column of pairs: its session, the seconds that each of them saves, and the two kinds."""

    day: str
    saved: int
    kinds: tuple[Kind, Kind]

    @property
    def multi_joint(self) -> int:
        """How many of the two exercises are multi-joint lifts."""
        return sum(kind.like.multi_joint for kind in self.kinds)


class Pairings:
    """All columns of pairs of a program, empty where none are asked for."""

    def __init__(self) -> None:
        self.of: dict[int, Pairing] = {}
        self.first_lifts: dict[str, int] = {}  # session -> column, 1: a multi-joint lift is in a pair there

    @property
    def columns(self) -> set[int]:
        """Every column that pairs brought into the program."""
        return {*self.of, *self.first_lifts.values()}

    @cached_property
    def by_blocks(self) -> Mapping[frozenset[int], int]:
        """The column of every two blocks that may be a pair. Asked for when the program is whole."""
        return {
            frozenset((one, other)): column
            for column, pairing in self.of.items()
            for one in pairing.kinds[0].blocks
            for other in pairing.kinds[1].blocks
        }

    def chosen(self, program: Program, plan: Plan) -> Counter[int]:
        """Count the pairs of a plan by their columns."""
        count: Counter[int] = Counter()
        for day in dict.fromkeys(day for _, day in plan):
            for pair in pairs_of(program.problem, plan, day):
                blocks = frozenset(program.blocks[key, day][plan[key, day]] for key in pair)
                column = self.by_blocks.get(blocks)
                if column is None:
                    continue  # a session that is over has no columns
                count[column] += 1
                if self.of[column].multi_joint:
                    count[self.first_lifts[day]] = 1
        return count


def rows(program: Program) -> None:
    """Σj p[i,j,d,n] ≤ Σ of i's blocks of n sets, p whole: in session d so many pairs of kinds i and j, n sets each.

    A multi-joint lift is in a pair only where another of the session stands alone, to come first.
    """
    for session in program.problem.sessions:
        if session.frozen or not program.problem.paired:
            continue  # what was trained took the time that it took
        kinds = kinds_of(program, session)
        columns = [one for pair in combinations(kinds, 2) for one in add_pairing(program, session, *pair)]
        for number, kind in enumerate(kinds):
            terms = {at: 1.0 for at in columns if kind in program.turns.of[at].kinds}
            if terms:
                terms |= dict.fromkeys(kind.blocks, -1.0)
                program.row(f"pairs:{session.id}:{number}", terms, high=0, unit="pairs")
        leave_a_first_lift(program, session, columns)


def kinds_of(program: Program, session: SessionKind) -> list[Kind]:
    """Group the blocks of a session that may be in pairs."""
    kinds: dict[tuple[object, ...], Kind] = {}
    for candidate, day in program.pairs():
        if day.id != session.id or is_heavy(program.problem.settings, candidate):
            continue
        for sets, column in program.blocks[candidate.key, day.id].items():
            alike = (worked(candidate), frozenset(candidate.station), candidate.rest_seconds)
            kind = kinds.setdefault((*alike, candidate.multi_joint, sets), Kind(candidate, sets))
            kind.blocks.append(column)
    return list(kinds.values())


def add_pairing(program: Program, session: SessionKind, one: Kind, other: Kind) -> Iterator[int]:
    """Add the column of pairs of two kinds, where they may alternate and it saves time."""
    settings = program.problem.settings
    if one.sets != other.sets or not may_pair(settings, one.like, other.like):
        return
    saved = saved_seconds(settings, one.like, other.like, one.sets)
    if saved > 0:
        most = min(len(one.blocks), len(other.blocks))
        name = f"pairs:{one.like.key}+{other.like.key}:{session.id}:{one.sets}"
        column = program.variable(name, 0, most, whole=True)
        program.turns.of[column] = Pairing(session.id, saved, (one, other))
        yield column


def leave_a_first_lift(program: Program, session: SessionKind, columns: Sequence[int]) -> None:
    """Σ multi-joint lifts in pairs ≤ most·first and Σ multi-joint lifts alone ≥ first, first = 0 or 1."""
    in_pairs: Terms = {at: float(program.turns.of[at].multi_joint) for at in columns}
    in_pairs = {at: lifts for at, lifts in in_pairs.items() if lifts}
    if not in_pairs:
        return
    first = program.variable(f"first_lift:{session.id}", 0, 1, whole=True)
    program.turns.first_lifts[session.id] = first
    most = sum(lifts * program.variables[at].high for at, lifts in in_pairs.items())
    program.row(f"pairs:{session.id}:lifts", {**in_pairs, first: -most}, high=0, unit="lifts")
    alone: Terms = {at: -lifts for at, lifts in in_pairs.items()} | {first: -1.0}
    for candidate, day in program.pairs():
        if day.id == session.id and candidate.multi_joint:
            alone |= program.chosen(candidate.key, day.id)
    program.row(f"pairs:{session.id}:first_lift", alone, low=0, unit="lifts")
