"""ATHLETE/evidence.csv: what was measured on this athlete, one row an exercise, head and side of one session. Means,
SD and SEM are in `unit` (percent_MVIC, or percent_session_max, whose rows pool as ratios only); `total` in that unit
times seconds. A session that is measured again replaces its rows."""

import datetime
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from library.errors import Fault, FaultyInput, unknown
from library.files import first_of, is_there
from library.method import FOLDER
from library.read import Library
from library.schema import OwnRow, Share
from library.tables import csv_text, read_rows
from planner.athlete.writing import athlete_lock, write_safely

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


COLUMNS, WHAT = tuple(OwnEvidence.model_fields), "the athlete's evidence as `planner measure --into` wrote it"


def read_all_rows(folder: Path, library: Library) -> list[OwnEvidence]:
    """Return every row of an athlete's evidence.csv; none where there is no file. Raises FaultyInput."""
    file = folder / NAME
    if not is_there(file):
        return []
    faults: list[Fault] = []
    rows = read_rows(file, OwnEvidence, WHAT, faults, most=FOLDER.largest_file_bytes, link=False)
    for name, known in (("exercise", library.exercises), ("head", library.heads)):
        lines = ((at, getattr(row, name)) for at, row in rows)
        faults += [
            unknown(file, f"{at}, column {name}", name, key, known) for at, key in lines if key not in known
        ]
    if faults:
        raise FaultyInput(first_of(faults, file))
    return [row for _, row in rows]


def read_own_rows(folder: Path, library: Library) -> list[OwnEvidence]:
    """Return the rows that pull this athlete's profiles: all but those left out. Raises FaultyInput."""
    return [row for row in read_all_rows(folder, library) if row.status == "measured"]


def write_session_rows(folder: Path, library: Library, session: str, rows: Iterable[OwnEvidence]) -> None:
    """Put the rows of one session into an athlete's evidence.csv, in place of any it has from that session. A row's
    session is `session` or begins with it and a blank (one name a sensor placement)."""
    with athlete_lock(folder):
        kept = [row for row in read_all_rows(folder, library) if not of_session(row, session)]
        write_safely(folder / NAME, evidence_text([*kept, *rows]))


def of_session(row: OwnEvidence, session: str) -> bool:
    """Tell whether a row comes from a session, in any of its placements."""
    return row.session == session or row.session.startswith(f"{session} ")


def evidence_text(rows: Iterable[OwnEvidence]) -> str:
    """Return the text of evidence.csv."""
    return csv_text([COLUMNS, *(row.model_dump(mode="json").values() for row in rows)])
