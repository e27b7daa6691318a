"""Planning one week from an athlete's folder: read, solve, judge, compose."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from library.read import Library
from planner.athlete.folder import last_hard_week, last_week
from planner.document import (
    BlockMark,
    ExerciseWarning,
    MadeChange,
    Plan,
    WeekDocument,
    exercises_of,
    plan_of,
    week_named,
    week_start,
)
from planner.errors import NoWeekPossible
from planner.model.aims import rest_value
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.model.problem import Problem
from planner.solve.solved import Solved
from planner.train.carried import Carried, carried_over, for_later_weeks
from planner.week.block_notes import block_notes
from planner.week.compose import Week, compose
from planner.week.filed import Filed, read_filed
from planner.week.from_log import after_pain
from planner.week.held import solve_held
from planner.week.hints import hints
from planner.week.in_block import in_block
from planner.week.pins import refused_pins
from planner.week.since_last import moved_since, since_last_week
from planner.week.sure import Sureness, how_sure

if TYPE_CHECKING:
    from library.pooled_head import PooledHead

NOTHING_LEFT = "Nothing is left to train this week: what is done elsewhere covers every target."


@dataclass(frozen=True)
class Asked:
    """What is asked of the planner: the inputs, the week, and what the first page must say."""

    inputs: Inputs
    week: str
    start: datetime.date
    warnings: tuple[str, ...]
    before: WeekDocument | None
    pooled: Mapping[str, PooledHead]
    carried: Carried  # what the log says: pain, next loads, what last week left open
    changes: tuple[MadeChange, ...] = ()  # what `planner swap` was told of this week
    filed: Library | None = None  # the library as it is filed, where a block changes its repetitions
    ahead: bool = False  # planned before the week before it was trained: loads are yet to be decided

    @property
    def library(self) -> Library:
        """The library as it is filed."""
        return self.filed or self.inputs.library


def gather(
    folder: Path,
    week: str | None,
    today: datetime.date,
) -> Asked:
    """Read library, brief, gyms, last week, own evidence and log of an athlete's folder.

    A week on disk that belongs to a block keeps its place in it. Raises FaultyInput (a file is wrong), NotCleared
    (an operation without clearance).
    """
    name = week_named(week or "next", today)  # a wrong name is told before anything is read
    filed = read_filed(folder)
    mark = filed.marks.get(name)
    hard = last_hard_week(folder, name, mark.first) if mark else None
    return asked_in(filed, name, last_week(folder, name), mark, hard)


def asked_in(
    filed: Filed,
    week: str,
    before: WeekDocument | None,
    mark: BlockMark | None = None,
    hard: WeekDocument | None = None,
) -> Asked:
    """Give what is asked of a week: last week `before`; in a block its place and the last hard week of the block."""
    start = week_start(week)
    inputs = replace(filed.inputs, last_week=exercises_of(before))
    if mark is not None:
        inputs = in_block(inputs, mark, filed.train, hard)
    carried = carried_over(
        filed.log,
        inputs.library,
        inputs.gyms,
        start,
        before,
        inputs.week.reps_in_reserve,
        lighter_weeks=filed.lighter_weeks,
        asked_then=filed.asked_then,
        settings=filed.train,
    )
    warnings = (*filed.screening(start), *carried.pain.sheet_lines, *filed.capped)
    asked = Asked(after_pain(inputs, carried), week, start, warnings, before, filed.pooled, carried)
    return replace(asked, filed=filed.inputs.library)


def asked_ahead(
    filed: Filed, first: Asked, week: str, before: WeekDocument, mark: BlockMark, hard: WeekDocument | None
) -> Asked:
    """Give what is asked of a later week of a block, planned before the weeks in between are trained.

    `first` is the block's first week. Loads follow from logs yet to be written: the sheet says by which rule.
    """
    start = week_start(week)
    inputs = in_block(replace(filed.inputs, last_week=exercises_of(before)), mark, filed.train, hard)
    carried = for_later_weeks(first.carried, inputs.library, filed.train)
    return replace(
        first,
        inputs=after_pain(inputs, carried),
        week=week,
        start=start,
        warnings=(*filed.screening(start), *carried.pain.sheet_lines),
        before=before,
        carried=carried,
        ahead=True,
    )


def plan_week(asked: Asked) -> WeekDocument:
    """Plan the week that is asked for.

    Raises NoWeekPossible if what must hold cannot hold together, SolverFault if the solver fails.
    """
    return document_of(asked, *solve_asked(asked.inputs))


def solve_asked(inputs: Inputs) -> tuple[Problem, Solved]:
    """Solve a week, inside a block with what stays held; the problem is the one that the plan is judged by.

    Raises NoWeekPossible, SolverFault.
    """
    problem = build_problem(inputs)
    refused = refused_pins(inputs, problem)
    if refused:
        raise NoWeekPossible("\n".join(refused))
    if inputs.hard is not None and plan_of(inputs.hard):
        found = solve_held(inputs, problem)
    else:
        solved = solve_problem(problem)
        found = (problem, solved) if solved else None
    if found is None:
        raise no_week(inputs)
    return found


def notes(asked: Asked, problem: Problem, plan: Plan) -> Iterator[str]:
    """Say what the log says, what the block asks, what is different from last week, and what could be asked for."""
    yield from asked.carried.lines
    yield from block_notes(asked.inputs, plan)
    if asked.inputs.hard is None or {key for key, _ in plan} != asked.inputs.last_week:
        yield from since_last_week(asked.inputs, problem, plan, asked.before)
    if asked.inputs.hard is None:  # inside a block its own notes say it
        yield from moved_since(asked.inputs, problem, plan, asked.before)
    yield from hints(problem, plan)


def no_week(inputs: Inputs) -> NoWeekPossible:
    """Make the error of a week that cannot be: what cannot all hold together, and the nearest week."""
    from planner.change.clash import clash_of, clash_text

    return NoWeekPossible(clash_text(clash_of(inputs, solve_problem)))


def solve_problem(problem: Problem) -> Solved | None:
    """Solve a problem; a week in which nothing is needed is empty without asking the solver."""
    if not problem.anything_needed:
        return Solved({}, 0.0, 0.0, rest_value(problem, {}), 0.0, 0.0, stopped=False)
    from planner.solve.fast import solve_fast

    return solve_fast(problem)


def sureness(asked: Asked, plan: Plan) -> dict[str, Sureness]:
    """Judge how sure the dose of a plan is, head by head."""
    sets: dict[str, int] = {}
    for (key, _), count in plan.items():
        sets[key] = sets.get(key, 0) + count
    return how_sure(asked.inputs, asked.pooled, sets)


def document_of(
    asked: Asked, problem: Problem, solved: Solved, sure: Mapping[str, Sureness] | None = None
) -> WeekDocument:
    """Compose the document of a solved week, with how sure it is and what the first page must say."""
    nothing = () if problem.anything_needed else (NOTHING_LEFT,)
    week = Week(
        asked.week,
        asked.start.isoformat(),
        warnings=(*nothing, *asked.warnings),
        exercise_warnings=tuple(
            ExerciseWarning(exercise=line.exercise, text=line.text, first_sheet=line.first_sheet)
            for line in asked.carried.pain.lines
            if line.exercise
        ),
        notes=tuple(notes(asked, problem, solved.plan)),
        loads=asked.carried.loads,
        changes=asked.changes,
        ahead=asked.ahead,
    )
    return compose(asked.inputs, problem, solved, sure or sureness(asked, solved.plan), week)
