"""From documents to what lies on disk: rechecked first, then papers, table and week.json, all written or nothing."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from planner.athlete.evidence import read_own_rows
from planner.athlete.writing import write_week, write_weeks
from planner.document import exercises_of
from planner.errors import PaperNotMade
from planner.verify.recheck import assert_sound

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

    from planner.document import WeekDocument
    from planner.sheets.page import Desk
    from planner.week.block import PlannedBlock
    from planner.week.gather import Asked

Made = TypeVar("Made")
Second = TypeVar("Second")
Files = dict[str, bytes | str]
BLOCK_PAPER = "block"  # block.pdf lies with the block's first week


@dataclass(frozen=True)
class Published:
    """The weeks' folders in order, and the complaint of the PDF renderer if there was one."""

    folders: tuple[Path, ...]
    paper_fault: PaperNotMade | None

    def paper(self, name: str) -> Path | None:
        """Give a paper of the first week by name: sheets, coach, block, phone, sessions; None where there is none."""
        return next(self.folders[0].glob(f"{name}*"), None)


def check_sound(document: WeekDocument, asked: Asked) -> None:
    """Recheck a document by code that shares nothing with the model. Raises BrokenPlan."""
    inputs = asked.inputs
    known = (inputs.profiles, inputs.barred, inputs.capped)
    assert_sound(document, asked.library, inputs.brief, inputs.gyms, asked.before, *known)


def publish(
    document: WeekDocument, asked: Asked, athlete: Path, out: Path | None, *, at_once: bool = True
) -> Published:
    """Write the week's folder; without a PDF renderer HTML stands in. FaultyInput if it cannot be written. `at_once`:
    both papers are drawn at once, where that can be."""
    from planner.sheets import paper

    desk = desk_of(document, asked)
    both = (lambda: paper.render_coach(desk), lambda: paper.render_sheets(desk))
    coach, sheets = _side_by_side(*both, at_once)
    files, fault = _week_files(document) | _for_devices(desk, asked), _fault(sheets, coach)
    if isinstance(sheets, PaperNotMade) or isinstance(coach, PaperNotMade):
        files |= {"sheets.html": paper.sheets_html(desk), "coach.html": paper.coach_html(desk)}
    else:
        files |= {"sheets.pdf": sheets, "coach.pdf": coach}
    return Published((write_week(athlete, document.week, files, out),), fault)


def publish_block(
    planned: PlannedBlock, athlete: Path, out: Path | None, sheets: int | None = None
) -> Published:
    """Write the folders of all weeks, papers of the first `sheets` (None: as the settings have it) of them. Without a
    PDF renderer HTML stands in. Raises FaultyInput if they cannot be written."""
    from planner.sheets import paper

    weeks, asked = planned.document.weeks, planned.asked[0]
    desks = [desk_of(week, asked) for week in weeks]
    contents = {week.week: _week_files(week) for week in weeks}
    sheets = sheets or desks[0].settings.block_sheet_weeks
    first, told = weeks[0], []
    # the first week's pages give the evidence for a later one too, where they hold all of it
    for desk in desks[:sheets]:
        again = desk is not desks[0] and exercises_of(desk.document) <= exercises_of(first)
        told.append((desk, first.week if again else ""))
    both = (lambda: [paper.render_coach(*of) for of in told], lambda: paper.render_block(desks, sheets))
    coach, block = _side_by_side(*both)
    for place, (files, (desk, week)) in enumerate(zip(contents.values(), told, strict=False)):
        files |= _for_devices(desk, asked)
        if isinstance(block, PaperNotMade) or isinstance(coach, PaperNotMade):
            files |= {"sheets.html": paper.sheets_html(desk), "coach.html": paper.coach_html(desk, week)}
            files |= {} if place else {f"{BLOCK_PAPER}.html": paper.block_html(desks)}
        else:
            files |= {"sheets.pdf": block[1 + place], "coach.pdf": coach[place]}
            files |= {} if place else {f"{BLOCK_PAPER}.pdf": block[0]}
    return Published(tuple(write_weeks(athlete, contents, out)), _fault(block, coach))


def sheets_together(weeks: Sequence[tuple[WeekDocument, Asked]]) -> bytes:
    """Make one PDF of the client's sheets of several athletes, each with its week. Raises PaperNotMade."""
    from planner.sheets.paper import lay_out_sheets
    from planner.sheets.render import fonts_put_away, write_pdf

    with fonts_put_away():
        return write_pdf([lay_out_sheets(desk_of(week, asked)) for week, asked in weeks])


def desk_of(document: WeekDocument, asked: Asked) -> Desk:
    """Lay out what the papers of a week are written with."""
    from planner.sheets.page import Desk

    inputs = asked.inputs
    places = {name: dict(gym.place) for name, gym in inputs.gyms.items()}
    recorded = {row.date.isoformat() for row in read_own_rows(asked.filed.folder, asked.library)}
    return Desk(document, inputs.library, inputs.brief, places=places, recorded=tuple(sorted(recorded)))


def _week_files(document: WeekDocument) -> Files:
    from planner.sheets.table import week_csv

    return {"week.json": document.model_dump_json(indent=2) + "\n", "week.csv": week_csv(document)}


def _for_devices(desk: Desk, asked: Asked) -> Files:
    from planner.phone.pages import phone_pages
    from planner.sheets.table import calendar

    units = {name: gym.unit for name, gym in asked.inputs.gyms.items()}
    return {"sessions.ics": calendar(desk), **phone_pages(desk, asked.filed.log, units)}


def _fault(*made: Any) -> PaperNotMade | None:
    """Give the first complaint: it tells the cause; a failed import fails otherwise the second time."""
    return next((paper for paper in made if isinstance(paper, PaperNotMade)), None)


def _side_by_side(
    first: Callable[[], Made], second: Callable[[], Second], at_once: bool = True
) -> tuple[Made | PaperNotMade, Second | PaperNotMade]:
    """Do two jobs at once where the system can split a running process (Linux, two processors), else in turns.
    Drawing a paper takes about as long as solving a week. Whatever goes wrong in the copy of this process, its job is
    done here once more, so that errors are told as ever; a job that PaperNotMade ends gives that."""
    from planner.sheets.render import load_renderer

    load_renderer()  # once, before the process is split
    # a copy of one thread of several may wait for the others without end
    alone = threading.active_count() == 1
    if sys.platform != "linux" or (os.cpu_count() or 1) < 2 or not (alone and at_once):
        return _tried(first), _tried(second)
    import multiprocessing

    context = multiprocessing.get_context("fork")
    here, there = context.Pipe(duplex=False)
    copy = context.Process(target=_send, args=(first, here, there, os.getpid()), daemon=True)
    copy.start()
    there.close()
    done = _tried(second)
    try:
        result: Made | PaperNotMade = here.recv()
    except Exception:
        result = _tried(first)
    finally:
        here.close()
        copy.join()
    return result, done


def _tried(job: Callable[[], Made]) -> Made | PaperNotMade:
    try:
        return job()
    except PaperNotMade as fault:
        return fault


def _send(job: Callable[[], object], here: Connection, there: Connection, parent: int) -> None:
    """Send the result of a job; without one the pipe just ends. This copy never outlives the process it was made of."""
    try:
        import ctypes

        here.close()  # else a copy whose reader is gone would wait for it without end
        ctypes.CDLL(None).prctl(1, 9)  # PR_SET_PDEATHSIG, SIGKILL: end with the parent, however it ends
        if os.getppid() == parent:
            there.send(_tried(job))
    finally:
        there.close()
        os._exit(0)  # nothing of the copied process may run on: no handlers, no buffers of the original
