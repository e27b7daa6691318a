"""Write several weeks as one: all of them stand afterwards, or none, whatever happens in between."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from planner.athlete.lock import athlete_lock
from planner.athlete.writing import (
    LIST_FILE,
    WEEKS,
    Contents,
    beside,
    check_contents,
    finish,
    flush_folder,
    make_beside,
    mend,
    or_nothing,
    write_through,
)


def write_weeks(folder: Path, weeks: Mapping[str, Contents], out: Path | None = None) -> list[Path]:
    """Write the folders of several weeks (name → files as for `write_week`) and return them, under one lock.

    They lie in ATHLETE/weeks, or in `out`. Raises FaultyInput if they cannot be written; then nothing has changed.
    A run that is killed leaves all the old weeks, or all the new ones for the next reader to put in place.
    """
    for week, files in weeks.items():
        check_contents(week, files)
    base = folder / WEEKS if out is None else out
    with athlete_lock(folder), or_nothing(base):
        base.mkdir(parents=True, exist_ok=True)
        finish(base)
        for week, files in weeks.items():
            mend(base, week)
            make_beside(base, week, files)
        _put_in_place(base, list(weeks))
    return [base / week for week in weeks]


def _put_in_place(base: Path, weeks: Sequence[str]) -> None:
    """Write the list of weeks, whole or not at all, then let each take its name; undo all if one cannot."""
    unnamed = base / f"{LIST_FILE}.new"
    try:
        write_through(unnamed, json.dumps(weeks))
        unnamed.replace(base / LIST_FILE)
        flush_folder(base)
        finish(base)
    except OSError:
        for week in weeks:
            _step_back(base, week)
        (base / LIST_FILE).unlink(missing_ok=True)
        raise
    finally:
        unnamed.unlink(missing_ok=True)


def _step_back(base: Path, week: str) -> None:
    """Bring back the week that stood, as far as it had stepped aside."""
    current, new, old = beside(base, week)
    if not new.exists() and current.exists():
        current.rename(new)
    if old.exists():
        old.rename(current)
