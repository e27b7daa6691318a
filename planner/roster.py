"""Every athlete below a folder, each planned alone: the work, and the row that each becomes. Each athlete is planned
exactly as by `planner week`, by one thread, from that athlete's folder alone: how many are planned at once changes no
result. What a run has planned it keeps (`Kept`): the next one goes on from there."""

import contextlib
import datetime
import os
import pickle
import queue
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from library.errors import FaultyInput, PlannerError, refuse
from library.files import read_toml
from library.method import FOLDER
from planner.athlete.brief import Card
from planner.athlete.folder import read_week, week_folder, written_as
from planner.athlete.reading import BRIEF_FILE, BRIEF_IS
from planner.athlete.writing import WEEKS
from planner.plain import below_target, counted, less_meant, number
from planner.sunday import NOTHING_SEEN, HeadTotal, Row, look_at

# the worst first: a fault of ours, a file that is wrong, no week, a week without its PDF
WORST_FIRST = (1, 2, 3, 4)
FAULT_OF_OURS = 1
DIED = "its process ended before the week was there. Plan it alone with `planner week`"


@dataclass(frozen=True)
class Task:
    """One athlete's week to plan; `write` False: nothing is written. `stands`: the week on disk is looked at instead."""

    folder: Path
    week: str
    today: datetime.date
    write: bool
    stands: bool = False


def athletes_below(folder: Path) -> list[Path]:
    """Give `folders_with_brief`. Raises FaultyInput: no such folder, or no athlete in it."""
    if not folder.is_dir():
        raise refuse(
            folder, "", "there is no such folder", "Name the folder in which the athletes' folders lie"
        )
    if athletes := folders_with_brief(folder):
        return athletes
    remedy = (
        f"Give each athlete a folder in it with {BRIEF_FILE} and gym.toml (demo_athlete has both to copy)"
    )
    raise refuse(folder, "", f"no folder in it holds a {BRIEF_FILE}", remedy)


def folders_with_brief(folder: Path) -> list[Path]:
    """Give every folder at or below `folder` that holds a brief.toml, by name; hidden ones and weeks are passed over."""
    athletes = []
    for place, folders, files in os.walk(folder):
        folders[:] = (name for name in folders if not name.startswith(".") and name != WEEKS)
        athletes += [Path(place)] if BRIEF_FILE in files else []
    return sorted(athletes)


Done = Callable[[Task, Row], object]
Work = Callable[[Sequence[Task], Done], Iterator[Row]]


def plan_all(tasks: Sequence[Task], done: Done = lambda *_: 0, *, jobs: int | None = None) -> Iterator[Row]:
    """Plan each athlete and give the rows in order, `jobs` at once (None: a processor); `done` hears of each at once."""
    workers = min(jobs or os.cpu_count() or 1, len(tasks))
    if workers <= 1:
        for task in tasks:
            done(task, row := plan_one(task))
            yield row
        return
    idle: queue.SimpleQueue[Worker] = queue.SimpleQueue()
    staff = [Worker() for _ in range(workers)]
    for worker in staff:
        idle.put(worker)

    def plan(task: Task) -> Row:
        worker = idle.get()
        try:
            done(task, row := worker.plan(task))
        finally:
            idle.put(worker)
        return row

    def dismiss() -> None:
        for worker in staff:
            worker.dismiss()

    threads = ThreadPoolExecutor(workers)
    try:
        with at_interrupt(dismiss):
            yield from threads.map(plan, tasks)
    finally:  # the last row is there, or somebody pressed Ctrl-C: nobody works on
        dismiss()
        threads.shutdown(cancel_futures=True)


@contextlib.contextmanager
def at_interrupt(end: Callable[[], None]) -> Iterator[None]:
    """Call `end` as soon as somebody presses Ctrl-C: an interrupt raised where nobody hears it would change nothing."""

    def interrupted(*_: object) -> None:
        end()
        raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, interrupted)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


class Worker:
    """A process that plans one athlete after the other: tasks in, rows out, as pickles through its pipes. It is
    started with a safe path, so that no file of the current or an athlete's folder is ever imported, and ends when its
    input does."""

    command = (sys.executable, "-P", "-m", "planner.roster")

    def __init__(self) -> None:
        self.dismissed = False
        self._start()

    def _start(self) -> None:
        home = str(Path(__file__).parents[1])  # where this very program lies, installed or not
        paths = filter(None, [home, os.environ.get("PYTHONPATH")])
        environment = {**os.environ, "PYTHONSAFEPATH": "1", "PYTHONPATH": os.pathsep.join(paths)}
        pipe = subprocess.PIPE
        self.process = subprocess.Popen(self.command, env=environment, stdin=pipe, stdout=pipe)

    def plan(self, task: Task) -> Row:
        """Plan one athlete; a process that died is replaced and asked once more, then the row says so."""
        if self.process.poll() is not None and not self.dismissed:  # grown too large
            self._start()
        for _ in range(2):
            assert self.process.stdin and self.process.stdout
            with contextlib.suppress(OSError, EOFError, pickle.UnpicklingError):
                pickle.dump(task, self.process.stdin)
                self.process.stdin.flush()
                row: Row = pickle.load(self.process.stdout)  # written by our own process
                return row
            self.process.kill()
            self.process.wait()
            if self.dismissed:
                break
            self._start()
        return failed(task, FAULT_OF_OURS, DIED)

    def dismiss(self) -> None:
        """End the process, whatever it is doing."""
        self.dismissed = True
        self.process.kill()
        self.process.wait()


