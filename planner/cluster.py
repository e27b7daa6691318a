"""The roster past one machine: athletes travel as their files to the workers of a Dask scheduler, weeks come back as
files. A worker plans from these files exactly as the roster does here, so that the same rows and files come out; what
comes back is written here, by one hand. Dask gives the work of a lost worker to another. Every wait has its end: an
athlete whom the cluster does not plan in time has a row that says so, and so have all after that one."""

from __future__ import annotations

import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext, suppress
from dataclasses import replace
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING, Any

from library.errors import Fault, FaultyInput, PlannerError
from library.files import is_there
from library.method import FOLDER
from planner.athlete.folder import week_folder, written_as
from planner.athlete.writing import VERSION_FOLDER, write_week
from planner.kept import files_of, program
from planner.roster import FAULT_OF_OURS, Done, Task, failed, plan_one

if TYPE_CHECKING:
    from planner.sunday import Row

Client = Any  # of distributed, which comes with the extra `[cluster]`
MEMORY = Path("/dev/shm")  # on Linux: nothing that is sent back waits for a disk
ALONE = threading.Lock()  # papers are drawn by one thread of a process at a time
Contents = dict[str, bytes]  # path below the athlete's folder -> bytes


def connect(address: str) -> tuple[Client, int]:
    """Give the client of a scheduler, and its workers' threads. Raises FaultyInput if none answers in its time."""
    if not find_spec("distributed"):
        raise _refused("distributed is not installed", 'Install it: pip install "deltoid-planner[cluster]"')
    import_module("distributed")  # takes a busy machine long: no silence of the scheduler's
    answers: SimpleQueue[tuple[Client, int] | FaultyInput] = SimpleQueue()
    seconds = FOLDER.scheduler_seconds
    # where something answers but falls silent, a client never ends
    threading.Thread(target=lambda: answers.put(_asked(address, seconds)), daemon=True).start()
    try:
        answer = answers.get(timeout=2 * seconds)
    except Empty:
        answer = _silent(address, f"no answer in {2 * seconds:g} s")
    if isinstance(answer, FaultyInput):
        raise answer
    return answer


def _asked(address: str, seconds: float) -> tuple[Client, int] | FaultyInput:
    """Ask a scheduler for its workers; give what to say where that fails."""
    client = None
    try:
        client = import_module("distributed").Client(address, timeout=seconds, set_as_default=False)
        client.wait_for_workers(1, timeout=seconds)
        return client, sum(client.sync(client.scheduler.ncores, callback_timeout=seconds).values())
    except Exception as fault:  # whatever answers at that address, or nobody
        if client is None:
            return _silent(address, str(fault).partition("\n")[0] or type(fault).__name__)
        remedy = f"Start some: dask worker {address} --nworkers -1 --nthreads 1"
        return _refused(f'the scheduler at "{address}" has no workers', remedy)


def _silent(address: str, reason: str) -> FaultyInput:
    remedy = "Start one: `dask scheduler`, and name the address that it prints, such as tcp://10.0.0.5:8786"
    return _refused(f'no scheduler answers at "{address}" ({reason})', remedy)


def _refused(read: str, remedy: str) -> FaultyInput:
    return FaultyInput([Fault("--scheduler", "", read, remedy)])


def _end(client: Client) -> None:
    """Wait for nothing more: whoever does is told so. Closing has its time too, and may fail where nobody answers."""
    with suppress(Exception):
        client.close(FOLDER.scheduler_seconds)


def plan_far(client: Client, at_once: int, tasks: Sequence[Task], done: Done = lambda *_: 0) -> Iterator[Row]:
    """Plan athletes on a cluster and give the rows in order; `done` hears of each as soon as its week is written.
    Twice `at_once` athletes, as there are workers' threads, are under way at a time: memory does not grow with the
    roster."""
    hand = threading.Lock()

    def plan(task: Task) -> Row:
        files = packed(task)
        with hand if files is None else nullcontext():
            row = plan_one(task) if files is None else sent(client, task, files, hand)
        done(task, row)
        return row

    threads = ThreadPoolExecutor(2 * at_once)
    try:
        yield from threads.map(plan, tasks)
    finally:  # the last row is there, or somebody pressed Ctrl-C
        _end(client)
        threads.shutdown(cancel_futures=True)


def packed(task: Task) -> Contents | None:
    """Give an athlete's files as a plan depends on them; None for a week that stands, and for a link or a file that
    cannot be read: it is told where it lies."""
    try:
        files = [file for file in files_of(task.folder) if is_there(file)]
        if task.stands or any(file.is_symlink() or not file.is_file() for file in files):
            return None
        return {file.relative_to(task.folder).as_posix(): file.read_bytes() for file in files}
    except (OSError, FaultyInput):
        return None


def plan_packed(task: Task, files: Contents, wanted: str) -> tuple[Row, Contents]:
    """Plan, on a worker, an athlete whose files came along; give the row and the files of the week."""
    with suppress(
        AttributeError, KeyError, ValueError
    ):  # Dask's sampling of the stack takes a tenth of drawing paper
        worker = import_module("distributed").get_worker()
        worker.loop.add_callback(worker.periodic_callbacks.pop("profile").stop)
    if program() != wanted:
        raise RuntimeError(
            "this worker has another version of the planner or its solver: install the same everywhere"
        )
    with ALONE, tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as room:
        here = Path(room).resolve() / task.folder.resolve().name
        for name, content in files.items():
            (here / name).parent.mkdir(parents=True, exist_ok=True)
            (here / name).write_bytes(content)
        row, written = plan_one(replace(task, folder=here)), Contents()
        week = week_folder(here, task.week)
        for file in week.rglob("*") if row.status and task.write else ():
            place = file.relative_to(week)
            if file.is_file() and not VERSION_FOLDER.match(
                place.parts[0]
            ):  # replaced plans stay where they are
                written[place.as_posix()] = file.read_bytes()
        error = row.error.replace(str(here), str(task.folder))
        return replace(row, folder=str(task.folder), error=error), written


def sent(client: Client, task: Task, files: Contents, hand: threading.Lock) -> Row:
    """Let an athlete be planned, write what comes back, give the row; one who is not planned has a reason in it."""
    try:
        row, written = _answer(client, client.submit(plan_packed, task, files, program(), pure=False))
        if not written:
            return row
        with hand:
            week = write_week(task.folder, task.week, written)
            made = written_as(task.folder, task.week)
        return replace(row, sheets=str(next(week.glob("sheets*"), "")), made=made)
    except PlannerError as error:
        return failed(task, error.exit_code, str(error))
    except Exception as fault:  # workers that died over this athlete, or a cluster that answers no more
        if isinstance(fault, TimeoutError):
            with hand:
                _end(client)
        return failed(task, FAULT_OF_OURS, f"Not planned on the cluster: {type(fault).__name__}: {fault}")


def _answer(client: Client, future: Any) -> Any:
    """Give a result. A client that has lost its scheduler may leave a result without an end: it is asked too."""
    until = time.monotonic() + FOLDER.cluster_seconds
    while client.status in ("running", "connecting") and time.monotonic() < until:
        with suppress(TimeoutError):
            return future.result(FOLDER.scheduler_seconds)
    raise TimeoutError("no answer")
