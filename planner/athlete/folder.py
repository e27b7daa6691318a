"""What an athlete's folder holds besides brief, gyms and log: the weeks, which there are and which is in force; and
evidence.csv, what was measured on this athlete, one row an exercise, head and side of one session. Means, SD and SEM are
in `unit` (percent_MVIC, or percent_session_max, whose rows pool as ratios only); `total` in that unit times seconds."""

import datetime
import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError

from library.errors import Fault, FaultyInput, as_written, listed, place, refuse, unknown
from library.files import first_of, is_there, read_text
from library.method import FOLDER
from library.read import Library
from library.schema import OwnRow, Share
from library.tables import csv_text, read_rows
from planner import document as documents
from planner.athlete.brief import DAYS, Brief
from planner.athlete.reading import require_folder
from planner.athlete.writing import VERSION_FOLDER, WEEK_FILE, WEEKS, athlete_lock, mend_all, write_safely
from planner.document import BlockMark, WeekDocument, is_week, states_of, week_name, week_start

WEEK_IS = "a week written by this planner"
EVIDENCE_FILE = "evidence.csv"
NotNegative = Annotated[float, Field(ge=0)]


def week_folder(folder: Path, week: str) -> Path:
    """Return the folder of a week, whether it exists or not."""
    return folder / WEEKS / week


def written_as(folder: Path, week: str) -> str:
    """Give a digest of a week's document and sheets as they stand on disk; empty where one is missing."""
    names = [week_folder(folder, week) / name for name in (WEEK_FILE, "sheets.pdf")]
    whole = all(file.is_file() and not file.is_symlink() for file in names)
    return hashlib.sha256(b"".join(file.read_bytes() for file in names)).hexdigest() if whole else ""


def weeks(folder: Path) -> list[str]:
    """Return the names of the weeks that were planned, oldest first; a folder without week.json is none."""
    mend_all(folder)
    names = (file.parent.name for file in (folder / WEEKS).glob(f"*/{WEEK_FILE}"))
    return sorted(filter(is_week, names))


def in_force(folder: Path, today: datetime.date | None = None) -> WeekDocument | None:
    """Return the newest week, or None if none was planned. Raises FaultyInput if it cannot be read. Weeks of a block
    wait for their Monday: until then the week before is in force, or, where nothing stands for this week, the first
    of them. `today` None: the day it is."""
    name = name_in_force(weeks(folder), block_marks(folder), today or datetime.date.today())
    return None if name is None else read_week(folder, name)


def name_in_force(names: Sequence[str], marks: Mapping[str, BlockMark], today: datetime.date) -> str | None:
    """Return the name of the week in force among `names` (oldest first); `marks` are those that belong to a block."""
    now = week_name(today)
    last = week_name(today + datetime.timedelta(weeks=FOLDER.weeks_ahead_most))
    # a week farther ahead was planned by a clock that was wrong
    names = [name for name in names if name <= last]
    waiting = [name for name in names if name in marks and name > now]
    others = [name for name in names if name not in waiting]
    if waiting and (not others or others[-1] < now):
        return waiting[0]
    return others[-1] if others else None


def last_week(folder: Path, before: str) -> WeekDocument | None:
    """Return the newest week before the week `before`, or None. Raises FaultyInput if it cannot be read."""
    names = [name for name in weeks(folder) if name < before]
    return read_week(folder, names[-1]) if names else None


def block_marks(folder: Path) -> dict[str, BlockMark]:
    """Return where each week that belongs to a block stands in it, oldest first; what cannot be read has no mark."""
    marks = {}
    for name in weeks(folder):  # nothing else of a week is read: many are looked through
        with suppress(FaultyInput, ValidationError):
            marks[name] = BlockMark.model_validate(_json(week_folder(folder, name) / WEEK_FILE).get("block"))
    return marks


def last_hard_week(folder: Path, before: str, first: str) -> WeekDocument | None:
    """Return the newest week before `before` in the block that begins with `first` and is no lighter one, or None.
    Raises FaultyInput if it cannot be read."""
    marks = block_marks(folder).items()
    names = [name for name, mark in marks if name < before and mark.first == first and not mark.lighter]
    return read_week(folder, names[-1]) if names else None


def read_week(folder: Path, week: str) -> WeekDocument:
    """Read ATHLETE/weeks/WEEK/week.json. Raises FaultyInput: missing, damaged, or of a newer version."""
    mend_all(folder)
    file = week_folder(folder, week) / WEEK_FILE
    document = _document(file)
    if document.week != week:
        remedy = f"A week's folder bears its name: move it to {WEEKS}/{document.week}"
        raise refuse(file, "week", as_written(document.week), remedy)
    return document


def replaced(folder: Path, week: str) -> list[tuple[str, WeekDocument]]:
    """Return the replaced plans of a week as (v2, document), newest first; one that cannot be read is passed over."""
    base, found = week_folder(folder, week), []
    kept = [entry.name for entry in base.glob("v*") if VERSION_FOLDER.match(entry.name)]
    for name in sorted(kept, key=lambda name: -int(name[1:])):
        with suppress(FaultyInput):
            found.append((name, _document(base / name / WEEK_FILE)))
    return found


