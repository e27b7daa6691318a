"""One plan under recheck: the document, all it was made from, and its defaults as stated."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import wraps
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, TypeVar

from library.method import method
from planner.method import OVERRIDABLE, Tolerances

if TYPE_CHECKING:
    from library.pooled_head import PooledHead
    from library.read import Library
    from planner.athlete.brief import Brief
    from planner.athlete.gym import Gym
    from planner.document import PlannedExercise, PlannedSession, WeekDocument

Words = ParamSpec("Words")
Found = TypeVar("Found")
OwnProfiles = Mapping[str, Mapping[str, float]]  # head, then exercise: ratio to the head's anchor


@dataclass(frozen=True)
class Case:
    """A week document with the library, brief, gyms, last week and own profiles that it claims to rest on."""

    document: WeekDocument
    library: Library
    brief: Brief
    gyms: Mapping[str, Gym]
    last_week: WeekDocument | None = None
    own: OwnProfiles | None = None
    pooled: Mapping[str, PooledHead] | None = None  # log ratios with their covariance, by head
    tolerance: Tolerances = field(default_factory=Tolerances)
    sums: dict[Any, Any] = field(default_factory=dict, init=False, repr=False, compare=False)  # see `once`

    def number(self, name: str) -> float:
        """Return a default as the document states it; the method's own value where it states none."""
        stated = self.document.made_with.method.get(name)
        if isinstance(stated, int | float) and not isinstance(stated, bool):
            return stated
        return float(filed_default(name))

    @property
    def trained(self) -> tuple[str, ...]:
        """Heads that are planned for, in library order."""
        return tuple(key for key, head in self.library.heads.items() if head.role == "trained")

    @property
    def watched(self) -> tuple[str, ...]:
        """Heads that are only watched, in library order."""
        return tuple(key for key, head in self.library.heads.items() if head.role == "watched")

    def planned(self) -> Iterator[tuple[PlannedSession, PlannedExercise]]:
        """Every planned exercise with its session, in printed order."""
        for session in self.document.sessions:
            for exercise in session.exercises:
                yield session, exercise

    @property
    def open_sessions(self) -> tuple[PlannedSession, ...]:
        """Sessions still to come: what is over (done or missed) is no plan and breaks no limit."""
        return tuple(session for session in self.document.sessions if session.state == "planned")

    def still_planned(self) -> Iterator[tuple[PlannedSession, PlannedExercise]]:
        """Every exercise of a session still to come, with that session, in printed order."""
        for session in self.open_sessions:
            for exercise in session.exercises:
                yield session, exercise

    def sets_done(self) -> dict[str, int]:
        """Sets of every exercise in sessions that were done."""
        total: dict[str, int] = {}
        for session, planned in self.planned():
            if session.state == "done":
                total[planned.exercise] = total.get(planned.exercise, 0) + planned.sets
        return total

    def sets_in_week(self) -> dict[str, int]:
        """Sets a week of every planned exercise, in order of first appearance."""
        total: dict[str, int] = {}
        for _, planned in self.planned():
            total[planned.exercise] = total.get(planned.exercise, 0) + planned.sets
        return total


def filed_default(name: str, otherwise: Any = None) -> Any:
    """Return a default of method.toml that a brief may set, by its name; `otherwise` where there is none."""
    rows = (method()[record.table].get(name) for record in OVERRIDABLE)
    return next((row.value for row in rows if row is not None), otherwise)


def once(
    sum_of: Callable[Concatenate[Case, Words], Found],
) -> Callable[Concatenate[Case, Words], Found]:
    """Do a sum once a case and keep what came of it: many checks ask for the same, and a case never changes."""

    @wraps(sum_of)
    def kept(case: Case, /, *words: Words.args, **named: Words.kwargs) -> Found:
        question = (sum_of, words, tuple(named.items()))
        if question not in case.sums:
            case.sums[question] = sum_of(case, *words, **named)
        found: Found = case.sums[question]
        return found

    return kept
