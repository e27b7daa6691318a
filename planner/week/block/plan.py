"""Plan a block of weeks, rolling: the first is solved freely, each later one holds its exercises and is proven anew.

One program over all weeks would prove the sum of weeks that will be planned again anyway, once the log of the
weeks before is written; week by week each has its own proof, and a week that asks what one before it asked is
not solved again.
"""

from __future__ import annotations

import datetime
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from planner.athlete.folder import last_week
from planner.document import WeekDocument, plan_of
from planner.model.inputs import Inputs
from planner.model.problem import Problem
from planner.solve.solved import Solved
from planner.week.block.document import BlockDocument, block_document
from planner.week.block.told import BlockAsked
from planner.week.filed import Filed, read_filed
from planner.week.plan import Asked, asked_ahead, asked_in, document_of, solve_asked, sureness
from planner.week.sure import Sureness

Answer = tuple[Problem, Solved, Mapping[str, Sureness]]


@dataclass(frozen=True)
class PlannedBlock:
    """A block's weeks, each with what it was asked with; `longer`: weeks on disk of an earlier block behind its end."""

    asked: tuple[Asked, ...]
    document: BlockDocument
    longer: tuple[str, ...]


@dataclass
class Solver:
    """Solves weeks, each question once."""

    known: dict[Hashable, Answer] = field(default_factory=dict)

    def document(self, asked: Asked) -> WeekDocument:
        """Solve a week, or take the answer to the same question. Raises NoWeekPossible, naming the week."""
        question = question_of(asked.inputs)
        if question not in self.known:
            problem, solved = solve_asked(asked.inputs)
            self.known[question] = problem, solved, sureness(asked, solved.plan)
        return document_of(asked, *self.known[question])


def question_of(inputs: Inputs) -> Hashable:
    """Give all that tells one week of a block from another, apart from its name and its effort."""
    return (
        tuple(inputs.targets.values()),
        inputs.block is not None and inputs.block.lighter,
        inputs.last_week,
        tuple(sorted(plan_of(inputs.hard).items())) if inputs.hard else None,
        tuple(dose.target for dose in inputs.hard.dose) if inputs.hard else None,
        tuple(exercise.reps for exercise in inputs.library.exercises.values()),
    )


def plan_block(folder: Path, told: BlockAsked, today: datetime.date) -> PlannedBlock:
    """Plan the weeks of a block; writes nothing.

    Raises FaultyInput (a file is wrong, the options do not fit), NotCleared, NoWeekPossible.
    """
    first = told.first_week(today)
    filed = read_filed(folder)
    told.check(filed.train)
    solver = Solver()
    (first, mark), *later = told.marks(first, filed.inputs.brief.block, filed.train).items()
    asked = [asked_in(filed, first, last_week(folder, first), mark)]
    weeks = [solver.document(asked[0])]
    for name, mark in later:
        asked.append(asked_ahead(asked[0], name, weeks[-1], mark, last_hard(weeks)))
        weeks.append(solver.document(asked[-1]))
    return PlannedBlock(tuple(asked), block_document(tuple(weeks)), longer_blocks(filed, weeks))


def last_hard(weeks: list[WeekDocument]) -> WeekDocument | None:
    """Give the newest week that is no lighter one, if there is one."""
    return next((week for week in reversed(weeks) if week.block and not week.block.lighter), None)


def longer_blocks(filed: Filed, weeks: list[WeekDocument]) -> tuple[str, ...]:
    """Name the weeks on disk after this block that belong to a block which it cuts short."""
    last = weeks[-1].week
    return tuple(week for week, mark in filed.marks.items() if week > last >= mark.first)
