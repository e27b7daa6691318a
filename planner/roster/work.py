"""The work of `planner roster`: find the athletes, plan each in a process of its own, keep their order.

Each athlete is planned exactly as by `planner week`, by one thread, from that athlete's folder alone: how many are
planned at once changes no result.
"""

from __future__ import annotations

import datetime
import multiprocessing
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from library.errors import PlannerError
from planner.athlete.reading import BRIEF_FILE
from planner.athlete.writing import WEEKS
from planner.files.text import refuse
from planner.roster.rows import HeadTotal, Row

if TYPE_CHECKING:
    from planner.document import WeekDocument

FAULT_OF_OURS = 1
DIED = "its process ended before the week was there. Plan it alone: planner week"


@dataclass(frozen=True)
class Task:
    """One athlete's week to plan; `write` False: nothing is written."""

    folder: Path
    week: str
    today: datetime.date
    write: bool


def athletes_below(folder: Path) -> list[Path]:
    """Give every folder at or below `folder` that holds a brief.toml, by name; hidden ones and weeks are passed over.

    Raises FaultyInput: no such folder, or no athlete in it.
    """
    if not folder.is_dir():
        raise refuse(
            folder, "", "there is no such folder", "Name the folder in which the athletes' folders lie"
        )
    found = []
    for place, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith(".") and name != WEEKS)
        if BRIEF_FILE in files:
            found.append(Path(place))
    if not found:
        remedy = (
            f"Give each athlete a folder in it with {BRIEF_FILE} and gym.toml (demo_athlete has both to copy)"
        )
        raise refuse(folder, "", f"no folder in it holds a {BRIEF_FILE}", remedy)
    return sorted(found)


def plan_all(
    folders: Sequence[Path], week: str, today: datetime.date, *, write: bool, jobs: int | None = None
) -> Iterator[Row]:
    """Plan the week of each athlete and give the rows in the order of the folders, each as soon as it is there.

    `jobs`: so many at once; None: one a processor.
    """
    tasks = [Task(folder, week, today, write) for folder in folders]
    workers = min(jobs or os.cpu_count() or 1, len(tasks))
    if workers <= 1:
        yield from map(plan_one, tasks)
        return
    with _pool(workers) as pool:
        waiting = [_submitted(pool, task) for task in tasks]
        for task, planned in zip(tasks, waiting, strict=True):
            yield _row_of(task, planned)


def _pool(workers: int) -> ProcessPoolExecutor:
    # spawn: a fresh process each, the same on every system, and no lock of this one copied half-held
    return ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn"))


def _submitted(pool: ProcessPoolExecutor, task: Task) -> Future[Row]:
    """Hand a task to the pool; one that broke meanwhile gives a future that says so."""
    try:
        return pool.submit(plan_one, task)
    except BrokenProcessPool as broken:
        failed: Future[Row] = Future()
        failed.set_exception(broken)
        return failed


def _row_of(task: Task, planned: Future[Row]) -> Row:
    """Wait for a row. A process that died takes the whole pool with it: the athlete is planned again, alone."""
    try:
        return planned.result()
    except BrokenProcessPool:
        try:
            with _pool(1) as pool:
                return pool.submit(plan_one, task).result()
        except BrokenProcessPool:
            return _failed(task, FAULT_OF_OURS, f"{DIED} {task.folder}")


def plan_one(task: Task) -> Row:
    """Plan, recheck and write one athlete's week; whatever goes wrong is told in the row."""
    from planner.publishing.week import check_sound, publish
    from planner.week.plan import gather, plan_week

    try:
        asked = gather(task.folder, task.week, task.today)
        document = plan_week(asked)
        check_sound(document, asked)
        written = publish(document, asked, task.folder, None) if task.write else None
    except PlannerError as error:
        return _failed(task, error.exit_code, str(error))
    except Exception as fault:  # one athlete's fault must not stop the others
        return _failed(task, FAULT_OF_OURS, f"A fault of ours: {type(fault).__name__}: {fault}")
    if written is None:
        return _planned(task, document, "", 0, "")
    paper = next(written.folder.glob("sheets.*"))
    fault_of_paper = written.paper_fault
    code, told = (fault_of_paper.exit_code, str(fault_of_paper)) if fault_of_paper else (0, "")
    return _planned(task, document, str(paper), code, told)


def _planned(task: Task, document: WeekDocument, sheets: str, code: int, error: str) -> Row:
    heads = tuple(
        HeadTotal(dose.head, round(dose.planned + dose.elsewhere, 3), dose.target) for dose in document.dose
    )
    return Row(
        folder=str(task.folder),
        name=document.athlete,
        week=document.week,
        status=document.status,
        heads=heads,
        warnings=document.warnings,
        sheets=sheets,
        exit=code,
        error=error,
    )


def _failed(task: Task, code: int, error: str) -> Row:
    return Row(
        folder=str(task.folder), name=task.folder.resolve().name, week=task.week, exit=code, error=error
    )
