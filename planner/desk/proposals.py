"""Proposals: weeks that are planned and shown, and written only when the coach signs them.

Each athlete has a course of proposals, one after the other, through which undo and redo walk. What a change leaves of
the week is shown at once as an estimate; the week that is planned for it takes its place when it is there.
"""

from __future__ import annotations

import datetime
import itertools
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from library.errors import Fault, FaultyInput
from planner.athlete.folder import read_week, replaced, require_in_step, weeks
from planner.change.easings import all_easings
from planner.change.swap import Standing, Swapped, estimate, replan, restored, swapped, told_of
from planner.change.swap_report import report, swap_text
from planner.change.told import Options, Told
from planner.desk.jobs import Jobs, StillWorking
from planner.desk.room import fingerprint
from planner.document import WeekDocument
from planner.files.safe import athlete_lock
from planner.publish import Published, check_sound, publish, publish_block
from planner.sheets.table import missed_lines
from planner.week.gather import Asked, gather
from planner.week.plan import plan_week

if TYPE_CHECKING:
    from planner.week.block import BlockAsked, PlannedBlock

PRINTING = threading.Lock()  # the renderer of papers keeps its fonts for one thread at a time
EDITS = ("without", "with_", "minutes", "sets", "drop", "done", "missed", "back")
WEEK = "week"  # of an athlete's jobs: the proposal
SHOWN_WITHIN_SECONDS = 0.1  # what is planned by then is shown at once; else the estimate is


@dataclass(frozen=True)
class Proposal:
    """A week that nobody has signed yet: `steps` made it of the week `base`, none: it was planned as it is.

    `number` names it, so that nobody signs another one than was seen; `files`: fingerprint of what it rests on.
    `estimate`: what a change leaves, not planned yet. `trial`: what would have to be written first.
    """

    document: WeekDocument
    asked: Asked
    files: str
    base: WeekDocument | None = None
    steps: tuple[Options, ...] = ()
    text: str = ""
    notes: tuple[str, ...] = ()
    estimate: bool = False
    trial: str = ""
    block: PlannedBlock | None = None
    number: int = 0


@dataclass
class Course:
    """Proposals of one athlete; `at` is the one that is shown, -1 the week in force."""

    made: list[Proposal] = field(default_factory=list)
    at: int = -1

    @property
    def shown(self) -> Proposal | None:
        """The proposal that is shown; None: the week in force is."""
        return self.made[self.at] if self.at >= 0 else None

    def add(self, proposal: Proposal) -> None:
        """Show another proposal next; what was undone is forgotten."""
        self.at += 1
        self.made[self.at :] = [proposal]


@dataclass
class Proposals:
    """The course of each athlete, by folder."""

    jobs: Jobs = field(default_factory=Jobs)
    courses: dict[Path, Course] = field(default_factory=dict)
    numbers: itertools.count[int] = field(default_factory=lambda: itertools.count(1))

    def shown(self, folder: Path) -> Proposal | None:
        """The proposal that is shown of an athlete."""
        return self.courses[folder].shown if folder in self.courses else None

    def begin(self, folder: Path, work: Callable[[], Proposal]) -> None:
        """Have a week planned and proposed."""
        self.jobs.start((folder, WEEK), next(self.numbers), work)

    def settle(self, folder: Path, seconds: float = SHOWN_WITHIN_SECONDS) -> tuple[bool, tuple[str, ...]]:
        """Take in what was planned meanwhile: whether there is more to come, and what is said of it.

        Raises PlannerError where it could not be planned; what was shown before is shown again.
        """
        place, course = (folder, WEEK), self.courses.setdefault(folder, Course())
        if place not in self.jobs.of:
            return False, ()
        number = self.jobs.of[place][0]
        mine = next((at for at, one in enumerate(course.made) if one.number == number), None)
        try:
            made: Proposal | None = self.jobs.fetch(place, seconds)
        except StillWorking:
            return True, ()
        except Exception:
            self._forget(course, mine)
            raise
        if made is None:
            self._forget(course, mine)
            return False, ("Nothing changes by it: the week stays as it is.",)
        made = replace(made, number=number)
        if mine is None:
            course.add(made)
        else:
            course.made[mine] = made
        return False, made.notes

    def _forget(self, course: Course, mine: int | None) -> None:
        """Take an estimate out, with all that was made after it."""
        if mine is not None:
            del course.made[mine:]
            course.at = min(course.at, mine - 1)

    def edit(self, folder: Path, week: str, options: Options, today: datetime.date) -> None:
        """Change the week that is shown by one thing more, as `planner swap` does: its estimate is shown at once.

        Raises PlannerError; the proposal that stood then stands.
        """
        before, files = self.shown(folder), fingerprint(folder)
        before = before if before and before.document.week == week and not before.block else None
        base = (before.base or before.document) if before else read_week(folder, week)
        filed = gather(folder, week, today)
        require_in_step(folder, base, filed.inputs.library, filed.inputs.brief)
        steps = (*(before.steps if before else ()), options)
        standing = Standing(filed, base)
        told = told_of(standing, steps, today)
        number = next(self.numbers)
        first = Proposal(
            estimate(standing, told), standing.under(told.changes, told.states), files, base, steps,
            notes=told.notes, estimate=True, number=number,
        )  # fmt: skip
        self.courses.setdefault(folder, Course()).add(first)
        on_disk = not before or before.base is not None
        self.jobs.start((folder, WEEK), number, lambda: _planned(folder, first, standing, told, on_disk))

    def step(self, folder: Path, by: int) -> None:
        """Undo (-1) or redo (+1) one change."""
        course = self.courses.setdefault(folder, Course())
        course.at = min(max(course.at + by, -1), len(course.made) - 1)

    def discard(self, folder: Path) -> None:
        """Let all proposals of an athlete go."""
        self.courses.pop(folder, None)
        self.jobs.of.pop((folder, WEEK), None)

    def sign(self, folder: Path, number: int) -> Published:
        """Write the proposal that was seen, PDFs too. Raises FaultyInput: it is another one, or a file has changed."""
        proposal = self.shown(folder)
        if proposal is None or proposal.number != number or proposal.estimate:
            raise _refused(
                "this proposal is not the one that stands", "Look at the week once more, then sign"
            )
        if proposal.trial:
            raise _refused("this is a trial", f"Write it first, then plan: {proposal.trial}")
        with athlete_lock(folder):
            if fingerprint(folder) != proposal.files:
                self.discard(folder)
                remedy = "It is discarded and nothing was written: plan once more"
                raise _refused("a file of the athlete has changed since this was planned", remedy)
            if proposal.block:
                published = publish_block(proposal.block, folder, None)
            else:
                published = publish(proposal.document, proposal.asked, folder, None)
        self.discard(folder)
        return published


