"""Write so that a reader sees the old or the new, and one run at a time writes to a folder. What belongs to an athlete
is for its owner's eyes: a new file has mode 600, one that stood keeps its mode. Folders of weeks: power cut or kill,
the old weeks or the new ones stand whole. Each new folder is made beside (.2026-W49.new) with the replaced plans inside
it (v1, v2 …), week.json last. Then a list of them is written, `.weeks`: once it stands they are all to be in force, and
whoever finds it lets each take its name while the old one steps aside (.2026-W49.old): `finish`. An old one without a
new one comes back: `mend`. What a received folder says of itself is not believed: only names of weeks inside it are
ever moved or cleared away."""

import json
import os
import re
import shutil
import stat
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext, suppress
from pathlib import Path

from library.errors import FaultyInput, as_written, refuse
from library.files import is_there, read_bytes
from library.method import FOLDER
from planner.document import is_week, week_start

WEEKS = "weeks"
WEEK_FILE = "week.json"
LIST_FILE = ".weeks"
PLAIN_NAME = re.compile(r"\A(?:\w[\w-]*/)?\w[\w.-]*\Z")  # at most one folder deep, such as phone/Mon.html
VERSION_FOLDER = re.compile(r"\Av(\d{1,6})\Z", re.ASCII)
Contents = Mapping[str, bytes | str]
LOCK_FILE = ".lock"
OWNER_FILE, OWNER_FOLDER = 0o600, 0o700
NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0)


def write_week(folder: Path, week: str, files: Contents, out: Path | None = None) -> Path:
    """Write one week as `write_weeks` does and return its folder."""
    return write_weeks(folder, {week: files}, out)[0]


def write_weeks(folder: Path, weeks: Mapping[str, Contents], out: Path | None = None) -> list[Path]:
    """Write the folders of weeks (name → file name → contents, week.json among them) and return them. They lie in
    ATHLETE/weeks, or in `out`. What stood there moves to v1, v2 … inside them. All of them stand afterwards, or none:
    raises FaultyInput if they cannot be written, and then nothing has changed."""
    for week, files in weeks.items():
        week_start(week)  # a name that is no week is told as that
        if WEEK_FILE not in files or not all(map(PLAIN_NAME.match, files)):
            raise ValueError(f"a week needs {WEEK_FILE} and plain file names, not {sorted(files)}")
    base = folder / WEEKS if out is None else out
    with athlete_lock(folder), _or_nothing(base, weeks):
        base.mkdir(OWNER_FOLDER, parents=True, exist_ok=True)
        with athlete_lock(base) if out else nullcontext():  # two athletes may be given one folder
            finish(base)
            for week, files in weeks.items():
                _refuse_others(base, week, files, foreign=out is not None)
                mend(base, week)
                _make_beside(base, week, files)
            _put_in_place(base, list(weeks))
    return [base / week for week in weeks]


@contextmanager
def _or_nothing(base: Path, weeks: Mapping[str, Contents]) -> Iterator[None]:
    """Undo the folders made on the way if the writing fails, and say in words why it did."""
    missing = [parent for parent in (base, *base.parents) if not parent.exists()]
    try:
        yield
    except OSError as fault:
        for week in weeks:
            shutil.rmtree(_beside(base, week)[1], ignore_errors=True)
        for made in missing:  # innermost first; one that holds something stays
            try:
                made.rmdir()
            except OSError:
                break
        remedy = "Make this folder writable, or name another one with --out"
        raise refuse(base, "", f"cannot be written ({fault.strerror or fault})", remedy) from None


def _refuse_others(base: Path, week: str, files: Contents, *, foreign: bool) -> None:
    """Refuse to write through a link and, in a folder of --out, over the week of somebody else."""
    for path in (base / week, *(() if foreign else (base,))):
        if path.is_symlink():
            raise refuse(path, "", "this is a link to somewhere else", "Put the folder itself there")
    stands, owners = base / week / WEEK_FILE, []
    if foreign and stands.exists():
        for document in (read_bytes(stands, "a week"), files[WEEK_FILE]):
            try:
                owners.append(json.loads(document).get("athlete"))
            except (ValueError, AttributeError, RecursionError):
                owners.append(None)
    if owners and owners[0] not in (None, owners[1]):
        remedy = "Name another folder with --out: nothing was changed"
        raise refuse(base / week, "", f"this is the week of {as_written(owners[0])}", remedy)


def _beside(base: Path, week: str) -> tuple[Path, Path, Path]:
    """Name a week's folder as it stands, the new one, and the one that steps aside."""
    return base / week, base / f".{week}.new", base / f".{week}.old"


