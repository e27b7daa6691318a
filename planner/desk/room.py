"""The folder that the desk was opened on: its athletes by key, what stands on disk, and how each athlete stands."""

import datetime
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

from library.errors import PlannerError
from planner.athlete.folder import in_force
from planner.document import WeekDocument, week_name
from planner.kept import files_of
from planner.kept import fingerprint as fingerprint  # of the athlete, for all pages
from planner.log.blank import session_date
from planner.roster import client_name, folders_with_brief
from planner.week.edits import changed_inputs, made_alike
from planner.week.gather import Asked, gather

READ_WITHIN_SECONDS = 0.4  # on one showing of the Sunday page, our choice; the rest is read on the next one
STATES = {"none": "no plan", "past": "to plan", "now": "this week planned", "next": "next week planned"}
STATES |= {"ended": "next week to plan", "stale": "out of date", "unread": "not read yet"}
DUE = ("stale", "none", "past", "ended")


@dataclass(frozen=True)
class AthleteState:
    """How one athlete stands on a Sunday; `state` is a key of STATES, `error` what hinders reading."""

    key: str
    name: str
    state: str = "none"
    pain: tuple[str, ...] = ()
    logged: str = ""
    document: WeekDocument | None = None
    error: tuple[str, ...] = ()

    @property
    def due(self) -> bool:
        """Whether a week is to be planned."""
        return self.state in DUE and not self.error

    @property
    def order(self) -> tuple[int, str]:
        """Pain first, then files with faults, then what is to plan, then by name."""
        due = 2 if self.state in DUE else 3
        return (0 if self.pain else 1 if self.error else due), self.name.casefold()


@dataclass
class Room:
    """All that the desk knows: its folder and the day. Names from requests are only ever looked up in `athletes`."""

    folder: Path
    today: Callable[[], datetime.date] = datetime.date.today
    _standings: dict[str, tuple[object, AthleteState]] = field(default_factory=dict)
    _next: int = 0  # whom to look at

    def athletes(self) -> dict[str, Path]:
        """Give every athlete's folder by its key: its place below the folder."""
        places = folders_with_brief(self.folder)
        return {of.name if of == self.folder else of.relative_to(self.folder).as_posix(): of for of in places}

    def standings(self) -> list[AthleteState]:
        """Say how every athlete stands, whom to see first at the top, read within a short time: the next call goes on there."""
        athletes = list(self.athletes().items())
        until = time.monotonic() + READ_WITHIN_SECONDS
        for _ in athletes:
            self.standing(*athletes[self._next % len(athletes)])
            self._next = (self._next + 1) % len(athletes)
            if time.monotonic() > until:
                break
        return sorted((self.known(*one) for one in athletes), key=lambda one: one.order)

    def known(self, key: str, folder: Path) -> AthleteState:
        """Say how an athlete stood when that was read last."""
        return self._standings.get(key, (None, AthleteState(key, folder.name, "unread")))[1]

    def standing(self, key: str, folder: Path) -> AthleteState:
        """Say how an athlete stands, read anew if a file has changed."""
        now = stamp(files_of(folder)), self.today()
        if self._standings.get(key, (None,))[0] != now:
            self._standings[key] = (now, standing_of(key, folder, self.today()))
        return self._standings[key][1]


def stamp(files: Iterable[Path]) -> tuple[object, ...]:
    """Tell files from what they are once one has changed: names, sizes and times."""
    stated = ((str(file), file.stat()) for file in sorted(files) if file.is_file())
    return tuple((name, of.st_size, of.st_mtime_ns) for name, of in stated)


def standing_of(key: str, folder: Path, today: datetime.date) -> AthleteState:
    """Read how one athlete stands; what cannot be read is told in the row."""
    name = client_name(folder)
    try:
        document = in_force(folder, today)
        asked = gather(folder, document.week if document else None, today)
        log, state = asked.filed.log, _state(asked, document, today)
        carried = (gather(folder, None, today) if state in ("past", "ended") else asked).carried
        pain = (*carried.pain.sheet_lines, *carried.asks)
        if document is not None and state in ("now", "next"):
            pain = document.pain  # what that week did about it
        last = max((row.date for row in log if row.reps is not None), default=None)
        logged = "" if last is None else f"{sum(row.date == last for row in log)} sets on {last}"
        return AthleteState(key, name, state, pain, logged, document)
    except PlannerError as error:
        return AthleteState(key, name, error=tuple(str(error).splitlines()))


def _state(asked: Asked, document: WeekDocument | None, today: datetime.date) -> str:
    """Say which week stands, and whether it was made with the files as they are now."""
    if document is None:
        return "none"
    if document.week < week_name(today):
        return "past"
    if all(session_date(document, one) <= today for one in document.sessions):
        return "ended"
    if not made_alike(document, changed_inputs(asked.inputs, document.changes, {}, document)):
        return "stale"
    return "now" if document.week == week_name(today) else "next"
