"""Planning one week from an athlete's folder: read, solve, judge, compose."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from library.credit_settings import CreditSettings
from library.read import Library, read_library
from planner.athlete.folder import block_marks, last_hard_week, last_week
from planner.athlete.iso_week import next_week, week_start
from planner.athlete.log import read_log
from planner.athlete.method import method_of
from planner.athlete.own_profiles import own_profiles
from planner.athlete.reading import read_athlete
from planner.athlete.screening import require_clearance, screening_warnings
from planner.athlete.settings import AthleteSettings
from planner.athlete.targets import weekly_targets
from planner.errors import NoWeekPossible
from planner.train.carried import Carried, carried_over
from planner.train.settings import TrainSettings
from planner.week.aims import rest_value
from planner.week.build import Inputs, build_problem
from planner.week.compose import Week, compose
from planner.week.document import BlockMark, MadeChange, WeekDocument
from planner.week.from_log import after_pain
from planner.week.held import solve_held
from planner.week.in_block import in_block
from planner.week.pins import refused_pins
from planner.week.problem import Problem
from planner.week.settings import WeekSettings
from planner.week.since_last import since_last_week
from planner.week.solve.fast import solve_fast
from planner.week.solve.solved import Solved
from planner.week.sure import how_sure

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

    @property
    def library(self) -> Library:
        """The library as it is filed."""
        return self.filed or self.inputs.library


def gather(
    folder: Path,
    week: str | None,
    today: datetime.date,
    library_folder: Path | None = None,
    block: BlockMark | None = None,
) -> Asked:
    """Read library, brief, gyms, last week, own evidence and log of an athlete's folder.

    `block`: the week's place in a block; None: as the week on disk has it, if it belongs to one.
    Raises FaultyInput (a file is wrong), NotCleared (an operation without clearance).
    """
    from library.pool import pool_library

    name = next_week(today) if week is None else week
    start = week_start(name)
    library = read_library(library_folder)
    brief, gyms = read_athlete(folder, library)
    require_clearance(brief)
    athlete = method_of(brief, AthleteSettings)
    targets, capped = weekly_targets(brief, library, athlete)
    before = last_week(folder, name)
    pooled, own = own_profiles(folder, library, pool_library(library))
    inputs = Inputs(
        library=library,
        brief=brief,
        gyms=gyms,
        targets=targets,
        ratios=own or library_ratios(library),
        own_ratios=own,
        week=method_of(brief, WeekSettings),
        credit=method_of(brief, CreditSettings),
        last_week=exercises_of(before),
    )
    marks, train = block_marks(folder), method_of(brief, TrainSettings)
    mark = marks.get(name) if block is None else block
    if mark is not None:
        hard = last_hard_week(folder, name, mark.first)
        inputs = in_block(inputs, mark, train, hard)
    carried = carried_over(
        read_log(folder),
        inputs.library,
        gyms,
        start,
        before,
        inputs.week.reps_in_reserve,
        lighter_weeks=frozenset(week for week, one in marks.items() if one.lighter),
        settings=train,
    )
    warnings = (*screening_warnings(brief, library, start, athlete), *carried.pain.sheet_lines, *capped)
    asked = Asked(after_pain(inputs, carried), name, start, warnings, before, pooled, carried)
    return replace(asked, filed=library)


def library_ratios(library: Library) -> dict[str, dict[str, float]]:
    """Give the pooled activation ratios of the library: head -> exercise -> ratio to the head's anchor."""
    return {head: {key: one.ratio for key, one in of.items()} for head, of in library.profiles.items()}


def exercises_of(document: WeekDocument | None) -> frozenset[str]:
    """Exercises of a week; none if there was no week."""
    if document is None:
        return frozenset()
    return frozenset(line.exercise for session in document.sessions for line in session.exercises)


def plan_week(asked: Asked) -> WeekDocument:
    """Plan the week that is asked for.

    Raises NoWeekPossible if what must hold cannot hold together, SolverFault if the solver fails.
    """
    problem, solved = solve_asked(asked.inputs)
    return document_of(asked, problem, solved)


def solve_asked(inputs: Inputs) -> tuple[Problem, Solved]:
    """Solve a week, inside a block with what stays held; the problem is the one that the plan is judged by.

    Raises NoWeekPossible, SolverFault.
    """
    problem = build_problem(inputs)
    refused = refused_pins(inputs, problem)
    if refused:
        raise NoWeekPossible("\n".join(refused))
    if inputs.held:
        found = solve_held(inputs, problem)
    else:
        solved = solve_problem(problem)
        found = (problem, solved) if solved else None
    if found is None:
        raise no_week(inputs)
    return found


def no_week(inputs: Inputs) -> NoWeekPossible:
    """Make the error of a week that cannot be: the smallest clashing group, and the nearest week."""
    from planner.week.clash import clash_of, clash_text

    return NoWeekPossible(clash_text(clash_of(inputs, solve_problem)))


def solve_problem(problem: Problem) -> Solved | None:
    """Solve a problem; a week in which nothing is needed is empty without asking the solver."""
    if not problem.anything_needed:
        return Solved({}, 0.0, 0.0, rest_value(problem, {}), 0.0, 0.0, stopped=False)
    return solve_fast(problem)


def document_of(asked: Asked, problem: Problem, solved: Solved) -> WeekDocument:
    """Compose the document of a solved week, with how sure it is and what the first page must say."""
    sets: dict[str, int] = {}
    for (key, _), count in solved.plan.items():
        sets[key] = sets.get(key, 0) + count
    nothing = () if problem.anything_needed else (NOTHING_LEFT,)
    return compose(
        asked.inputs,
        problem,
        solved,
        how_sure(asked.inputs, asked.pooled, sets),
        Week(
            asked.week,
            asked.start.isoformat(),
            warnings=(*nothing, *asked.warnings),
            notes=(*asked.carried.lines, *since_last_week(asked.inputs, problem, solved.plan, asked.before)),
            loads=asked.carried.loads,
            changes=asked.changes,
        ),
    )
