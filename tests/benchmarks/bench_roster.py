"""A roster of generated athletes: two jobs against one, a second run with --changed-only, two Dask workers against the
roster's own two processes, and the memory of these. `BENCH_ATHLETES` says how many; each has a year of weeks planned
and logged by the same few hands."""

import datetime
import os
import resource
import shutil
import time
from functools import partial

from dask_processes import cluster
from practice_clients import CLIENTS, brief_of, gym_of
from processes import BYTES_OF_MAXRSS, Row, fresh_folder, planner, run
from small_athlete import make_folder

from planner.cluster import connect, plan_far
from planner.document import week_name
from planner.log.blank import session_date
from planner.log.file import append_to_log
from planner.log.record import LoggedSet
from planner.roster import Task, plan_all
from planner.week.gather import gather
from planner.week.plan import plan_week

ATHLETES = int(os.environ.get("BENCH_ATHLETES", "200"))
FEW = 24  # planned here and by Dask
WEEKS, SCALED = 12, 1_000  # planned and logged behind each; athletes to scale to
TODAY = datetime.date.today()
NEXT = week_name(TODAY + datetime.timedelta(weeks=1))


def rows() -> list[Row]:
    """Measure; the first run plans all, the second one finds nothing changed. The cluster stands already."""
    with fresh_folder() as folder:
        club = generated(folder / "club", ATHLETES)
        first, *both = (shutil.copytree(club, folder / name) for name in "abc")
        few = [Task(one, NEXT, TODAY, write=True) for one in sorted(first.iterdir())[:FEW]]
        here = seconds(few, partial(plan_all, jobs=2))
        memory = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * BYTES_OF_MAXRSS / 1e6
        with cluster(folder, workers=2) as (address, _):
            seconds(few[:2], partial(plan_far, *connect(address)))
            far = seconds(few, partial(plan_far, *connect(address)))
        one, two = (roster(where, "--jobs", str(jobs)) for jobs, where in enumerate(both, start=1))
        again = roster(both[1], "--changed-only")
    name, note = f"{ATHLETES} athletes", f"{SCALED}: {two.seconds * SCALED / ATHLETES / 60:.0f} min"
    return [
        Row(f"{name}, one job", one.seconds, unit="s"),
        Row(f"{name}, two jobs", two.seconds, unit="s", note=note),
        Row("two jobs against twice one", one.seconds / two.seconds / 2, 0.9, at_least=True),
        Row("memory of the largest worker", memory, 250, "MB"),
        Row("memory of a roster of one job", one.megabytes, unit="MB"),
        Row("again with --changed-only, of the first", again.seconds / two.seconds, 0.03),
        Row(f"{len(few)} athletes: two processes here / two Dask workers", here / far, 0.85, at_least=True,
            note=f"{here:.1f} s here, {far:.1f} s on the cluster"),
    ]  # fmt: skip


def seconds(tasks, work):
    for task in tasks:
        shutil.rmtree(task.folder / "weeks" / NEXT, ignore_errors=True)
    start = time.perf_counter()
    assert all(row.exit == 0 for row in work(tasks, lambda *_: None))
    return time.perf_counter() - start


def roster(folder, *words):
    return run([planner(), "roster", str(folder), "--week", NEXT, *words])


def generated(folder, count):
    """Write `count` athletes; those of one kind are copies that differ in name and in today's sets."""
    for number, kind in enumerate(list(CLIENTS)[: min(count, len(CLIENTS))]):
        athlete = make_folder(folder / f"{number:04d}", brief_of(kind, f"Client {number}"), gym_of(kind))
        behind(athlete)
    for number in range(len(CLIENTS), count):
        kind = list(CLIENTS)[number % len(CLIENTS)]
        copy = shutil.copytree(folder / f"{number % len(CLIENTS):04d}", folder / f"{number:04d}")
        make_folder(copy, brief_of(kind, f"Client {number}"), gym_of(kind))
    return folder


def behind(athlete):
    """Plan one week some weeks ago, and let it be done since."""
    first = week_name(TODAY - datetime.timedelta(weeks=WEEKS))
    document = plan_week(gather(athlete, first, TODAY))
    (place := athlete / "weeks" / first).mkdir(parents=True)
    (place / "week.json").write_text(document.model_dump_json(), encoding="utf-8")
    append_to_log(athlete, [
        LoggedSet(session_date(document, session) + datetime.timedelta(weeks=week), session.id, line.exercise, number,
                  None if line.load_is in ("body", "band") else 10.0 + week // 4, "kg", line.reps[1] - week % 3, 2.0, gym="club")
        for week in range(WEEKS) for session in document.sessions for line in session.exercises
        for number in range(1, line.sets + 1)
    ])  # fmt: skip
