"""Proposals: weeks that are planned and shown, and written only when the coach signs them."""

from __future__ import annotations

import datetime
import itertools
from dataclasses import dataclass, field
from pathlib import Path

from library.errors import Fault, FaultyInput
from planner.athlete.folder import read_week, weeks
from planner.change.swap import swap_week
from planner.change.swap_report import report, swap_text
from planner.change.told import Options
from planner.desk.room import fingerprint
from planner.document import WeekDocument
from planner.files.safe import athlete_lock
from planner.publish import Published, check_sound, publish
from planner.sheets.table import missed_lines
from planner.week.gather import Asked, gather
from planner.week.plan import plan_week

Edit = tuple[str, str]  # an option of `planner swap`, its word
EDITS = ("without", "with_", "minutes", "drop", "done", "missed", "back")


@dataclass(frozen=True)
class Proposal:
    """A week that nobody has signed yet: `edits` made it of the week in force, none: it is planned anew.

    `number` names it, so that nobody signs another one than was seen; `files` is the fingerprint of what it rests on.
    """

    number: int
    week: str
    edits: tuple[Edit, ...]
    document: WeekDocument
    asked: Asked
    text: str
    notes: tuple[str, ...]
    files: str


@dataclass
class Proposals:
    """The proposal of each athlete, by the athlete's folder."""

    of: dict[Path, Proposal] = field(default_factory=dict)
    numbers: itertools.count[int] = field(default_factory=lambda: itertools.count(1))

    def plan(self, folder: Path, week: str | None, today: datetime.date) -> Proposal:
        """Plan a week anew, as `planner week` does. Raises PlannerError."""
        files = fingerprint(folder)
        asked = gather(folder, week, today)
        document = plan_week(asked)
        check_sound(document, asked)
        text = ""
        if asked.week in weeks(folder):
            made = report(read_week(folder, asked.week), document, "", {})
            text = swap_text(made, asked.library, missed_lines(document, asked.library))
        return self._keep(
            folder, Proposal(next(self.numbers), asked.week, (), document, asked, text, (), files)
        )

    def edit(self, folder: Path, week: str, edit: Edit, today: datetime.date) -> Proposal | None:
        """Change the week in force by one edit more, as `planner swap` does; None: nothing changes by it.

        Raises PlannerError; the proposal that stood then stands.
        """
        before = self.of.get(folder)
        if before and not before.edits:
            raise _refused(
                "a week planned anew is not signed yet", "Sign it or discard it first, then change it"
            )
        edits = before.edits if before and before.week == week else ()
        return self._swap(folder, week, (*edits, edit), today)

    def undo(self, folder: Path, today: datetime.date) -> Proposal | None:
        """Take the last edit back; without one left there is no proposal."""
        before = self.of.get(folder)
        if before is None or len(before.edits) < 2:
            self.of.pop(folder, None)
            return None
        return self._swap(folder, before.week, before.edits[:-1], today)

    def sign(self, folder: Path, number: int) -> Published:
        """Write the proposal that was seen, PDFs too. Raises FaultyInput: it is another one, or a file has changed."""
        proposal = self.of.get(folder)
        if proposal is None or proposal.number != number:
            raise _refused(
                "this proposal is not the one that stands", "Look at the week once more, then sign"
            )
        with athlete_lock(folder):
            if fingerprint(folder) != proposal.files:
                del self.of[folder]
                remedy = "It is discarded and nothing was written: plan once more"
                raise _refused("a file of the athlete has changed since this was planned", remedy)
            published = publish(proposal.document, proposal.asked, folder, None)
        del self.of[folder]
        return published

    def _swap(
        self, folder: Path, week: str, edits: tuple[Edit, ...], today: datetime.date
    ) -> Proposal | None:
        words = {name: tuple(word for kind, word in edits if kind == name) for name in EDITS}
        files = fingerprint(folder)
        swapped = swap_week(folder, Options(**words), today, week)
        check_sound(swapped.document, swapped.asked)
        if not swapped.news:
            self.of.pop(folder, None)
            return None
        library = swapped.asked.inputs.library
        text = swap_text(swapped.report, library, missed_lines(swapped.report.week, library))
        proposal = Proposal(
            next(self.numbers),
            week,
            edits,
            swapped.document,
            swapped.asked,
            text,
            swapped.report.notes,
            files,
        )
        return self._keep(folder, proposal)

    def _keep(self, folder: Path, proposal: Proposal) -> Proposal:
        self.of[folder] = proposal
        return proposal


def _refused(read: str, remedy: str) -> FaultyInput:
    return FaultyInput([Fault("the week", "", read, remedy)])
