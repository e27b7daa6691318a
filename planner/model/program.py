"""The integer program of one week: variables and rows as plain numbers, before any solver sees them.

Sets are chosen by count: b[e,d,k] = 1 means k sets of exercise e in session d, so that
    x[e,d] = Σk k·b[e,d,k]   and   y[e,d] = Σk b[e,d,k],   with z[e] = 1 if e is used at all.
Rows keep a name of ours; the solver gets running numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from planner.model.pairings import Pairings
from planner.model.problem import Candidate, Problem, SessionKind

Terms = dict[int, float]
INFINITE = float("inf")


@dataclass(frozen=True)
class Variable:
    """One column: bounds and whether it is whole."""

    name: str
    low: float
    high: float
    whole: bool


@dataclass(frozen=True)
class Row:
    """One inequality low ≤ Σ terms ≤ high, in `unit`."""

    name: str
    terms: Terms
    low: float
    high: float
    unit: str


class Program:
    """Columns, rows and the two objectives of one problem. Limits and goals add to it; nothing is removed."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.variables: list[Variable] = []
        self.rows: list[Row] = []
        self.dose_price: Terms = {}
        self.rest_price: Terms = {}
        self.blocks: dict[tuple[str, str], dict[int, int]] = {}  # (exercise, session) -> {sets: column}
        self.used: dict[str, int] = {}
        self.turns = Pairings()
        for candidate in problem.candidates:
            self._add_blocks(candidate)

    def _add_blocks(self, candidate: Candidate) -> None:
        columns: list[int] = []
        for session in self.problem.sessions:
            pinned = (candidate.key, session.id) in self.problem.pins
            by_count = {
                sets: self.variable(
                    f"block:{candidate.key}:{session.id}:{sets}", float(pinned), 1, whole=True
                )
                for sets in self.problem.choices(candidate.key, session)
            }
            if by_count:
                self.blocks[candidate.key, session.id] = by_count
                columns.extend(by_count.values())
        if columns:
            self.used[candidate.key] = self.variable(f"used:{candidate.key}", 0, 1, whole=True)

    def variable(self, name: str, low: float, high: float, *, whole: bool = False) -> int:
        """Add a column and return its number."""
        self.variables.append(Variable(name, low, high, whole))
        return len(self.variables) - 1

    def row(
        self, name: str, terms: Terms, *, low: float = -INFINITE, high: float = INFINITE, unit: str
    ) -> None:
        """Add a row; empty rows are kept only if they can be broken, so that a clash is not hidden."""
        if terms or low > 0 or high < 0:
            self.rows.append(Row(name, terms, low, high, unit))

    def miss(self, name: str, price_minutes: float, *, must: bool = False, most: float = INFINITE) -> int:
        """Add a column that says by how much a goal is missed, at a price; a `must` goal cannot be missed."""
        column = self.variable(f"miss:{name}", 0, 0 if must else most)
        add(self.rest_price, {column: price_minutes})
        return column

    def pairs(self) -> list[tuple[Candidate, SessionKind]]:
        """List the (exercise, session) pairs that may be planned."""
        return self.planned

    @cached_property
    def planned(self) -> list[tuple[Candidate, SessionKind]]:
        """The same, listed once: what may be planned is known from the start, and every rule asks for it."""
        sessions = {session.id: session for session in self.problem.sessions}
        return [(self.problem.candidate(key), sessions[day]) for key, day in self.blocks]

    def sets(self, key: str, day: str, factor: float = 1.0) -> Terms:
        """Give factor · x[e,d]."""
        return {column: factor * sets for sets, column in self.blocks.get((key, day), {}).items()}

    def chosen(self, key: str, day: str, factor: float = 1.0) -> Terms:
        """Give factor · y[e,d]."""
        return dict.fromkeys(self.blocks.get((key, day), {}).values(), factor)

    def dose(self, head: str, day: str | None = None, *, direct_only: bool = False) -> Terms:
        """Give Σ c[e,head]·x[e,d] over all exercises, of one session or of the week; direct exercises only if asked."""
        terms: Terms = {}
        for candidate, session in self.pairs():
            credit = candidate.credits.get(head, 0.0)
            if (
                credit
                and (day is None or session.id == day)
                and (not direct_only or head in candidate.direct)
            ):
                terms.update(self.sets(candidate.key, session.id, credit))  # each pair has its own columns
        return terms


def add(terms: Terms, more: Mapping[int, float]) -> Terms:
    """Add `more` into `terms`, in place, and return it."""
    for column, value in more.items():
        terms[column] = terms.get(column, 0.0) + value
    return terms
