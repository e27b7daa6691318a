"""The week without its days: sets and blocks of each exercise over the whole week, as whole numbers.

Rows and columns that differ only in the session are added up, so every plan is a point of this smaller program
that costs no more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.model.program import INFINITE, Program, Row, Terms, Variable
from planner.plain import LAST_DIGITS

OF_USE = (
    "blocks:",
    "used:",
)  # rows that say when an exercise is used: its blocks over the week say it themselves
Pick = Callable[[Iterable[float]], float]


@dataclass(frozen=True)
class Exercise:
    """One exercise over the week: its columns (sets, blocks), and its block columns by set count, rising."""

    sets: int
    blocks: int
    of_count: Mapping[int, tuple[int, ...]]
    days: int

    @property
    def counts(self) -> tuple[int, ...]:
        """The set counts it has, rising."""
        return tuple(self.of_count)


class Folding:
    """The program of weekly totals: columns and rows, and how terms over the week's columns are written over them."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.days = frozenset(session.id for session in program.problem.sessions)
        self.variables: dict[int, Variable] = {}
        self.exercises = {key: self._exercise(key, by_day) for key, by_day in _by_exercise(program).items()}
        self.owner = {
            column: (key, count)
            for key, one in self.exercises.items()
            for count, columns in one.of_count.items()
            for column in columns
        }
        # an exercise is used at most as often as it has blocks, and at least as often as its blocks fill its days
        self.used = {program.used[key]: one for key, one in self.exercises.items()}
        self.alike: dict[int, int] = {}  # column of the program -> the column of its sum over the days
        self.size: dict[int, int] = {}  # how many columns were added up
        self._add_up_others()
        telling = (row for row in program.rows if not row.name.startswith(OF_USE))
        self.rows = [*self._counts(), *self.folded(telling)]

    def folded(self, rows: Iterable[Row]) -> list[Row]:
        """Add up the rows that differ only in the day, and write them over totals: each is met by every plan."""
        groups: dict[str, list[Row]] = defaultdict(list)
        for row in rows:
            groups[self._without_day(row.name)].append(row)
        return [folded for name, group in groups.items() for folded in self._folded(name, group)]

    def fold(self, terms: Terms, pick: Pick) -> Terms:
        """Write terms over the program's columns as terms over totals: never more with `min`, never less with `max`."""
        folded: Terms = defaultdict(float)
        values: dict[int, list[float]] = defaultdict(list)
        by_count: dict[str, dict[int, list[float]]] = defaultdict(dict)
        for column, value in terms.items():
            owner = self.owner.get(column)
            if owner is not None:
                by_count[owner[0]].setdefault(owner[1], []).append(value)
            elif column in self.used:
                one = self.used[column]
                folded[one.blocks] += value / one.days if (value > 0) == (pick is min) else value
            else:
                values[self.alike[column]].append(value)
        for column, found in values.items():
            folded[column] += pick(found if len(found) == self.size[column] else [*found, 0.0])
        for key, of_count in by_count.items():
            one = self.exercises[key]
            points = []
            for count, columns in one.of_count.items():
                found = of_count.get(count, [])
                # a day without the count in these terms has 0
                points.append((count, pick(found if len(found) == len(columns) else [*found, 0.0])))
            each, once = _line(points, pick)
            folded[one.sets] += each
            folded[one.blocks] += once
        return {column: value for column, value in folded.items() if abs(value) > LAST_DIGITS}

    def _folded(self, name: str, group: Sequence[Row]) -> list[Row]:
        total: Terms = defaultdict(float)
        for row in group:
            for column, value in row.terms.items():
                total[column] += value
        low, high = sum(row.low for row in group), sum(row.high for row in group)
        unit, rows = group[0].unit, []
        if low > -INFINITE:
            rows.append(Row(name, self.fold(total, max), low, INFINITE, unit))
        if high < INFINITE:
            rows.append(Row(name, self.fold(total, min), -INFINITE, high, unit))
        return rows

    def _exercise(self, key: str, by_day: Sequence[Mapping[int, int]]) -> Exercise:
        """Add the two whole columns of an exercise; what is pinned is in both."""
        pinned = [by for by in by_day if any(self.program.variables[at].low > 0 for at in by.values())]
        most, least = sum(max(by) for by in by_day), sum(min(by) for by in pinned)
        of_count: dict[int, list[int]] = defaultdict(list)
        for by in by_day:
            for count, column in by.items():
                of_count[count].append(column)
        return Exercise(
            sets=self._add(Variable(f"sets:{key}", least, most, whole=True)),
            blocks=self._add(Variable(f"blocks:{key}", len(pinned), len(by_day), whole=True)),
            of_count={count: tuple(of_count[count]) for count in sorted(of_count)},
            days=len(by_day),
        )

    def _add_up_others(self) -> None:
        """Give every other column that of its sum over the days; it need not be whole, which keeps the bound true."""
        number: dict[str, int] = {}
        for column, one in enumerate(self.program.variables):
            if column in self.owner or column in self.used:
                continue
            name = self._without_day(one.name)
            if name not in number:
                number[name] = self._add(Variable(name, 0.0, 0.0, whole=False))
            at = number[name]
            before = self.variables[at]
            self.variables[at] = Variable(name, before.low + one.low, before.high + one.high, whole=False)
            self.alike[column], self.size[at] = at, self.size.get(at, 0) + 1

    def _counts(self) -> list[Row]:
        """A block has at least the smallest, at most the largest set count: smin·blocks ≤ sets ≤ smax·blocks."""
        rows = []
        for key, one in self.exercises.items():
            low, high = one.counts[0], one.counts[-1]
            rows.append(Row(f"least:{key}", {one.sets: 1.0, one.blocks: -low}, 0.0, INFINITE, "sets"))
            rows.append(Row(f"most:{key}", {one.sets: 1.0, one.blocks: -high}, -INFINITE, 0.0, "sets"))
        return rows

    def _add(self, variable: Variable) -> int:
        self.variables[len(self.variables)] = variable
        return len(self.variables) - 1

    def _without_day(self, name: str) -> str:
        return ":".join("*" if part in self.days else part for part in name.split(":"))


def _by_exercise(program: Program) -> dict[str, list[Mapping[int, int]]]:
    found: dict[str, list[Mapping[int, int]]] = defaultdict(list)
    for (key, _), by_count in program.blocks.items():
        found[key].append(by_count)
    return found


def _line(points: Sequence[tuple[int, float]], pick: Pick) -> tuple[float, float]:
    """Give slope and start of the line through the first and last set count, moved to the side that `pick` asks for."""
    (first, low), (last, high) = points[0], points[-1]
    if first == last:
        return 0.0, low
    slope = (high - low) / (last - first)
    return slope, pick([value - slope * count for count, value in points])
