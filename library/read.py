"""Reading a library folder: every file, every cross reference, all faults at once."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from library.errors import Fault, FaultyInput
from library.evidence_files import ORDERINGS, read_evidence
from library.profiles import NAME as PROFILES
from library.profiles import Profile, by_head, read_profiles
from library.references import (
    EvidenceAt,
    evidence_faults,
    exercise_faults,
    head_and_flag_faults,
    names_of,
    profile_faults,
)
from library.schema import EvidenceRow
from library.tables import Tables, check_exercises, check_tables, files_in, read_toml_files

DIGEST_LENGTH = 12  # hexadecimal digits: enough to tell two states of a library apart


@dataclass(frozen=True)
class Library(Tables):
    """Everything that is known of exercises; no athlete."""

    folder: str
    digest: str  # of all data files; goes into week.json, so that a plan names the library it was made with
    evidence: tuple[EvidenceRow, ...]
    profiles: dict[str, dict[str, Profile]]  # head, then exercise


def shipped_folder() -> Traversable:
    """Return the folder of the library that is installed with this package."""
    return files("library")


def read_library(folder: Path | None = None, *, profiles_needed: bool = True) -> Library:
    """Read a library folder (None: the shipped one) and check it as a whole.

    `profiles_needed = False` reads no profiles.csv: pooling builds it. Raises FaultyInput with all faults.
    """
    root: Traversable = shipped_folder() if folder is None else folder
    if not root.is_dir():
        raise FaultyInput([Fault(str(root), "", "is no folder", "Name a folder that holds a library")])
    faults: list[Fault] = []
    written = read_toml_files(root, faults)
    exercises, places = check_exercises(root / "exercises", written, faults)
    tables = check_tables(root, written, exercises, faults)
    of_evidence: list[Fault] = []
    rows = _read_rows(root, of_evidence)
    faults += of_evidence
    ids = frozenset(row.id for _, _, row in rows) if not of_evidence else frozenset()
    lines = read_profiles(root, faults) if profiles_needed else []
    names = names_of(written)
    faults += exercise_faults(places, tables, names)
    faults += head_and_flag_faults(str(root), tables, names)
    faults += evidence_faults(rows, names)
    faults += profile_faults(str(root / PROFILES), lines, ids, names)
    if faults:
        raise FaultyInput(faults)
    return Library(
        **vars(tables),
        folder=str(root),
        digest=_digest(root),
        evidence=tuple(row for _, _, row in rows),
        profiles=by_head([line for _, line in lines]),
    )


def read_old_profiles(folder: Path) -> dict[str, dict[str, Profile]]:
    """Read profiles.csv for comparison alone: a missing file gives none, one that cannot be read a fault.

    Its names are not checked: numbers of exercises that are gone are news too.
    """
    if not (folder / PROFILES).is_file():
        return {}
    faults: list[Fault] = []
    lines = read_profiles(folder, faults)
    if faults:
        raise FaultyInput(faults)
    return by_head([line for _, line in lines])


def _read_rows(root: Traversable, faults: list[Fault]) -> list[EvidenceAt]:
    return [
        (str(file), place, row)
        for file in files_in(root / "evidence", ".csv")
        if file.name != ORDERINGS
        for place, row in read_evidence(file, faults)
    ]


def _digest(root: Traversable) -> str:
    """Hash names and bytes of all data files, in name order."""
    data = [*files_in(root, ".toml"), *files_in(root, ".csv")]
    data += [*files_in(root / "exercises", ".toml"), *files_in(root / "evidence", ".csv")]
    whole = hashlib.sha256()
    for file in data:
        content = file.read_bytes()
        whole.update(f"{file.name}\0{len(content)}\0".encode())
        whole.update(content)
    return whole.hexdigest()[:DIGEST_LENGTH]
