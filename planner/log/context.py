"""What a line of the log is read against: the library's names, the athlete's gyms, days and unit."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from library.read import Library
from library.schema import Exercise
from planner.athlete.brief import DAYS, Brief
from planner.athlete.gym import Gym
from planner.log.record import LoggedSet


@dataclass(frozen=True)
class LogContext:
    """Who trains where, and what the library knows. `today` bounds the dates that are believed.

    `was_asked`: whether the sheet of its week asked for a set's load, which then is never questioned.
    """

    exercises: Mapping[str, Exercise]
    regions: Mapping[str, str]  # key and printed name, both in lower case, to the key
    gyms: Mapping[str, Gym]
    gym_of_day: Mapping[str, str]
    athlete: str
    today: datetime.date
    was_asked: Callable[[LoggedSet], bool]
    keys: Mapping[str, str] = field(init=False)  # exercise key and printed name, in lower case, to the key

    def __post_init__(self) -> None:
        """Make the table of exercise names once: a long log asks it for every line."""
        names = {exercise.name.lower(): key for key, exercise in self.exercises.items()}
        object.__setattr__(self, "keys", names | {key: key for key in self.exercises})

    def gym_for(self, session: str) -> str | None:
        """Return the gym of a session ("Mon", "Mon-2") by the brief, or the only gym; None: neither says."""
        if session[:3] in self.gym_of_day:
            return self.gym_of_day[session[:3]]
        return next(iter(self.gyms)) if len(self.gyms) == 1 else None


def log_context(
    brief: Brief,
    gyms: Mapping[str, Gym],
    library: Library,
    today: datetime.date,
    was_asked: Callable[[LoggedSet], bool] = lambda _: False,
) -> LogContext:
    """Gather the context from what was read of an athlete."""
    regions = {region.name.lower(): key for key, region in library.regions.items()}
    return LogContext(
        exercises=library.exercises,
        regions=regions | {key: key for key in library.regions},
        gyms=gyms,
        gym_of_day={session.day: session.gym for session in brief.session},
        athlete=brief.athlete.name,
        today=today,
        was_asked=was_asked,
    )


def session_of(date: datetime.date) -> str:
    """Return the session that a date stands for where none is written: its day of the week."""
    return DAYS[date.weekday()]
