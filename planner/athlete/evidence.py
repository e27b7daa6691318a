"""ATHLETE/evidence.csv: what was measured on this athlete, one row an exercise, head and side of one session. Means,
SD and SEM are in `unit` (percent_MVIC, or percent_session_max, whose rows pool as ratios only); `total` in that unit
times seconds. A session that is measured again replaces its rows."""

import datetime
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from library.errors import FaultyInput, unknown
from library.read import Library
from library.schema import OwnRow, Share
from planner.files.safe import athlete_lock, write_safely
from planner.files.shape import check_shape, first_of
from planner.files.tables import Columns, csv_text, read_sheet
from planner.files.text import is_there, place
from planner.method import FOLDER

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


COLUMNS = Columns(
    names=tuple(OwnEvidence.model_fields),
    needed=tuple(name for name, item in OwnEvidence.model_fields.items() if item.is_required()),
    what="the athlete's evidence as `planner measure --into` wrote it",
    hint="",
    bytes_most=FOLDER.largest_file_bytes,
)


def read_all_rows(folder: Path, library: Library) -> list[OwnEvidence]:
    """Return every row of an athlete's evidence.csv; none where there is no file. Raises FaultyInput."""
    file = folder / NAME
    if not is_there(file):
        return []
    sheet = read_sheet(file, COLUMNS, link=False)
    faults = [fault for _, fault in sheet.faults]
    rows = []
    for line in sheet.lines:
        at, cells = sheet.place(line.number), {name: text for name, text in line.cells.items() if text}
        show = lambda steps, at=at: f"{at}, column {place(steps)}"  # noqa: E731
        row, wrong = check_shape(OwnEvidence, cells, file, show=show)
        faults += wrong
        if not isinstance(row, OwnEvidence):
            continue
        rows.append(row)
        for name, known in (("exercise", library.exercises), ("head", library.heads)):
            if getattr(row, name) not in known:
                faults.append(unknown(str(file), f"{at}, column {name}", name, getattr(row, name), known))
        if len(faults) > FOLDER.faults_shown:
            break
    if faults:
        raise FaultyInput(first_of(faults, file))
    return rows


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
    return csv_text([COLUMNS.names, *(row.model_dump(mode="json").values() for row in rows)])
