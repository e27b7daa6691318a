"""Pool the evidence of the library anew into profiles.csv, and print what moved."""

from pathlib import Path

from typer import Option, echo

from library.credit import (
    PROFILES,
    Move,
    Profile,
    by_head,
    moves,
    profiles_text,
    read_profiles,
    scale_changes,
)
from library.errors import Fault, FaultyInput
from library.method import PoolSettings
from library.pool import pool_library
from library.read import read_library, shipped_folder
from planner.files.safe import write_safely

FOLDER = "Folder of the library; without it the one of this checkout."
CHECK = "Write nothing; exit 2 if profiles.csv does not match its evidence."


def run(
    folder: Path | None = Option(None, "--library", help=FOLDER),
    check: bool = Option(False, "--check", help=CHECK),
) -> None:
    """Read the library, pool every head, print each number that moved, write profiles.csv."""
    settings = PoolSettings()
    folder = folder if folder is not None else _checkout(check)
    known = read_library(folder, profiles_needed=False)
    pooled = pool_library(known, settings)
    before = _old(folder, check)
    after = {head: result.profiles(settings.smallest_named_share) for head, result in pooled.items()}
    moved = moves(before, after)
    for move in moved:
        echo(_line(move))
    for head, size in scale_changes(before, after).items():
        if size > settings.scale_warning:
            echo(_warning(head, known.heads[head].anchor, size, settings), err=True)
    if check and moved:
        raise FaultyInput(
            [Fault(folder / PROFILES, "", f"{len(moved)} numbers differ", "Run `planner pool`")]
        )
    if not check:
        write_safely(folder / PROFILES, profiles_text(after))
    numbers = sum(len(of_head) for of_head in after.values())
    echo(f"{numbers} numbers, {len(moved)} moved", err=True)


def _old(folder: Path, check: bool) -> dict[str, dict[str, Profile]]:
    """Return the profiles as they stand; a file that cannot be read is told, and then written anew.

    Its names are not checked: numbers of exercises that are gone are news too.
    """
    faults: list[Fault] = []
    lines = read_profiles(folder, faults) if (folder / PROFILES).is_file() else []
    if faults and check:
        raise FaultyInput(faults)
    if faults:
        echo(f"{FaultyInput(faults)}\nIt is written anew.", err=True)
    return {} if faults else by_head(lines)


def _checkout(check: bool) -> Path:
    """Return the shipped library's folder, which may be written in a checkout alone."""
    folder = Path(str(shipped_folder()))
    if check or (folder.parent / "pyproject.toml").is_file():
        return folder
    read = "belongs to an installed program and is not written to"
    raise FaultyInput([Fault(folder, "", read, "Copy it and name the copy with --library DIR")])


def _line(move: Move) -> str:
    change = "" if move.change is None else f"  {move.change:+.1%}"
    return f"{move.head}  {move.exercise}  {_number(move.before)} → {_number(move.after)}{change}"


def _number(profile: Profile | None) -> str:
    return "–" if profile is None else f"{profile.ratio:.3f} (±{profile.standard_error:.3f})"


def _warning(head: str, anchor: str, size: float, settings: PoolSettings) -> str:
    return (
        f"{head}: the scale has moved. The median change of its ratios to {anchor} is {size:.1%}, "
        f"more than {settings.scale_warning:.0%}: doses planned before compare no longer."
    )
