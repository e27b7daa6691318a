"""Two jobs at once where the system can split a running process in two (Linux); else one after the other.

Drawing a paper takes about as long as solving a week, and the two papers know nothing of each other.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import TypeVar

First = TypeVar("First")
Second = TypeVar("Second")


def can_split() -> bool:
    """Whether a running process can be split safely and there is a second processor to gain from it."""
    return sys.platform == "linux" and (os.cpu_count() or 1) > 1


def side_by_side(first: Callable[[], First], second: Callable[[], Second]) -> tuple[First, Second]:
    """Do both jobs and give both results; the first is done in a copy of this process.

    Whatever goes wrong in the copy, its job is done here once more, so that errors are told as ever.
    """
    if not can_split():
        return first(), second()
    context = multiprocessing.get_context("fork")
    here, there = context.Pipe(duplex=False)
    copy = context.Process(target=_do, args=(first, there), daemon=True)
    copy.start()
    there.close()
    done = second()
    try:
        result: First = here.recv()
    except Exception:
        return first(), done
    finally:
        copy.join()
        here.close()
    return result, done


def _do(job: Callable[[], object], out: Connection) -> None:
    """Send the result of a job; without one the pipe just ends."""
    try:
        out.send(job())
    finally:
        out.close()
        os._exit(0)  # nothing of the copied process may run on: no handlers, no buffers of the original
