"""ATHLETE/evidence.csv: what was measured on this athlete, one row an exercise, head and side of one session.

Means, SD and SEM are in `unit` (percent_MVIC, or percent_session_max, whose rows pool as ratios only); `total` in
that unit times seconds. A session that is measured again replaces its rows.
"""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from library.errors import Fault, FaultyInput, unknown
from library.files import read_csv, write_safely
from library.read import Library
from library.schema import OwnRow, Share
from planner.athlete.lock import athlete_lock

NAME = "evidence.csv"
NotNegative = Annotated[float, Field(ge=0)]


class OwnEvidence(OwnRow):
    """One row, as pooling needs it and with what else was measured. `left_out` rows are kept and not pooled."""

    date: datetime.date
    metric: Literal["mean activation"]
    unit: Literal["percent_MVIC", "percent_session_max"]
    load: NotNegative | None = None
    load_unit: Literal["kg", "lb", ""] = ""
    rir: NotNegative | None = None
    eccentric_share: Share | None = None
    peak: NotNegative | None = None
    total: NotNegative | None = None
    status: Literal["measured", "left_out"] = "measured"
    note: str = ""


def read_all_rows(folder: Path, library: Library) -> list[OwnEvidence]:
    """Return every row of an athlete's evidence.csv; none where there is no file. Raises FaultyInput."""
    file = folder / NAME
    if not file.exists():
        return []
    faults: list[Fault] = []
    rows = []
    for place, row in read_csv(file, OwnEvidence, faults):
        rows.append(row)
        if row.exercise not in library.exercises:
            where = f"{place}, column exercise"
            faults.append(unknown(str(file), where, "exercise", row.exercise, library.exercises))
        if row.head not in library.heads:
            faults.append(unknown(str(file), f"{place}, column head", "head", row.head, library.heads))
    if faults:
        raise FaultyInput(faults)
    return rows


def read_own_rows(folder: Path, library: Library) -> list[OwnEvidence]:
    """Return the rows that pull this athlete's profiles: all but those left out. Raises FaultyInput."""
    return [row for row in read_all_rows(folder, library) if row.status == "measured"]


def write_session_rows(folder: Path, library: Library, session: str, rows: Iterable[OwnEvidence]) -> None:
    """Put the rows of one session into an athlete's evidence.csv, in place of any it has from that session.

    A row's session is `session` or begins with it and a blank (one name a sensor placement).
    """
    with athlete_lock(folder):
        kept = [row for row in read_all_rows(folder, library) if not of_session(row, session)]
        write_safely(folder / NAME, evidence_text([*kept, *rows]))


def of_session(row: OwnEvidence, session: str) -> bool:
    """Tell whether a row comes from a session, in any of its placements."""
    return row.session == session or row.session.startswith(f"{session} ")


def evidence_text(rows: Iterable[OwnEvidence]) -> str:
    """Return the text of evidence.csv."""
    stream = io.StringIO()
    writer = csv.DictWriter(stream, list(OwnEvidence.model_fields), lineterminator="\n")
    writer.writeheader()
    for row in rows:
        cells = row.model_dump(mode="json")
        writer.writerow({name: "" if value is None else value for name, value in cells.items()})
    return stream.getvalue()
