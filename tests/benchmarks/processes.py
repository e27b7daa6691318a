"""Whole processes measured from outside: wall seconds and peak memory, several runs taken in turn. Absolute seconds
mean nothing on another machine, so benches compare runs that alternate in one session."""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median

RUNS = 7
LAUNCHER = str(Path(__file__).with_name("launcher.py"))
BYTES_OF_MAXRSS = 1 if sys.platform == "darwin" else 1024  # macOS counts bytes, Linux kilobytes


@dataclass(frozen=True)
class Run:
    seconds: float
    megabytes: float


Command = Callable[[], Run]


def planner():
    return str(Path(sys.executable).with_name("planner"))


def imports(*modules):
    """Command that only imports the modules: what any program on them must cost."""
    return [sys.executable, "-c", f"import {', '.join(modules)}"]


def environment():
    """The environment as a user has it: compiled modules may be kept, as they are after a first run."""
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def run(command, cwd=None):
    """Run one process to its end; a failure stops the bench with what the process said."""
    ended = subprocess.run(
        [sys.executable, "-I", "-S", LAUNCHER, *command], cwd=cwd, env=environment(),
        stdin=subprocess.DEVNULL, capture_output=True, text=True, errors="replace", check=True,
    )  # fmt: skip
    told = json.loads(ended.stdout)
    if told["exit_code"] != 0:
        sys.exit(f"{' '.join(command)} ended with {told['exit_code']}: {ended.stderr}")
    return Run(told["seconds"], told["maxrss"] * BYTES_OF_MAXRSS / 1e6)


def in_turn(commands, runs=RUNS):
    """Run each command `runs` times, one after the other in turn, after one round that does not count."""
    for command in commands.values():
        command()
    kept = {name: [] for name in commands}
    for _ in range(runs):
        for name, command in commands.items():
            kept[name].append(command())
    return kept


def seconds(runs):
    return median(one.seconds for one in runs)


def ratio(ours, bare):
    """Median over the rounds of our seconds divided by the bare process's of the same round. What else the machine
    does drifts from round to round and cancels inside one."""
    return median(mine / other.seconds for mine, other in zip(ours, bare, strict=True))


@contextmanager
def fresh_folder():
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder)


# --- One measured number with its limit, and how a table of them is printed
@dataclass(frozen=True)
class Row:
    """What was measured; `limit` None means that the number is only told."""

    name: str
    value: float
    limit: float | None = None
    unit: str = "×"
    at_least: bool = False  # the limit is a least value, not a most
    note: str = ""

    @property
    def passes(self):
        if self.limit is None:
            return True
        return self.value >= self.limit if self.at_least else self.value <= self.limit

    def cells(self):
        if self.limit is None:
            limit, verdict = "", ""
        else:
            limit = f"{'≥' if self.at_least else '≤'} {self.limit:g} {self.unit}"
            verdict = "passes" if self.passes else "MISSED"
        return self.name, f"{self.value:.2f} {self.unit}", limit, verdict, self.note


def table(rows):
    cells = [row.cells() for row in rows]
    wide = [max(len(line[column]) for line in cells) for column in range(4)]
    return "\n".join(
        f"{name:<{wide[0]}}  {value:>{wide[1]}}  {limit:<{wide[2]}}  {verdict:<{wide[3]}}  {note}".rstrip()
        for name, value, limit, verdict, note in cells
    )
