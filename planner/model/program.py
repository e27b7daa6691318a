"""The integer program of one week, before any solver sees it, and the records of its rules.

Sets are chosen by count: b[e,d,k] = 1 means k sets of exercise e in session d, so that
    x[e,d] = Σk k·b[e,d,k]   and   y[e,d] = Σk b[e,d,k],   with z[e] = 1 if e is used at all.
Rows carry their rule, what it is about and their day; the solver gets running numbers. Limits are hard; goals may be
missed for a price. Whatever speaks of rules (why, clash, sheets, week.json, tests) reads their records.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from planner.document import LimitUse, Plan
from planner.model.problem import Candidate, Problem, SessionKind
from planner.plain import ROUNDING, RuleWords, rule_words

Terms = dict[int, float]
INFINITE = float("inf")


@dataclass(frozen=True)
class Variable:
    """One column: bounds and whether it is whole."""

    low: float
    high: float
    whole: bool


@dataclass(frozen=True)
class Row:
    """One inequality low ≤ Σ terms ≤ high of a rule, in `unit`; `about` says of what, `day` of which session."""

    rule: str
    terms: Terms
    low: float = -INFINITE
    high: float = INFINITE
    unit: str = ""
    about: str = ""
    day: str = ""

    @property
    def name(self) -> str:
        """RULE:ABOUT:DAY, for people."""
        return ":".join(part for part in (self.rule, self.about, self.day) if part)


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
        self.aside: dict[str, int] = {}  # head -> column of the helping credits that count
        self.saved: dict[int, int] = {}  # column of a pair -> seconds that it saves
        self.replaced: dict[str, int] = {}  # day -> column of the sets that stand in for more than was lost
        for candidate in problem.candidates:
            self._add_blocks(candidate)

    def _add_blocks(self, candidate: Candidate) -> None:
        for session in self.problem.sessions:
            low = float((candidate.key, session.id) in self.problem.pins)
            counts = self.problem.choices(candidate.key, session)
            if counts:
                by_count = {sets: self.variable(low, 1, whole=True) for sets in counts}
                self.blocks[candidate.key, session.id] = by_count
        if any((candidate.key, session.id) in self.blocks for session in self.problem.sessions):
            self.used[candidate.key] = self.variable(0, 1, whole=True)

    def variable(self, low: float, high: float, *, whole: bool = False) -> int:
        """Add a column and return its number."""
        self.variables.append(Variable(low, high, whole))
        return len(self.variables) - 1

    def row(self, rule: str, terms: Terms, *, unit: str, **limits: Any) -> None:
        """Add a Row with such `limits`; empty rows are kept only if they can be broken, so that a clash is not hidden."""
        row = Row(rule, terms, unit=unit, **limits)
        if terms or row.low > 0 or row.high < 0:
            self.rows.append(row)

    def miss(self, price: float, *, most: float = INFINITE) -> int:
        """Add a column that says by how much a goal is missed, at a price in minute-equivalents."""
        column = self.variable(0, most)
        add(self.rest_price, {column: price})
        return column

    @cached_property
    def pairs(self) -> list[tuple[Candidate, SessionKind]]:
        """The (exercise, session) pairs that may be planned."""
        sessions = {session.id: session for session in self.problem.sessions}
        return [(self.problem.by_key[key], sessions[day]) for key, day in self.blocks]

    @cached_property
    def columns(self) -> frozenset[int]:
        """All columns of blocks."""
        return frozenset(column for by_count in self.blocks.values() for column in by_count.values())

    def sets(self, key: str, day: str, factor: float = 1.0) -> Terms:
        """Give factor · x[e,d]."""
        return {column: factor * sets for sets, column in self.blocks.get((key, day), {}).items()}

    def chosen(self, key: str, day: str, factor: float = 1.0) -> Terms:
        """Give factor · y[e,d]."""
        return dict.fromkeys(self.blocks.get((key, day), {}).values(), factor)

    def total(self, weight: Callable[[Candidate], float], day: str | None = None) -> Terms:
        """Give Σ weight(e)·x[e,d] over all exercises, of one session or of the week."""
        terms: Terms = {}
        for candidate, session in self.pairs:
            if day in (None, session.id) and (factor := weight(candidate)):
                terms.update(self.sets(candidate.key, session.id, factor))
        return terms

    def count(self, chooses: Callable[[Candidate], bool], day: str) -> Terms:
        """Give Σ y[e,d] over the exercises of one session that `chooses` picks."""
        terms: Terms = {}
        for candidate, session in self.pairs:
            if session.id == day and chooses(candidate):
                terms.update(self.chosen(candidate.key, day))
        return terms

    def dose(self, head: str, day: str | None = None) -> Terms:
        """Give Σ c[e,head]·x[e,d] over all exercises, own and helping."""
        return self.total(lambda one: one.credits.get(head, 0.0), day)

    def own(self, head: str, day: str | None = None) -> Terms:
        """Give Σ c[e,head]·x[e,d] over movements that are chosen for the head, of one session or of the week."""
        return self.total(lambda one: one.credits.get(head, 0.0) if one.trains == head else 0.0, day)

    def helping(self, head: str) -> Terms:
        """Give Σ c[e,head]·x[e,d] over all other movements, of the week."""
        return self.total(lambda one: one.credits.get(head, 0.0) if one.trains != head else 0.0)

    def seconds(self, day: str) -> Terms:
        """Give Σe (t[e]·x[e,d] + u[e]·y[e,d]), seconds of one session, pairs apart."""
        return {
            column: candidate.seconds(sets)
            for candidate, session in self.pairs
            if session.id == day
            for sets, column in self.blocks[candidate.key, day].items()
        }


def add(terms: Terms, more: Mapping[int, float], factor: float = 1.0) -> Terms:
    """Add factor · `more` into `terms`, in place, and return it."""
    for column, value in more.items():
        terms[column] = terms.get(column, 0.0) + factor * value
    return terms


@dataclass(frozen=True)
class Miss:
    """One goal missed by `by` (in `unit`), costing `price` minute-equivalents in the second aim."""

    goal: str
    by: float
    unit: str
    price: float


@dataclass(frozen=True)
class Limit:
    """A hard limit: `rows` adds its inequality to a program, `use` says from the plan alone how much is used."""

    name: str
    rows: Callable[[Program], None]
    use: Callable[[Problem, Plan], Iterator[LimitUse]]

    @property
    def words(self) -> RuleWords:
        """Its words."""
        return rule_words()["limit"][self.name]


@dataclass(frozen=True)
class Goal:
    """A goal: `rows` adds its inequality with its price, `missed` names from the plan alone what is missed."""

    name: str
    rows: Callable[[Program], None]
    missed: Callable[[Problem, Plan], Iterator[Miss]]

    @property
    def words(self) -> RuleWords:
        """Its words."""
        return rule_words()["goal"][self.name]


def no_use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Nothing to report of a limit."""
    del problem, plan
    return iter(())


def miss(goal: str, by: float, unit: str, price_each: float) -> Iterator[Miss]:
    """Give a miss if the goal is not reached."""
    if by > ROUNDING:
        yield Miss(goal, by, unit, by * price_each)
