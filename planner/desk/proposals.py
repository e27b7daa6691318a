"""Proposals: weeks that are planned and shown, and written only when the coach signs them. What a change leaves of
the week is shown at once as an estimate; the week planned for it takes its place when it is there."""

from __future__ import annotations

import datetime
import itertools
import queue
import threading
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from library.errors import PlannerError, refuse
from planner.athlete.writing import athlete_lock
from planner.desk.room import fingerprint
from planner.document import WeekDocument

if TYPE_CHECKING:
    from planner.change.told import Options
    from planner.publish import Published
    from planner.week.block import PlannedBlock
    from planner.week.gather import Asked

Made = TypeVar("Made")
Place = tuple[object, str]  # whose work, and which
PRINTING = threading.Lock()  # the renderer of papers keeps its fonts for one thread at a time
WEEK = "week"  # of an athlete's jobs: the proposal
SHOWN_WITHIN_SECONDS = 0.1  # what is planned by then is shown at once; else the estimate is


class StillWorking(Exception):
    """What was asked for is not there yet: the page asks again."""


@dataclass
class Jobs:
    """One thread that works while pages are shown; it ends with the process, whatever it is doing."""

    of: dict[Place, tuple[Any, Future[Any]]] = field(default_factory=dict)
    waiting: queue.LifoQueue[tuple[Future[Any], Callable[[], Any]]] = field(default_factory=queue.LifoQueue)
    thread: threading.Thread | None = None

    def start(self, place: Place, stamp: object, work: Callable[[], object]) -> None:
        """Have this done; what was begun there before, and is not fetched yet, is forgotten."""
        if self.thread is None:
            self.thread = threading.Thread(target=self._run, daemon=True)
            self.thread.start()
        if known := self.of.get(place):
            known[1].cancel()
        future: Future[Any] = Future()
        self.of[place] = stamp, future
        self.waiting.put((future, work))

    def weeks_left(self) -> int:
        """How many weeks are still to be planned."""
        return sum(place[1] == WEEK and not future.done() for place, (_, future) in list(self.of.items()))

    def ask(self, place: Place, stamp: object, work: Callable[[], Made], seconds: float | None) -> Made:
        """Give what `work` gives, worked out once as long as the stamp is the same. Raises StillWorking."""
        if self.of.get(place, (None,))[0] != stamp:
            self.start(place, stamp, work)
        return self.fetch(place, seconds, keep=True)

    def fetch(self, place: Place, seconds: float | None, *, keep: bool = False) -> Any:
        """Give what was begun there, once or more often. Raises StillWorking, KeyError where nothing was begun."""
        future = self.of[place][1]
        try:
            done = future.exception(seconds)
        except TimeoutError:
            raise StillWorking from None
        if done or not keep:
            del self.of[place]
        return future.result()

    def _run(self) -> None:
        while True:
            future, work = self.waiting.get()
            if not future.set_running_or_notify_cancel():
                continue
            try:
                future.set_result(work())
            except BaseException as fault:  # told where the result is fetched
                future.set_exception(fault)


@dataclass(frozen=True)
class Proposal:
    """A week that nobody has signed yet."""

    document: WeekDocument
    asked: Asked
    files: str  # fingerprint of what it rests on
    base: WeekDocument | None = None  # the week that `steps` made it of; None: it was planned as it is
    steps: tuple[Options, ...] = ()
    text: str = ""
    notes: tuple[str, ...] = ()
    work: Callable[[], Proposal | None] | None = None  # of an estimate, what a change leaves: plans it
    trial: str = ""  # what would have to be written first
    block: PlannedBlock | None = None
    sheets: int | None = None  # of how many of its weeks; None: as the method has it
    number: int = 0  # names it, so that nobody signs another one than was seen


@dataclass
class Course:
    """Proposals of one athlete; `at` is the one that is shown, -1 the week in force."""

    made: list[Proposal] = field(default_factory=list)
    at: int = -1

    @property
    def shown(self) -> Proposal | None:
        """The proposal that is shown; None: the week in force is."""
        return self.made[self.at] if self.at >= 0 else None

    def add(self, proposal: Proposal) -> int:
        """Show another proposal next, and give its place; what was undone is forgotten."""
        self.at += 1
        self.made[self.at :] = [proposal]
        return self.at


