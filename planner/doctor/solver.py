"""The solver: does it find a known optimum, and does it keep quiet on the standard output?"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from functools import cache
from typing import Any

from planner.doctor.part import INSTALL_AGAIN, Finding
from planner.doctor.toy import OPTIMUM, TOLERANCE

PATIENCE_SECONDS = 120


@dataclass(frozen=True)
class ToyRun:
    """How the process with the toy program ended: its exit code and what it left on both outputs."""

    exit_code: int
    stdout: str
    stderr: str


@cache
def run_toy() -> ToyRun:
    """Solve the toy program in a process of its own, once however often it is asked for."""
    ended = subprocess.run(
        [sys.executable, "-m", "planner.doctor.toy"],
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
    )
    return ToyRun(ended.returncode, ended.stdout, ended.stderr)


def look_at_solver() -> Finding:
    """Tell whether the toy program's optimum and its bound are the known ones."""
    run = run_toy()
    if run.exit_code != 0:
        return Finding("broken", last_line(run.stderr), (INSTALL_AGAIN,))
    answer = json.loads(last_line(run.stderr))
    found = f"{answer['solver']}: {answer['value']:g}, bound {answer['bound']:g}; known optimum {OPTIMUM:g}"
    if right(answer):
        return Finding("works", found)
    return Finding("broken", f"{found} ({answer['ending']})", (INSTALL_AGAIN,))


def look_for_banner() -> Finding:
    """Tell whether solving leaves anything on stdout, which belongs to the result alone."""
    said = run_toy().stdout.strip()
    if not said:
        return Finding("works", "solving prints nothing on the standard output")
    found = f"solving prints {said.splitlines()[0]!r}, which would spoil --json"
    return Finding("broken", found, ("Install highspy 1.13, which prints no banner.",))


def right(answer: dict[str, Any]) -> bool:
    """Whether value and bound both meet the known optimum."""
    return all(abs(float(answer[name]) - OPTIMUM) <= TOLERANCE for name in ("value", "bound"))


def last_line(text: str) -> str:
    """Give the last line with anything on it; warnings may stand before it."""
    lines = [line for line in text.splitlines() if line.strip()]
    return lines[-1].strip() if lines else "it ended without a word"