def planned(folder: Path, week: str | None, today: datetime.date) -> Proposal:
    """Plan a week anew, as `planner week` does. Raises PlannerError."""
    files, asked = fingerprint(folder), gather(folder, week, today)
    return proposed(folder, plan_week(asked), asked, files)


def proposed(folder: Path, document: WeekDocument, asked: Asked, files: str) -> Proposal:
    """Propose a week that was planned whole, rechecked, beside the one on disk."""
    check_sound(document, asked)
    text = ""
    if asked.week in weeks(folder):
        made = report(read_week(folder, asked.week), document, "", {})
        text = swap_text(made, asked.library, missed_lines(document, asked.library))
    return Proposal(document, asked, files, text=text)


def brought_back(folder: Path, week: str, version: str, today: datetime.date) -> Proposal:
    """Propose an earlier version of a week, as far as it can still be trained. Raises PlannerError."""
    files, earlier = fingerprint(folder), dict(replaced(folder, week))
    standing = Standing(gather(folder, week, today), read_week(folder, week))
    again = restored(standing, version, earlier[version])
    check_sound(again.document, again.asked)
    return replace(_with_text(again), files=files)


def tried(folder: Path, standing: Standing, name: str) -> Proposal:
    """Plan a week as it would be with one easing of `planner why`; it is a trial of what is not written yet."""
    asked, full = standing.asked, [use.limit for use in standing.in_force.limits if use.binds]
    easings = all_easings(asked.inputs, asked.changes, full)
    edit = next((one for one in easings if one.name == name), None)
    if edit is None:
        raise _refused(f"nothing is called {name}", "Look once more at what would help")
    eased = replace(asked, inputs=edit.apply(asked.inputs))
    document = replan(eased, standing.in_force, []).document
    made = Swapped(report(standing.in_force, document, "", {}), document, eased, news=True)
    return replace(_with_text(made), files=fingerprint(folder), trial=str(edit))


def blocked(folder: Path, told: BlockAsked, today: datetime.date) -> Proposal:
    """Plan a block, as `planner block` does. Raises PlannerError."""
    from planner.week.block import block_table, plan_block

    files, block = fingerprint(folder), plan_block(folder, told, today)
    for document, asked in zip(block.document.weeks, block.asked, strict=True):
        check_sound(document, asked)
    text = block_table(block.document)
    return Proposal(block.document.weeks[0], block.asked[0], files, text=text, block=block)


def _planned(folder: Path, first: Proposal, standing: Standing, told: Told, on_disk: bool) -> Proposal | None:
    """Plan the week whose estimate is shown; None: it is the week on disk."""
    made = swapped(standing, told, replaced(folder, first.document.week))
    check_sound(made.document, made.asked)
    if not made.news and on_disk:
        return None
    return replace(_with_text(made), files=first.files, base=first.base, steps=first.steps)


def _with_text(made: Swapped) -> Proposal:
    library, week = made.asked.inputs.library, made.report.week
    text = swap_text(made.report, library, missed_lines(week, library))
    return Proposal(week, made.asked, "", text=text, notes=made.report.notes)


def _refused(read: str, remedy: str) -> FaultyInput:
    return FaultyInput([Fault("the week", "", read, remedy)])