@dataclass
class Proposals:
    """The course of each athlete, by folder."""

    jobs: Jobs = field(default_factory=Jobs)
    courses: dict[Path, Course] = field(default_factory=dict)
    failed: dict[Path, PlannerError] = field(default_factory=dict)  # said until something else is asked
    numbers: itertools.count[int] = field(default_factory=lambda: itertools.count(1))

    def shown(self, folder: Path) -> Proposal | None:
        """The proposal that is shown of an athlete."""
        return self.courses[folder].shown if folder in self.courses else None

    def begin(self, folder: Path, work: Callable[[], Proposal]) -> None:
        """Have a week planned and proposed."""
        self.failed.pop(folder, None)
        self.jobs.start((folder, WEEK), next(self.numbers), work)

    def settle(self, folder: Path, seconds: float = SHOWN_WITHIN_SECONDS) -> tuple[bool, tuple[str, ...]]:
        """Take in what was planned meanwhile, `failed` if it could not be: whether there is more to come, and what is said."""
        place, course = (folder, WEEK), self.courses.setdefault(folder, Course())
        if place not in self.jobs.of:
            return False, ()
        number = self.jobs.of[place][0]
        mine = next((at for at, one in enumerate(course.made) if one.number == number), None)
        try:
            made: Proposal | None = self.jobs.fetch(place, seconds)
        except StillWorking:
            return mine in (None, course.at), ()
        except PlannerError as error:
            self.failed[folder] = error
            return self._forget(folder, mine), ()
        except Exception:
            self._forget(folder, mine)
            raise
        if made is None:
            return self._forget(folder, mine), ("Nothing changes by it: the week stays as it is.",)
        if mine is None:
            mine = course.add(made)
        course.made[mine] = replace(made, number=number)
        return False, made.notes

    def _forget(self, folder: Path, mine: int | None) -> bool:
        """Take an estimate out, with all that was made after it; say whether what is shown now is still to be planned."""
        course = self.courses[folder]
        if mine is not None:
            del course.made[mine:]
            course.at = min(course.at, mine - 1)
        self._plan(folder, course.shown)
        return course.shown is not None and course.shown.work is not None

    def edit(self, folder: Path, week: str, options: Options, today: datetime.date) -> None:
        """Change the week that is shown by one thing more, as `planner swap` does, to its estimate. Raises PlannerError."""
        from planner.desk.planning import changed

        self.failed.pop(folder, None)
        before = self.shown(folder)
        before = before if before and before.document.week == week and not before.block else None
        made = replace(changed(folder, week, before, options, today), number=next(self.numbers))
        self.courses.setdefault(folder, Course()).add(made)
        self._plan(folder, made)

    def _plan(self, folder: Path, shown: Proposal | None) -> None:
        """Have the week planned whose estimate is shown, unless it is being planned."""
        known = self.jobs.of.get((folder, WEEK))
        if shown and shown.work and (known is None or known[0] != shown.number):
            self.jobs.start((folder, WEEK), shown.number, shown.work)

    def step(self, folder: Path, by: int) -> None:
        """Undo (-1) or redo (+1) one change."""
        self.failed.pop(folder, None)
        course = self.courses.setdefault(folder, Course())
        course.at = min(max(course.at + by, -1), len(course.made) - 1)
        self._plan(folder, course.shown)

    def discard(self, folder: Path) -> None:
        """Let all proposals of an athlete go."""
        self.courses.pop(folder, None)
        self.failed.pop(folder, None)
        if known := self.jobs.of.pop((folder, WEEK), None):
            known[1].cancel()

    def sign(self, folder: Path, number: int) -> Published:
        """Write the proposal that was seen, PDFs too. Raises FaultyInput: it is another one, or a file has changed."""
        proposal = self.shown(folder)
        if proposal is None or proposal.number != number or proposal.work:
            raise refuse("the week", "", "another proposal stands by now", "Look at the week, then sign")
        if proposal.trial:
            raise refuse("the week", "", "this is a trial", f"Write it first, then plan: {proposal.trial}")
        from planner.publish import publish, publish_block

        with athlete_lock(folder):
            if fingerprint(folder) != proposal.files:
                self.discard(folder)
                read = "a file of the athlete has changed since this was planned"
                raise refuse("the week", "", read, "It is discarded and nothing was written: plan once more")
            if block := proposal.block:
                published = publish_block(block, folder, None, proposal.sheets)
            else:
                published = publish(proposal.document, proposal.asked, folder, None)
        self.discard(folder)
        return published
