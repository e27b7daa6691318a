"""The library's data files, as shipped."""

from __future__ import annotations

from library.errors import PlannerError
from library.read import read_library
from planner.doctor.part import Finding

SET_RIGHT = (
    "Install the planner again; in a checkout set the files right (planner pool rebuilds profiles.csv)."
)


def look_at_data() -> Finding:
    """Read the shipped library whole and tell what is in it."""
    try:
        library = read_library()
    except PlannerError as error:
        first, *others = str(error).splitlines()
        return Finding("broken", f"{first} (and {len(others)} more)" if others else first, (SET_RIGHT,))
    rows = f"{len(library.evidence)} evidence rows"
    found = f"{len(library.exercises)} exercises, {rows}, version {library.digest}"
    if library.exercises and library.profiles:
        return Finding("works", found)
    return Finding("missing", found, (SET_RIGHT,))
