"""`roster --scheduler`: a Dask cluster of two workers on this machine against the roster's own two processes."""

import shutil
import time
from functools import partial

import distributed
from one_room import TODAY, WEEK, room_of
from processes import fresh_folder
from row import Row

from planner.cluster import connect, plan_far
from planner.roster import Task, Work, plan_all

ATHLETES, AT_LEAST = 16, 0.85


def rows() -> list[Row]:
    """Plan the same athletes with all papers both ways; the cluster stands already and has planned one a worker."""
    with fresh_folder() as folder:
        room_of(folder, ATHLETES, plan=False)
        tasks = [
            Task(athlete, WEEK, TODAY, write=True) for athlete in sorted(folder.iterdir()) if athlete.is_dir()
        ]
        here = seconds(tasks, partial(plan_all, jobs=2))
        with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as cluster:
            seconds(tasks[:2], partial(plan_far, connect(cluster.scheduler_address)))
            far = seconds(tasks, partial(plan_far, connect(cluster.scheduler_address)))
    note = f"{here:.1f} s here, {far:.1f} s on the cluster"
    return [
        Row(
            f"{ATHLETES} athletes: two processes here / two Dask workers", here / far, AT_LEAST,
            at_least=True, note=note,
        )
    ]  # fmt: skip


def seconds(tasks: list[Task], work: Work) -> float:
    """Plan all athletes from nothing; seconds of the clock."""
    for task in tasks:
        shutil.rmtree(task.folder / "weeks", ignore_errors=True)
    start = time.perf_counter()
    assert all(row.exit == 0 for row in work(tasks, lambda *_: None))
    return time.perf_counter() - start