def work() -> None:
    """Plan what comes in as pickles, until there is no more or this process is too large: what draws paper keeps a
    little of each. What anybody prints meanwhile goes to stderr."""
    import ctypes

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent ends this process itself
    system = ctypes.CDLL(None) if sys.platform == "linux" else None
    if system:
        system.prctl(1, 9)  # PR_SET_PDEATHSIG, SIGKILL: end with the parent, however it ends
    trim = getattr(system, "malloc_trim", None)
    if (
        system and trim
    ):  # glibc: what a search has freed goes back to the system, blocks of 1 MB (our choice) at once
        system.mallopt(-3, 1_048_576)  # M_MMAP_THRESHOLD
    rows = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    pages, page_bytes = Path("/proc/self/statm"), getattr(os, "sysconf", lambda _: 0)("SC_PAGE_SIZE")
    with contextlib.suppress(EOFError, BrokenPipeError):
        while not pages.exists() or int(pages.read_text().split()[1]) * page_bytes < FOLDER.worker_bytes_most:
            task = pickle.load(sys.stdin.buffer)  # written by our own process
            pickle.dump(plan_one(task), rows)
            rows.flush()
            if trim:
                trim(0)


def plan_one(task: Task) -> Row:
    """Plan, recheck and write one athlete's week; whatever goes wrong is told in the row."""
    from planner.publish import Published, check_sound, publish
    from planner.week.gather import gather
    from planner.week.plan import plan_week

    try:
        asked, written = gather(task.folder, task.week, task.today), None
        if task.stands:
            document = read_week(task.folder, task.week)
            written = Published((week_folder(task.folder, task.week),), None)
        else:
            document = plan_week(asked)
            check_sound(document, asked)
            written = publish(document, asked, task.folder, None) if task.write else None
        try:
            look, unread = look_at(asked, document), ""
        except FaultyInput as fault:  # of a week long past: this one stands all the same
            look, unread = NOTHING_SEEN, str(fault)
    except PlannerError as error:
        return failed(task, error.exit_code, str(error))
    except Exception as fault:  # one athlete's fault must not stop the others
        return failed(task, FAULT_OF_OURS, f"A fault of ours: {type(fault).__name__}: {fault}")
    unmade, less = written.paper_fault if written else None, less_meant(document)
    short = {dose.head: dose.target - dose.total for dose in below_target(document) if not less}
    return Row(
        folder=str(task.folder), name=document.athlete, week=document.week, status=document.status,
        pain=document.pain, warnings=document.warnings, look=look, less=less,
        heads=tuple(
            HeadTotal(d.head, round(d.total, 3), d.target, round(short.get(d.head, 0.0), 3)) for d in document.dose
        ),
        sheets=str(written.paper("sheets")) if written else "",
        exit=unmade.exit_code if unmade else 0, error=str(unmade or unread),
        made=written_as(task.folder, task.week) if written else "",
    )  # fmt: skip


def failed(task: Task, code: int, error: str) -> Row:
    """Give the row of an athlete without a week, and why."""
    return Row(str(task.folder), client_name(task.folder), task.week, exit=code, error=error)


def client_name(folder: Path) -> str:
    """Give the name that a brief has for the client, whatever else is wrong in it; else that of the folder."""
    with contextlib.suppress(FaultyInput, LookupError, TypeError, ValidationError):
        return Card(name=read_toml(folder / BRIEF_FILE, BRIEF_IS)["athlete"]["name"]).name
    return folder.resolve().name


def row_line(row: Row) -> str:
    """Write an athlete's line: name, week, pain, what is short, status, heads against targets, where the sheets lie."""
    if not row.status:
        first, *more = row.error.splitlines() or ["no reason given"]
        others = f" (and {counted(len(more), 'line')} more)" if more else ""
        return f"{row.name}, {row.week}: NO WEEK, {row.folder}, exit {row.exit}: {first}{others}"
    doses = ", ".join(f"{one.head} {one.total:.1f} of {number(one.target)}" for one in row.heads)
    short = ", ".join(f"{one.head} by {number(one.short)}" for one in row.short)
    parts = [f"PAIN: {' '.join(row.pain)}"] if row.pain else []
    on_purpose = f"less on purpose {row.less}" if row.less else "nothing short"
    parts += [f"SHORT of target: {short}" if short else on_purpose, row.status, doses or "nothing to train"]
    parts += [counted(len(row.warnings), "warning")] if row.warnings else []
    parts += [row.sheets or "not written", *([f"exit {row.exit}: no PDF"] if row.exit else [])]
    return f"{row.name}, {row.week}: {'; '.join(parts)}"


def totals_line(rows: Sequence[Row]) -> str:
    """Count the weeks that are there, with pain, short of a target, and not there."""
    made = [row for row in rows if row.status]
    pain, short = sum(bool(row.pain) for row in made), sum(bool(row.short) for row in made)
    counts = f"{len(made)} planned, {pain} with pain, {short} short of a target, {len(rows) - len(made)} without a week"
    return f"{counted(len(rows), 'athlete')}: {counts}"


def exit_code(rows: Sequence[Row]) -> int:
    """Give the exit code of the worst athlete; 0 if all are done."""
    codes = {row.exit for row in rows}
    return next((code for code in WORST_FIRST if code in codes), 0)


if __name__ == "__main__":
    from planner import roster  # under its own name, so that the pickles of both sides fit

    roster.work()
