"""Write a week's folder so that at any moment, power cut or kill, the old week or the new one stands whole.

The new folder is made beside (.2026-W49.new) with the replaced plans inside it (v1, v2 …), week.json last;
then the old one steps aside (.2026-W49.old) and the new one takes its name. A run that dies between these
two renames leaves the old week under the name .old: `mend` puts it back, and every reader calls it.

Several weeks are written as one (writing_weeks.py): all new folders first, then a list of them, `.weeks`. Once the
list stands they are all to be in force, and whoever finds it renames what is left: `finish`.
"""

from __future__ import annotations

import json
import os
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from planner.athlete.lock import athlete_lock
from planner.athlete.toml_text import refuse
from planner.document import week_start

WEEKS = "weeks"
WEEK_FILE = "week.json"
LIST_FILE = ".weeks"
VERSION_FOLDER = re.compile(r"\Av(\d+)\Z", re.ASCII)
Contents = Mapping[str, bytes | str]


def write_week(folder: Path, week: str, files: Contents, out: Path | None = None) -> Path:
    """Write the files of a week (name → contents, week.json among them) and return the week's folder.

    It lies in ATHLETE/weeks, or in `out`. What stood there moves to v1, v2 … inside it.
    Raises FaultyInput if it cannot be written; then nothing has changed.
    """
    check_contents(week, files)
    base = folder / WEEKS if out is None else out
    with athlete_lock(folder), or_nothing(base):
        base.mkdir(parents=True, exist_ok=True)
        finish(base)
        mend(base, week)
        make_beside(base, week, files)
        _take_its_name(base, week)
    return base / week


def check_contents(week: str, files: Contents) -> None:
    """Raise FaultyInput for a week that is none, ValueError for files that make up no week's folder."""
    week_start(week)
    if WEEK_FILE not in files or any(Path(name).name != name for name in files):
        raise ValueError(f"a week needs {WEEK_FILE} and plain file names, not {sorted(files)}")


@contextmanager
def or_nothing(base: Path) -> Iterator[None]:
    """Undo folders made on the way if the writing fails, and say in words why it did."""
    missing = [parent for parent in (base, *base.parents) if not parent.exists()]
    try:
        yield
    except OSError as fault:
        for left in base.glob(".*.new"):
            shutil.rmtree(left, ignore_errors=True)
        for made in missing:  # innermost first; one that holds something stays
            _remove_if_empty(made)
        remedy = "Make this folder writable, or name another one with --out"
        raise refuse(base, "", f"cannot be written ({fault.strerror or fault})", remedy) from None


def _remove_if_empty(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        return


def beside(base: Path, week: str) -> tuple[Path, Path, Path]:
    """Name a week's folder as it stands, the new one, and the one that steps aside."""
    return base / week, base / f".{week}.new", base / f".{week}.old"


def mend(base: Path, week: str) -> None:
    """Finish what a killed run left: bring the old week back, or clear it away if the new one stands."""
    current, _, old = beside(base, week)
    if not old.exists():
        return
    if current.exists():
        shutil.rmtree(old, ignore_errors=True)  # the new week stands; what is left goes the next time
    else:
        old.rename(current)


def finish(base: Path) -> None:
    """Put every week of the list `.weeks` in its place, if there is one: it stands once all of them are written."""
    listed = base / LIST_FILE
    try:
        names = json.loads(listed.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return
    for week in names:
        step_in(base, week)
    flush_folder(base)
    listed.unlink()
    for week in names:
        mend(base, week)


def step_in(base: Path, week: str) -> None:
    """Let a new folder take its week's name, if it has not done so; the old one stands aside."""
    current, new, old = beside(base, week)
    if new.exists():
        if current.exists():
            current.rename(old)
        new.rename(current)


def mend_all(folder: Path) -> None:
    """Finish and mend all that a killed run left of an athlete's weeks."""
    base = folder / WEEKS
    if (base / LIST_FILE).exists():
        with athlete_lock(folder):
            finish(base)
    for old in base.glob(".*.old"):
        week = old.name.removeprefix(".").removesuffix(".old")
        if not (base / week).exists():  # else the next writing clears it away
            with athlete_lock(folder):
                mend(base, week)


def make_beside(base: Path, week: str, files: Contents) -> None:
    """Make a week's new folder beside the one that stands, its replaced plans inside, week.json last."""
    current, new, _ = beside(base, week)
    if new.exists():  # left by a killed run
        shutil.rmtree(new)
    new.mkdir()
    if current.exists():
        _keep_replaced(current, new)
    for name in sorted(files, key=lambda name: (name == WEEK_FILE, name)):
        write_through(new / name, files[name])
    flush_folder(new)


def _keep_replaced(current: Path, new: Path) -> None:
    """Carry v1, v2 … over and put what stands beside them into the next one."""
    versions = {entry.name: entry for entry in current.iterdir() if VERSION_FOLDER.match(entry.name)}
    last = max((int(name[1:]) for name in versions), default=0)
    for name, entry in versions.items():
        shutil.copytree(entry, new / name, symlinks=True, copy_function=_link)
    replaced = [entry for entry in current.iterdir() if entry.name not in versions]
    if replaced:
        kept = new / f"v{last + 1}"
        kept.mkdir()
    for entry in replaced:
        if entry.is_dir() and not entry.is_symlink():
            shutil.copytree(entry, kept / entry.name, symlinks=True, copy_function=_link)
        else:
            _link(str(entry), str(kept / entry.name))


def _link(source: str, target: str) -> None:
    """Give the file a second name; where the disk knows no such thing, copy it."""
    try:
        os.link(source, target, follow_symlinks=False)
    except OSError:
        shutil.copy2(source, target, follow_symlinks=False)


def write_through(path: Path, content: bytes | str) -> None:
    """Write a file and have its content on the disk before returning."""
    with path.open("wb") as stream:
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


def _take_its_name(base: Path, week: str) -> None:
    current, new, old = beside(base, week)
    try:
        if current.exists():
            current.rename(old)
        new.rename(current)
        flush_folder(base)
    finally:
        mend(base, week)
