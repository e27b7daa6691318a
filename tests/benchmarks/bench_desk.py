"""The desk as a coach meets it: a real server, asked over HTTP; seconds and megabytes of this machine."""

import datetime
import re
import subprocess
import time
import tomllib
from contextlib import contextmanager
from pathlib import Path
from statistics import quantiles

import httpx2 as httpx
from desk_client import PATIENCE_SECONDS, address_of
from folders import BRIEFS, copy_of, copy_of_demo
from processes import Row, fresh_folder, planner

from planner.document import next_week
from planner.roster import Task, plan_one

MANY, EVERY = 200, 3  # athletes on the Sunday page; which pieces of equipment are ticked off
WAITS = 'http-equiv="refresh"'


class Visitor(httpx.Client):
    """A browser at the desk: its connection and its cookie."""

    def __init__(self, address):
        base, patience = address.partition("/open")[0], PATIENCE_SECONDS
        super().__init__(base_url=base, follow_redirects=True, timeout=patience)
        self.headers["Sec-Fetch-Site"] = "same-origin"
        self.get(address)

    def seconds_until(self, path, page):
        began = time.perf_counter()
        while WAITS in page:
            if time.perf_counter() - began > PATIENCE_SECONDS:
                raise TimeoutError(f"{path} still waits after {PATIENCE_SECONDS:g} s")
            time.sleep(0.02)
            page = self.get(path).text
        return time.perf_counter() - began


@contextmanager
def desk(room):
    """Open the desk on a folder, as `make desk` does."""
    command = [planner(), "desk", str(room), "--no-browser"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    try:
        yield process, Visitor(address_of(process))
    finally:
        process.kill()
        process.wait()


def ticks(room, visitor, week):
    """Tick equipment off, one piece after the other: seconds to the proposal or its estimate, and to the proof."""
    shown, proven = [], []
    for athlete in sorted(room.iterdir()):
        path = f"/week/{athlete.name}"
        gyms = tomllib.loads((athlete / "gym.toml").read_text())
        for gym, of in gyms.items():
            for key in of["equipment"][::EVERY]:
                began = time.perf_counter()
                change = {"kind": "without", "word": f"{gym}:{key}", "week": week}
                page = visitor.post(f"/edit/{athlete.name}", data=change).text
                shown.append(time.perf_counter() - began)
                proven.append(shown[-1] + visitor.seconds_until(path, page))
                visitor.post(f"/discard/{athlete.name}")
    return shown, proven


def memory(process):
    """Most megabytes that a process held (Linux); 0 where that cannot be read."""
    status = Path(f"/proc/{process.pid}/status")
    peak = re.search(r"VmHWM:\s+(\d+)", status.read_text()) if status.exists() else None
    return int(peak[1]) / 1000 if peak else 0.0


def rows() -> list[Row]:
    today = datetime.date.today()
    week = next_week(today)
    with fresh_folder() as folder:
        room, many = folder / "room", folder / "many"
        copy_of_demo(room / "demo_athlete")
        for source in sorted(BRIEFS.iterdir()):
            if (source / "brief.toml").exists():
                copy_of(source, room / source.name)
        planned = [Task(athlete, week, today, True) for athlete in sorted(room.iterdir())]
        for row in map(plan_one, planned):
            assert row.exit in (0, 4), row.error
        for number in range(MANY):
            copy_of_demo(many / f"athlete_{number:03d}")
        began = time.perf_counter()
        with desk(room) as (process, visitor):
            first = visitor.get("/").text
            start = time.perf_counter() - began
            visitor.seconds_until("/", first)
            shown, proven = ticks(room, visitor, week)
            largest = memory(process)
        with desk(many) as (_, visitor):
            visitor.seconds_until("/", visitor.get("/").text)
            began = time.perf_counter()
            visitor.get("/")
            sunday = time.perf_counter() - began
    middle, proof_middle = (quantiles(of, n=2)[0] for of in (shown, proven))
    late, proof_late = (quantiles(of, n=20)[-1] for of in (shown, proven))
    return [
        Row("start to the first page", start, 1.2, "s"),
        Row("tick to proposal or estimate, median", middle, 0.25, "s", note=f"{len(shown)} ticks"),
        Row("tick to proposal or estimate, 95th percentile", late, 1.0, "s"),
        Row("tick to the proof, median", proof_middle, None, "s"),
        Row("tick to the proof, 95th percentile", proof_late, None, "s"),
        Row(f"Sunday page of {MANY}, read once before", sunday, 1.0, "s"),
        Row("most memory", largest, 350, "MB"),
    ]
