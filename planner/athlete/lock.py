"""One lock an athlete: two runs never write to the same folder at once."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from planner.athlete.toml_text import refuse
from planner.method import FolderSettings

LOCK_FILE = ".lock"


@contextmanager
def athlete_lock(folder: Path) -> Iterator[None]:
    """Hold the lock of an athlete's folder; a run that holds it already may take it again.

    Raises FaultyInput if another run keeps it, or if the folder cannot be written. A killed run leaves none.
    """
    from filelock import FileLock, Timeout

    lock = FileLock(folder / LOCK_FILE, timeout=FolderSettings().lock_seconds, is_singleton=True)
    try:
        lock.acquire()
    except Timeout:
        read = "another run of the planner is at work on this athlete"
        raise refuse(folder, "", read, "Wait until it has ended, then run this again") from None
    except OSError as fault:
        remedy = "Make the athlete's folder writable: its lock lies there"
        raise refuse(folder, "", f"cannot be written ({fault.strerror})", remedy) from None
    try:
        yield
    finally:
        lock.release()
