"""The file that a phone page saves: read as lines of the log, and laid beside the plan that it was filled in on."""

import hashlib
import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from library.errors import FaultyInput, refuse, visible
from library.files import check_shape, read_bytes, read_text
from library.method import LOG
from library.read import Library
from library.tables import Line, Sheet
from planner.athlete.folder import read_week, replaced, weeks
from planner.document import PlannedExercise, PlannedSession, Replacement
from planner.log.blank import session_date
from planner.log.lines import SHEET
from planner.log.record import NOTE_LENGTH
from planner.plain import counted, decimals, name_of

FORMAT = 1  # of the file that a page saves
MARK_LENGTH = 12  # hexadecimal digits
WHAT = "the file that a phone sheet saved, whole"
AGAIN = 'Have it sent again: on the phone open the page and tap "Done"'
WORKBOOKS = (".xlsx", ".xlsm")

Cell = Annotated[str, Field(max_length=NOTE_LENGTH)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class SavedSet(_Part):
    """One set as it was typed in; the keys are columns of the log."""

    exercise: Cell
    set: Cell
    load: Cell = ""
    load_unit: Cell = ""
    reps: Cell = ""
    rir: Cell = ""
    pain: Cell = ""
    where: Cell = ""
    kind: Cell = ""
    next_morning: Cell = ""
    note: Cell = ""


class Saved(_Part):
    """One session as a phone saved it; `plan` is the mark of the plan that the page showed."""

    planner_phone: int
    athlete: Cell
    week: Cell
    session: Cell
    gym: Cell
    plan: Cell
    date: Cell
    sets: Annotated[list[SavedSet], Field(max_length=LOG.phone_sets_most)]


@dataclass
class SavedSheet(Sheet):
    """The lines of a phone's file; a place is named as in JSON."""

    def place(self, line: int, column: str = "") -> str:
        """Say where a cell or a set stands: "sets[3].reps"."""
        return f"sets[{line}].{column}" if column in SavedSet.model_fields else column or f"sets[{line}]"


def is_saved(file: Path) -> bool:
    """Say whether a file claims to come from a phone: by its ending, or it begins as JSON does. Raises FaultyInput."""
    ending = file.suffix.lower()
    if ending == ".json" or ending in WORKBOOKS:
        return ending == ".json"
    start = read_bytes(file, SHEET.what, SHEET.bytes_most)
    return start.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"{")


def read_saved(file: Path) -> Saved:
    """Read a phone's file. Raises FaultyInput: too large, damaged, of a newer planner, or not of its shape."""
    text = read_text(file, WHAT, LOG.phone_bytes_most)
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as fault:
        where = f"line {fault.lineno}" if isinstance(fault, json.JSONDecodeError) else ""
        raise refuse(file, where, "damaged or cut off: this is no JSON", AGAIN) from None
    version = data.get("planner_phone") if isinstance(data, dict) else None
    if not isinstance(version, int) or version < 1:
        raise refuse(file, "planner_phone", "no phone sheet saved this", f"Put {WHAT} there")
    if version > FORMAT:
        read = f"format {version}; this planner reads format {FORMAT}"
        raise refuse(file, "planner_phone", read, "A newer planner made the page: install that one")
    saved, faults = check_shape(Saved, data, file)
    if faults or not isinstance(saved, Saved):
        raise FaultyInput(faults)
    if not saved.sets:
        raise refuse(file, "sets", "no set was filled in", AGAIN)
    return saved


def saved_sheet(file: Path, saved: Saved) -> Sheet:
    """Return the sets as lines of the log, read from here on as those of any other file."""
    of_session = saved.model_dump(include={"athlete", "date", "session", "gym"})
    rows = [of_session | row.model_dump() for row in saved.sets]
    cells = [{name: text.strip() for name, text in row.items()} for row in rows]
    return SavedSheet(file, [Line(number, line) for number, line in enumerate(cells, start=1)])


def differences(folder: Path, saved: Saved, library: Library) -> list[str]:
    """Say what was done otherwise than planned, and whether the plan has been replaced since."""
    title = visible(f"{saved.week} {saved.session}")
    try:
        versions = list(_versions(folder, saved))
    except FaultyInput:  # what was trained is logged all the same
        return [f"{title}: its plan cannot be read, nothing was compared"]
    if not versions:
        return [f"{title}: no such session is planned here, nothing was compared"]
    mark = saved.plan
    version, session, date = next((one for one in versions if plan_mark(one[1]) == mark), versions[0])
    said = []
    if plan_mark(session) != mark:
        said.append("filled in on a plan that is not kept here; compared with the one in force")
    elif version:
        said.append(f"filled in on an older plan ({version}), replaced since; compared with that one")
    if saved.date != date:
        said.append(f"trained on {saved.date}, planned for {date}")
    return [f"{title}: {line}" for line in [*said, *_otherwise(session, saved.sets, library)]]


def _versions(folder: Path, saved: Saved) -> Iterator[tuple[str, PlannedSession, str]]:
    """Yield the session as each plan of its week had it, with its date: the plan in force first, by an empty name."""
    if saved.week not in weeks(folder):
        return
    for name, document in [("", read_week(folder, saved.week)), *replaced(folder, saved.week)]:
        for session in document.sessions:
            if session.id == saved.session:
                yield name, session, session_date(document, session).isoformat()


def _otherwise(session: PlannedSession, sets: Sequence[SavedSet], library: Library) -> Iterator[str]:
    done: dict[str, list[SavedSet]] = {}
    for row in sets:
        if row.reps.strip() not in ("", "0"):
            done.setdefault(row.exercise, []).append(row)
    for item in session.exercises:
        own = done.pop(item.exercise, [])
        instead = next((other for other in item.instead if other.exercise in done), None)
        if instead is not None:
            yield f"{name_of(library, instead.exercise)} instead of {item.name}"
            yield from _of(instead, name_of(library, instead.exercise), done.pop(instead.exercise), len(own))
        elif own:
            yield from _of(item, item.name, own, before=0)
        else:
            yield f"{item.name}: not done"
    yield from (f"{name_of(library, key)}: not in the plan" for key in done)


def _of(asked: PlannedExercise | Replacement, name: str, rows: list[SavedSet], before: int) -> Iterator[str]:
    """Compare the sets of one exercise with what was asked; `before`: sets done before it took another's place."""
    if len(rows) + before != asked.sets:
        yield f"{name}: {counted(len(rows) + before, 'set')} of {asked.sets}"
    planned = asked if isinstance(asked, PlannedExercise) else None
    low, high = planned.reps_asked if planned else asked.reps
    if reps := [row.reps for row in rows if not low <= _number(row.reps) <= high]:
        yield f"{name}: {', '.join(reps)} repetitions, asked {low}–{high}"
    load = planned.load if planned else None
    loads = dict.fromkeys(row.load for row in rows if row.load and _number(row.load) != load)
    if load is not None and loads:
        yield f"{name}: load {', '.join(loads)}, asked {decimals(load)}"


def _number(text: str) -> float:
    return float(text.replace(",", ".")) if re.fullmatch(r"\d+(?:[.,]\d+)?", text) else 0.0


def plan_mark(session: PlannedSession) -> str:
    """Return the mark of what a session asks of the client; what became of the session does not change it."""
    asked = []
    for item in session.exercises:
        instead = [(other.exercise, other.sets, other.reps) for other in item.instead]
        asked.append([item.exercise, item.sets, item.reps, item.rir, item.load, item.load_unit, instead])
    text = json.dumps([session.id, session.gym, asked])
    return hashlib.sha256(text.encode()).hexdigest()[:MARK_LENGTH]
