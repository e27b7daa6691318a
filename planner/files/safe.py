"""Write a file so that a reader sees the old one or the new one, and let one run at a time write to a folder. What
belongs to an athlete is for its owner's eyes: a new file has mode 600, one that stood keeps its mode."""

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from planner.files.text import refuse
from planner.method import FOLDER

LOCK_FILE = ".lock"
OWNER_FILE, OWNER_FOLDER = 0o600, 0o700
NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0)


def write_safely(file: Path, content: bytes | str) -> None:
    """Write beside the file, flush to the disk and rename into place. Raises FaultyInput where that cannot be. A link
    is refused: neither what it leads to nor the link itself is replaced unasked. Hold the folder's lock."""
    beside = file.with_name(f".{file.name}.new")
    try:
        if file.is_symlink() or (file.exists() and not file.is_file()):
            raise refuse(file, "", "this is a link or no ordinary file", "Put the file itself there")
        beside.unlink(missing_ok=True)  # left by a killed run, or a link that a received folder holds
        write_through(beside, content)
        if file.exists():
            beside.chmod(stat.S_IMODE(file.stat().st_mode))
        beside.replace(file)
        flush_folder(file.parent)
    except OSError as fault:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        remedy = "Make the file and its folder writable; nothing was changed"
        raise refuse(file, "", f"cannot be written ({fault.strerror})", remedy) from None


def write_through(path: Path, content: bytes | str) -> None:
    """Write a new file and have its content on the disk before returning; what stands there is never written to."""
    with open(os.open(path, NEW, OWNER_FILE), "wb") as stream:  # noqa: PTH123
        stream.write(content.encode() if isinstance(content, str) else content)
        stream.flush()
        os.fsync(stream.fileno())


def flush_folder(folder: Path) -> None:
    """Have the folder's names on the disk too, where the system can (not on Windows)."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def athlete_lock(folder: Path) -> Iterator[None]:
    """Hold the lock of a folder from before it is read until it is written; a run that holds it may take it again.
    Raises FaultyInput if another run keeps it, or if the folder cannot be written. A killed run leaves none."""
    from filelock import FileLock, Timeout

    lock = FileLock(folder / LOCK_FILE, timeout=FOLDER.lock_seconds, is_singleton=True, mode=OWNER_FILE)
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
