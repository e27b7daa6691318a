"""The folder that the desk was opened on: its athletes by key, what stands on disk, and how each athlete stands."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from library.errors import PlannerError
from library.read import Library, read_library
from planner.athlete.folder import in_force
from planner.athlete.reading import BRIEF_FILE, GYM_FILE, read_athlete
from planner.document import WeekDocument, week_name
from planner.log.file import LOG_FILE
from planner.plain import short_lines
from planner.roster import folders_with_brief

STATES = {
    "none": "no plan",
    "past": "to plan",
    "now": "this week planned",
    "next": "next week planned",
    "stale": "out of date",
}


@dataclass(frozen=True)
class Standing:
    """How one athlete stands on a Sunday; `state` is a key of STATES, `error` what hinders reading."""

    key: str
    name: str
    state: str = "none"
    pain: tuple[str, ...] = ()
    logged: str = ""
    document: WeekDocument | None = None
    error: tuple[str, ...] = ()

    @property
    def said(self) -> str:
        """The state in words."""
        return STATES[self.state]

    @property
    def short(self) -> list[str]:
        """What the week in force is short of."""
        doses = self.document.dose if self.document else ()
        return short_lines(
            (dose.head, dose.planned + dose.elsewhere, dose.target, dose.floor) for dose in doses
        )

    @property
    def order(self) -> tuple[int, str]:
        """Pain first, then files with faults, then what is to plan, then by name."""
        due = 2 if self.state in ("stale", "none", "past") else 3
        return (0 if self.pain else 1 if self.error else due), self.name.casefold()


@dataclass
class Room:
    """All that the desk knows: its folder and the day. Names from requests are only ever looked up in `athletes`."""

    folder: Path
    today: Callable[[], datetime.date] = datetime.date.today
    _library: Library | None = None
    _standings: dict[tuple[str, str, datetime.date], Standing] = field(default_factory=dict)

    @property
    def library(self) -> Library:
        """The installed library, read once."""
        if self._library is None:
            self._library = read_library()
        return self._library

    def athletes(self) -> dict[str, Path]:
        """Give every athlete's folder by its key: its place below the folder."""
        return {
            place.relative_to(self.folder).as_posix() if place != self.folder else place.name: place
            for place in folders_with_brief(self.folder)
        }

    def standings(self) -> list[Standing]:
        """Say how every athlete stands, whom to see first at the top; what has not changed is not read again."""
        kept = {}
        for key, folder in self.athletes().items():
            state = (key, fingerprint(folder), self.today())
            kept[state] = self._standings.get(state) or standing_of(key, folder, self.library, self.today())
        self._standings = kept
        return sorted(kept.values(), key=lambda one: one.order)


def standing_of(key: str, folder: Path, library: Library, today: datetime.date) -> Standing:
    """Read how one athlete stands; what cannot be read is told in the row."""
    from planner.athlete.method import method_of
    from planner.log.file import read_log
    from planner.method import TrainSettings
    from planner.train.pain import pain_rules

    try:
        brief, _ = read_athlete(folder, library)
    except PlannerError as error:
        return Standing(key, folder.resolve().name, error=tuple(str(error).splitlines()))
    name = brief.athlete.name
    try:
        log = read_log(folder)
        rules = pain_rules(log, library, today + datetime.timedelta(days=1), method_of(brief, TrainSettings))
        last = max((row.date for row in log if row.reps is not None), default=None)
        logged = "" if last is None else f"{sum(row.date == last for row in log)} sets on {last}"
        document = in_force(folder, today)
        state = _state(folder, document, today)
    except PlannerError as error:
        return Standing(key, name, error=tuple(str(error).splitlines()))
    return Standing(key, name, state, rules.sheet_lines, logged, document)


def _state(folder: Path, document: WeekDocument | None, today: datetime.date) -> str:
    """Say which week stands, and whether it was made with the files as they are now."""
    from planner.change.swap import made_alike, open_week

    if document is None:
        return "none"
    if document.week < week_name(today):
        return "past"
    standing = open_week(folder, today, document.week)
    if not made_alike(standing.in_force, standing.asked.inputs):
        return "stale"
    return "now" if document.week == week_name(today) else "next"


def fingerprint(folder: Path) -> str:
    """Give a digest of all that a plan of this athlete depends on; another one means that a file has changed."""
    digest = hashlib.sha256()
    names = (BRIEF_FILE, GYM_FILE, LOG_FILE, "evidence.csv")
    for file in (*(folder / name for name in names), *sorted(folder.glob("weeks/*/week.json"))):
        content = file.read_bytes() if file.is_file() and not file.is_symlink() else b""
        digest.update(f"{file.relative_to(folder)}:{len(content)}:".encode() + content)
    return digest.hexdigest()
