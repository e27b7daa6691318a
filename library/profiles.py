"""profiles.csv: per exercise and head the pooled activation against the head's anchor (DESIGN §3.1)."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from typing import Annotated

from pydantic import Field

from library.errors import Fault
from library.evidence_files import read_csv
from library.schema import Key, Record

NAME = "profiles.csv"
DECIMALS = 6  # written: half a unit of the last one is far below any standard error


@dataclass(frozen=True)
class Profile:
    """Activation of one exercise in one head as a ratio to the head's anchor exercise (1, error 0)."""

    ratio: float
    standard_error: float  # of the logarithm of the ratio
    rows: tuple[str, ...]  # ids of the evidence rows it rests on


Profiles = Mapping[str, Mapping[str, Profile]]  # head, then exercise


class ProfileLine(Record):
    """One line of profiles.csv."""

    exercise: Key
    head: Key
    ratio: Annotated[float, Field(gt=0)]
    standard_error: Annotated[float, Field(ge=0)]
    rows: str = ""  # ids with a blank between them; none for an anchor


def read_profiles(folder: Traversable, faults: list[Fault]) -> list[tuple[str, ProfileLine]]:
    """Read profiles.csv of a library folder; returns ("row 3", line) pairs."""
    file = folder / NAME
    if not file.is_file():
        faults.append(Fault(str(file), "", "there is no such file", "Run `planner pool` to build it"))
        return []
    return list(read_csv(file, ProfileLine, faults))


def by_head(lines: list[ProfileLine]) -> dict[str, dict[str, Profile]]:
    """Sort the lines of profiles.csv by head, then exercise, in file order."""
    profiles: dict[str, dict[str, Profile]] = {}
    for line in lines:
        profile = Profile(line.ratio, line.standard_error, tuple(line.rows.split()))
        profiles.setdefault(line.head, {})[line.exercise] = profile
    return profiles


def profiles_text(profiles: Profiles) -> str:
    """Return the text of profiles.csv, in the order of `profiles`."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(ProfileLine.model_fields)
    for head, of_head in profiles.items():
        for exercise, profile in of_head.items():
            numbers = [f"{number:.{DECIMALS}f}" for number in (profile.ratio, profile.standard_error)]
            writer.writerow([exercise, head, *numbers, " ".join(profile.rows)])
    return stream.getvalue()