def _make_beside(base: Path, week: str, files: Contents) -> None:
    """Make a week's new folder beside the one that stands, its replaced plans inside, week.json last."""
    current, new, _ = _beside(base, week)
    _clear(new)  # left by a killed run
    new.mkdir(OWNER_FOLDER)
    if current.exists():
        _keep_replaced(current, new)
    for name in sorted(files, key=lambda name: (name == WEEK_FILE, name)):
        (new / name).parent.mkdir(OWNER_FOLDER, exist_ok=True)
        write_through(new / name, files[name])
    for inner in {(new / name).parent for name in files} - {new}:
        flush_folder(inner)
    flush_folder(new)


def _clear(path: Path) -> None:
    if path.is_symlink() or path.is_file():
        path.unlink()
    elif path.exists():
        shutil.rmtree(path)


def _keep_replaced(current: Path, new: Path) -> None:
    """Carry v1, v2 … over and put what stands beside them into the next one."""
    entries = list(current.iterdir())
    versions = {entry.name for entry in entries if VERSION_FOLDER.match(entry.name)}
    kept = new / f"v{1 + max((int(name[1:]) for name in versions), default=0)}"
    if len(entries) > len(versions):
        kept.mkdir(OWNER_FOLDER)
    for entry in entries:
        target = (new if entry.name in versions else kept) / entry.name
        if entry.is_dir() and not entry.is_symlink():
            shutil.copytree(entry, target, symlinks=True, copy_function=_link)
        else:
            _link(str(entry), str(target))


def _link(source: str, target: str) -> None:
    """Give the file a second name; where the disk knows no such thing, copy it."""
    try:
        os.link(source, target, follow_symlinks=False)
    except OSError:
        shutil.copy2(source, target, follow_symlinks=False)


def _put_in_place(base: Path, weeks: Sequence[str]) -> None:
    """Write the list of weeks, whole or not at all, then let each take its name; undo all if one cannot."""
    unnamed = base / f"{LIST_FILE}.new"
    try:
        _clear(unnamed)
        write_through(unnamed, json.dumps(weeks))
        unnamed.replace(base / LIST_FILE)
        flush_folder(base)
        finish(base)
    except OSError:
        for week in weeks:  # bring back what stood, as far as it had stepped aside
            current, new, old = _beside(base, week)
            if not new.exists() and current.exists():
                current.rename(new)
            if old.exists():
                old.rename(current)
        (base / LIST_FILE).unlink(missing_ok=True)
        raise
    finally:
        unnamed.unlink(missing_ok=True)


def finish(base: Path) -> None:
    """Put every week of the list `.weeks` in its place, if there is one: it stands once all of them are written. A
    list that is damaged is set aside and told once; the weeks that stood are then in force."""
    listing = base / LIST_FILE
    if not is_there(listing):
        return
    names = _listed_weeks(listing)
    for week in names:
        current, new, old = _beside(base, week)
        if new.is_dir() and not new.is_symlink():
            if is_there(current):
                _clear(old)
                current.rename(old)
            new.rename(current)
    flush_folder(base)
    listing.unlink()
    for week in names:
        mend(base, week)


def _listed_weeks(listing: Path) -> list[str]:
    try:
        names = json.loads(read_bytes(listing, "the list of weeks being written", link=False))
        if isinstance(names, list) and all(isinstance(name, str) and is_week(name) for name in names):
            return names
    except (FaultyInput, ValueError, RecursionError):
        pass
    aside = listing.with_name(f"{LIST_FILE}.damaged")
    _clear(aside)
    listing.rename(aside)
    read = "the list of weeks that were being written is damaged, or was not written by this planner"
    remedy = f"It is set aside as {aside.name} and the weeks that stood are in force: say the command again"
    raise refuse(listing, "", read, remedy)


def mend(base: Path, week: str) -> None:
    """Finish what a killed run left: bring the old week back, or clear it away if the new one stands."""
    current, _, old = _beside(base, week)
    if not is_there(old):
        return
    if is_there(current):
        try:
            _clear(old)
        except OSError:  # the new week stands; what is left goes the next time
            return
    else:
        old.rename(current)


def mend_all(folder: Path) -> None:
    """Finish and mend all that a killed run left of an athlete's weeks."""
    base = folder / WEEKS
    try:
        if is_there(base / LIST_FILE):
            with athlete_lock(folder):
                finish(base)
        for old in base.glob(".*.old"):
            week = old.name.removeprefix(".").removesuffix(".old")
            if is_week(week) and not is_there(base / week):  # else the next writing clears it away
                with athlete_lock(folder):
                    mend(base, week)
    except OSError as fault:
        read = f"what a killed run left cannot be put in order ({fault.strerror})"
        raise refuse(base, "", read, "Make the folder writable") from None


# --- one file, and the lock of a folder


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
