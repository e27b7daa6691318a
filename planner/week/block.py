"""A block: several weeks planned at once, rolling: the first is solved freely, each later one holds its exercises.

One program over all weeks would prove the sum of weeks that will be planned again anyway, once the log of the weeks
before is written; week by week each has its own proof, and a week that asks what one before it asked is not solved again.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from library.errors import Fault, FaultyInput, as_written
from planner.athlete.brief import Block
from planner.athlete.folder import last_week
from planner.document import (
    BlockMark,
    Piece,
    WeekDocument,
    exercise_names,
    plan_of,
    week_named,
    with_weeks_away,
)
from planner.method import TrainSettings
from planner.model.inputs import Inputs
from planner.model.problem import Problem
from planner.plain import UNSHOWN, WORTH, columns, day_name, gap_words, number, share_in, short_of
from planner.solve.solve import Solved
from planner.train.block import marks_of
from planner.train.loads import percent
from planner.week.gather import Asked, Filed, asked_ahead, asked_in, read_filed
from planner.week.interval import Sureness
from planner.week.plan import document_of, solve_asked, sureness


class BlockDocument(Piece):
    """One athlete's block. `ramp_share`: rise of each target a step of the block, 0 if steady."""

    version: Literal[1] = 1
    athlete: str
    first: str
    of: int
    ramp_share: float
    weeks: tuple[WeekDocument, ...]


def block_document(weeks: tuple[WeekDocument, ...]) -> BlockDocument:
    """Give the document of weeks that stand in one block, in their order."""
    mark = weeks[0].block
    if mark is None:
        raise ValueError(f"{weeks[0].week} belongs to no block")
    return BlockDocument(
        athlete=weeks[0].athlete, first=mark.first, of=mark.of, ramp_share=mark.ramp_share, weeks=weeks
    )


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
            self.known[question] = problem, solved, sureness(asked, problem, solved.plan)
        return document_of(asked, *self.known[question])


def question_of(inputs: Inputs) -> Hashable:
    """Give all that tells one week of a block from another, apart from its name and its effort."""
    return (
        tuple(inputs.targets.values()),
        inputs.block is not None and inputs.block.lighter,
        inputs.last_week,
        tuple(sorted(plan_of(inputs.hard).items())) if inputs.hard else None,
        tuple(dose.target for dose in inputs.hard.dose) if inputs.hard else None,
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


WEEKS, RAMP = "--weeks", "--ramp"
WITHIN = f"proof: dose within so many missed sets of the best, the rest within so many {WORTH} of it"


@dataclass(frozen=True)
class BlockAsked:
    """Number of weeks, the first of them (None: next week), and the rise of each target a step as it was written."""

    weeks: int
    first: str | None = None
    ramp: str | None = None

    def first_week(self, today: datetime.date) -> str:
        """Return the first week's name. Raises FaultyInput if there is no such week."""
        return week_named(self.first or "next", today)

    def check(self, settings: TrainSettings) -> None:
        """Raise FaultyInput with all that does not fit."""
        faults = [*self._weeks(settings), *self._ramp(settings)]
        if faults:
            raise FaultyInput(faults)

    def marks(self, first: str, block: Block, settings: TrainSettings) -> dict[str, BlockMark]:
        """Return the block's weeks and their places. Raises FaultyInput where the brief names reserve for fewer."""
        return marks_of(first, self.weeks, self.ramp_share or 0.0, block, settings)

    @property
    def ramp_share(self) -> float | None:
        """Return the rise as a share; None if what was written is no number."""
        share = share_in(self.ramp or "0")
        return share if math.isfinite(share) else None

    def _weeks(self, settings: TrainSettings) -> Iterator[Fault]:
        most = settings.block_weeks_most
        if not 1 <= self.weeks <= most:
            remedy = f"Plan 1 to {most} weeks at once (block_weeks_most)"
            yield Fault(WEEKS, "", f"{self.weeks} weeks", remedy)

    def _ramp(self, settings: TrainSettings) -> Iterator[Fault]:
        most, share = settings.ramp_share_most, self.ramp_share
        if share is None:
            yield Fault(RAMP, "", as_written(self.ramp), "Write a share such as 0.1, or 10%")
        elif not 0 <= share <= most:
            step = f"a step of {settings.ramp_step_weeks} hard weeks"
            remedy = f"Write 0 to {most:g}: a target rises by at most {percent(most)} in {step}"
            yield Fault(RAMP, "", f"{as_written(self.ramp)}, a rise of {percent(share)}", remedy)


def block_table(document: BlockDocument) -> str:
    """Write the block as plain text: a line a week, then a line an exercise with its sets week by week."""
    weeks = document.weeks
    title = f"{document.athlete}, block of {len(weeks)} weeks from {document.first}"
    parts = [[title], week_lines(weeks), *set_lines(weeks), warnings(weeks)]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def week_lines(weeks: Sequence[WeekDocument]) -> list[str]:
    """Write a line a week: kind, reserve, sets, dose of each head against its target, and how near the best it is."""
    heads = list(dict.fromkeys(dose.head for week in weeks for dose in week.dose))
    heading = ("", "week", "kind", "in reserve", "sets", *heads, "dose within", "the rest within")
    numbers = {week.week: at for at, week in enumerate(weeks, start=1)}
    rows = (
        _week_row(numbers[name], week, heads) if week else ("", name, "away", *("-" for _ in heading[3:]))
        for name, week in with_weeks_away(weeks).items()
    )
    return [*columns([heading, *rows]), WITHIN]


def _week_row(at: int, week: WeekDocument, heads: Sequence[str]) -> tuple[str, ...]:
    reserves = sorted({line.rir for session in week.sessions for line in session.exercises})
    doses = {dose.head: f"{dose.total:.1f}/{number(dose.target)}" for dose in week.dose}
    gaps = {proof.aim: gap_words(proof) for proof in week.proof}
    return (
        str(at),
        week.week,
        "lighter" if week.block and week.block.lighter else "hard",
        "-".join(map(str, reserves)) or "-",
        str(sum(plan_of(week).values())),
        *(doses.get(head, "-") for head in heads),
        gaps.get("dose", "-"),
        gaps.get("rest", "-") + (" stopped" if week.status == "stopped" else ""),
    )


def set_lines(weeks: Sequence[WeekDocument]) -> list[list[str]]:
    """Write for every session the sets of its exercises in each week; - where it is not trained."""
    plans = [plan_of(week) for week in weeks]
    names = {key: name for week in weeks for key, name in exercise_names(week).items()}
    places = dict.fromkeys(place for plan in plans for place in plan)
    heading = ("exercise", *(str(at) for at in range(1, len(weeks) + 1)))
    return [
        [
            f"{day_name(session.id)}, {session.gym}",
            *columns(
                [
                    heading,
                    *(
                        (names[key], *(str(plan.get((key, day), "-")) for plan in plans))
                        for key, day in places
                        if day == session.id
                    ),
                ]
            ),
        ]
        for session in weeks[0].sessions
    ]


def warnings(weeks: Sequence[WeekDocument]) -> list[str]:
    """Say what stays short of its target or rises above its ceiling, week by week, and the first week's warnings."""
    short = [line for week in weeks for line in short_of(week, where=f" in {week.week}")]
    above = [
        f"ABOVE the ceiling in {week.week}: {dose.head} by {dose.total - dose.ceiling:.1f} sets"
        for week in weeks
        for dose in week.dose
        if dose.total - dose.ceiling >= UNSHOWN
    ]
    return [*short, *above, *weeks[0].warnings]
