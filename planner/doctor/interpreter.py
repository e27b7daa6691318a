"""The Python that runs the planner."""

from __future__ import annotations

import platform
import sys

from planner.doctor.part import Finding

OLDEST = (3, 11)


def look_at_python() -> Finding:
    """Tell the version of this Python, and whether the planner can run on it."""
    found = f"{platform.python_version()} in {sys.prefix}"
    if sys.version_info[:2] >= OLDEST:
        return Finding("works", found)
    oldest = ".".join(str(number) for number in OLDEST)
    return Finding("broken", found, (f"Install Python {oldest} or newer, and the planner in it.",))
