"""Weekly totals: their program bounds the week, and its exercises and sets are those of a good week.

The bound is true for the week. Where sessions have room to spare it is much sharper than the linear bound.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.model.program import Program, Row, Terms
from planner.plain import ROUNDING
from planner.solve.folding import Folding
from planner.solve.highs import Answer, Stops
from planner.solve.integer import IntegerProgram
from planner.solve.linear import relax


@dataclass(frozen=True)
class Relaxed:
    """The linear optimum over totals: a bound, and by how much a week that uses an exercise is dearer at least."""

    bound: float
    dearer: Mapping[str, float]

    def within(self, width: float) -> set[str]:
        """Exercises that a week can use which costs at most `width` more than the bound."""
        return {key for key, more in self.dearer.items() if more <= width + ROUNDING}


class Totals:
    """The search over weekly totals, made once; bounds any objective of the program it was made from."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.form = Folding(program)

    def relaxed(self, objective: Terms, holds: Sequence[Row], seconds: float) -> Relaxed:
        """Minimize over weekly totals with parts of sets allowed."""
        rows = [*self.form.rows, *self.form.folded(holds)]
        bound, reduced = relax(self.form.variables, rows, self.form.fold(objective, min), seconds)
        dearer = {
            key: reduced.get(one.blocks, 0.0) + one.counts[0] * reduced.get(one.sets, 0.0)
            for key, one in self.form.exercises.items()
            if not self.form.variables[one.blocks].low
        }
        return Relaxed(bound, {key: dearer.get(key, 0.0) for key in self.form.exercises})

    def minimize(
        self,
        objective: Terms,
        holds: Sequence[Row],
        stops: Stops,
        kept: Collection[str] | None = None,
        start: Mapping[int, float] | None = None,
    ) -> tuple[Answer, dict[str, int]]:
        """Minimize over weekly totals of the exercises `kept`: the answer, and the sets of each exercise it uses.

        `start` is a point of the program to start from. The bound is true for every week of those exercises.
        """
        others = self.form.exercises.keys() - (self.form.exercises.keys() if kept is None else set(kept))
        gone = {
            at for key in others for at in (self.form.exercises[key].sets, self.form.exercises[key].blocks)
        }
        variables = {at: one for at, one in self.form.variables.items() if at not in gone}
        model = IntegerProgram(variables, [*self.form.rows, *self.form.folded(holds)])
        begin = None if start is None else model.values(self.point(start))
        answer = model.minimize(self.form.fold(objective, min), stops, begin)
        point = model.point(answer)
        used = {key: one for key, one in self.form.exercises.items() if point.get(one.blocks, 0.0) > 0.5}
        return answer, {key: round(point[one.sets]) for key, one in used.items()}

    def point(self, point: Mapping[int, float]) -> dict[int, float]:
        """Give the totals of a point of the program."""
        totals: dict[int, float] = defaultdict(float)
        for column, value in point.items():
            if column in self.form.owner:
                key, count = self.form.owner[column]
                totals[self.form.exercises[key].sets] += count * value
                totals[self.form.exercises[key].blocks] += value
            elif column in self.form.alike:
                totals[self.form.alike[column]] += value
        return totals

    def exercises_of(self, point: Mapping[int, float]) -> set[str]:
        """Exercises that a point of the program uses."""
        return {
            self.form.owner[at][0] for at, value in point.items() if value > 0.5 and at in self.form.owner
        }

    def blocks_of(self, exercises: Iterable[str]) -> set[int]:
        """All block columns of some exercises."""
        return {
            at
            for key in exercises
            for columns in self.form.exercises[key].of_count.values()
            for at in columns
        }

    def held(self, sets: Mapping[str, int]) -> list[Row]:
        """Hold the sets of each exercise over the week, as rows of the program: Σd x[e,d] = sets."""
        rows = []
        for key, total in sets.items():
            of_count = self.form.exercises[key].of_count
            terms = {column: float(count) for count, columns in of_count.items() for column in columns}
            rows.append(Row(f"sets:{key}", terms, total, total, "sets"))
        return rows