def as_planned(folder: Path, document: WeekDocument) -> WeekDocument:
    """Return the newest version of a week that `planner swap` has not changed, if it is there: what was changed was for
    that week alone. Raises FaultyInput if one cannot be read."""
    if not is_patched(document):
        return document
    return next((old for _, old in replaced(folder, document.week) if not is_patched(old)), document)


def is_patched(document: WeekDocument) -> bool:
    """Whether a week holds a change of its own or a missed day."""
    return bool(document.changes) or "missed" in states_of(document).values()


def _document(file: Path) -> WeekDocument:
    data = _json(file)
    version = data.get("version")
    if isinstance(version, int) and version > documents.VERSION:
        read = f"version {version}; this planner reads version {documents.VERSION}"
        raise refuse(file, "version", read, "A newer planner wrote this week: install that one")
    try:
        document = WeekDocument.model_validate(data)
    except ValidationError as error:
        first, *more = error.errors(include_url=False)
        read = f"damaged: {first['msg']}" + (f" and {len(more)} more" if more else "")
        raise refuse(file, place(first["loc"]), read, _again(file)) from None
    for number, session in enumerate(document.sessions):
        if session.day not in DAYS or session.id.partition("-")[0] != session.day:
            where = place(("sessions", number, "day"))
            raise refuse(file, where, f"damaged: {as_written(session.day)} is no day of it", _again(file))
    if is_week(document.week) and document.week_start not in ("", week_start(document.week).isoformat()):
        raise refuse(file, "week_start", f"damaged: {as_written(document.week_start)}", _again(file))
    return document


def _json(file: Path) -> dict[str, Any]:
    text = read_text(file, WEEK_IS)
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as fault:
        where = f"line {fault.lineno}" if isinstance(fault, json.JSONDecodeError) else ""
        raise refuse(file, where, "damaged, this is no JSON", _again(file)) from None
    if not isinstance(data, dict):
        raise refuse(file, "", f"damaged, read {as_written(data)}", _again(file))
    return data


def _again(file: Path) -> str:
    copy = "put back a copy from one of its folders v1, v2 …"
    return f"Plan it again with --week {file.parent.name}, or {copy}"


def plan_in_force(folder: Path, week: str | None = None, today: datetime.date | None = None) -> WeekDocument:
    """Read the week in force on a day, or the named one. Raises FaultyInput: it was not planned, or it is damaged."""
    require_folder(folder)
    planned = weeks(folder)
    if week is not None and planned and week not in planned:
        week_start(week)  # a name that is no week is told as that
        remedy = f"Name one of {listed(planned)}, or make it first: planner week {folder} --week {week}"
        raise refuse(folder / WEEKS, "", f"week {week} was not planned", remedy)
    document = in_force(folder, today) if week is None or not planned else read_week(folder, week)
    if document is None:
        remedy = f"Make one first: planner week {folder}"
        raise refuse(folder / WEEKS, "", "no plan is in force, no week was planned yet", remedy)
    return document


def require_in_step(folder: Path, document: WeekDocument, library: Library, brief: Brief) -> None:
    """Raise FaultyInput if the plan names what library or brief no longer have."""
    file = week_folder(folder, document.week) / WEEK_FILE
    anew = f"plan the week anew: planner week {folder} --week {document.week}"
    gone = sorted(documents.exercises_of(document) - set(library.exercises))
    read, remedy = f"the library no longer has {listed(gone)}", f"Put it back into the library, or {anew}"
    faults = [Fault(file, "sessions", read, remedy)] if gone else []
    for day in sorted(set(states_of(document)) - {session.day for session in brief.session}):
        remedy = f"brief.toml has no session on {day}: put it back, or {anew}"
        faults.append(Fault(file, "sessions", f"{day} is over", remedy))
    if faults:
        raise FaultyInput(faults)


# --- what was measured on this athlete; a session that is measured again replaces its rows


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


EVIDENCE_COLUMNS = tuple(OwnEvidence.model_fields)
EVIDENCE_IS = "the athlete's evidence as `planner measure --into` wrote it"


def read_all_rows(folder: Path, library: Library) -> list[OwnEvidence]:
    """Return every row of an athlete's evidence.csv; none where there is no file. Raises FaultyInput."""
    file = folder / EVIDENCE_FILE
    if not is_there(file):
        return []
    faults: list[Fault] = []
    rows = read_rows(file, OwnEvidence, EVIDENCE_IS, faults, most=FOLDER.largest_file_bytes, link=False)
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
        write_safely(folder / EVIDENCE_FILE, evidence_text([*kept, *rows]))


def of_session(row: OwnEvidence, session: str) -> bool:
    """Tell whether a row comes from a session, in any of its placements."""
    return row.session == session or row.session.startswith(f"{session} ")


def evidence_text(rows: Iterable[OwnEvidence]) -> str:
    """Return the text of evidence.csv."""
    return csv_text([EVIDENCE_COLUMNS, *(row.model_dump(mode="json").values() for row in rows)])
