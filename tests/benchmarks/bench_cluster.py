"""`roster --scheduler`: a Dask cluster of two workers on this machine against the roster's own two processes."""

import shutil
import time
from functools import partial

from dask_processes import cluster
from one_room import TODAY, WEEK, room_of
from processes import fresh_folder
from row import Row

from planner.cluster import connect, plan_far
from planner.roster import Task, Work, plan_all

ATHLETES, AT_LEAST = 16, 0.85


def rows() -> list[Row]:
    """Plan the same athletes with all papers both ways; the cluster stands already and has planned one a worker."""
    with fresh_folder() as folder, cluster(folder, workers=2) as (address, _):
        room_of(folder, ATHLETES, plan=False)
        tasks = [Task(brief.parent, WEEK, TODAY, write=True) for brief in sorted(folder.glob("*/brief.toml"))]
        seconds(tasks[:2], partial(plan_far, *connect(address)))
        here = seconds(tasks, partial(plan_all, jobs=2))
        far = seconds(tasks, partial(plan_far, *connect(address)))
    name = f"{ATHLETES} athletes: two processes here / two Dask workers"
    note = f"{here:.1f} s here, {far:.1f} s on the cluster"
    return [Row(name, here / far, AT_LEAST, at_least=True, note=note)]


def seconds(tasks: list[Task], work: Work) -> float:
    """Plan all athletes from nothing; seconds of the clock."""
    for task in tasks:
        shutil.rmtree(task.folder / "weeks", ignore_errors=True)
    start = time.perf_counter()
    assert all(row.exit == 0 for row in work(tasks, lambda *_: None))
    return time.perf_counter() - start
