"""The week's question as plain data: who may be trained with what, when, and how much is wanted.

Nothing here knows files, the solver or paper. Seconds are whole, doses are direct sets a week.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import fsum
from typing import Literal

from planner.document import Plan, State
from planner.method import WeekSettings


@dataclass(frozen=True)
class Candidate:
    """One exercise as the model sees it.

    `credits` maps trained heads to direct sets a set; `direct` are the heads for which a set is a direct one.
    """

    key: str
    place: int  # position in the library, for ties
    family: str
    implement: str
    station: tuple[str, ...]  # the equipment it occupies
    credits: Mapping[str, float]
    direct: frozenset[str]
    grades: Mapping[str, int]  # joint region -> stress grade as planned (0-3)
    trapezius: float  # watched level, of its anchor
    set_seconds: int  # t = work · sides + rest
    block_seconds: int  # u = set-up + warm-up sets − rest
    multi_joint: bool
    rest_seconds: int = 0  # rest after a set, part of t
    warmup_sets: int = 0

    @property
    def work_seconds(self) -> int:
        """Seconds of one set without its rest."""
        return self.set_seconds - self.rest_seconds

    def seconds(self, sets: int) -> int:
        """Seconds of a block of `sets` sets: t·x + u."""
        return self.set_seconds * sets + self.block_seconds


@dataclass(frozen=True)
class SessionKind:
    """One session: its day, the seconds left after the general warm-up, and what its room allows.

    A session that is over is frozen: if done, its sets stand as pins; if missed, it holds none.
    """

    id: str
    day: str
    gym: str
    seconds: int
    allowed: frozenset[str]  # keys of the candidates that this room can hold
    state: State = "planned"

    @property
    def frozen(self) -> bool:
        """Whether the session is over, done or missed."""
        return self.state != "planned"


@dataclass(frozen=True)
class HeadGoal:
    """One head's week in direct sets: wanted, and what already comes from elsewhere."""

    head: str
    floor: float
    target: float
    ceiling: float
    elsewhere: float
    elsewhere_direct: float
    priority: float
    sessions: int
    must: bool = False


@dataclass(frozen=True)
class JointBudget:
    """Grade-sets a week of one region: the hard limit, and what is used up elsewhere already."""

    region: str
    allowed: float
    elsewhere: float


@dataclass(frozen=True)
class Held:
    """What stays inside a block: exercises and places of its last hard week.

    `blocks`: each block of `plan` stays in its session; else each exercise stays, on any day. `sets`: what a block of
    `plan` may have; "at_most" also admits no block that is not in it. `closed`: no other exercise may join.
    """

    plan: Plan
    blocks: bool = False
    sets: Literal["any", "at_least", "at_most"] = "any"
    closed: bool = True

    @cached_property
    def exercises(self) -> frozenset[str]:
        """Keys of the exercises that stay."""
        return frozenset(key for key, _ in self.plan)

    def counts(self, key: str, day: str, fewest: int, most: int) -> range:
        """Set counts from `fewest` to `most` that an exercise may have in a session; none if it may not stand there."""
        held = self.plan.get((key, day), 0)
        if self.sets == "at_most":
            return range(fewest, min(most, held) + 1)
        if self.closed and key not in self.exercises:
            return range(0)
        return range(max(fewest, min(most, held)) if self.sets == "at_least" else fewest, most + 1)


@dataclass(frozen=True)
class Problem:
    """All that the model needs, in an order that depends on content alone."""

    candidates: tuple[Candidate, ...]
    sessions: tuple[SessionKind, ...]
    heads: tuple[HeadGoal, ...]
    joints: tuple[JointBudget, ...]
    settings: WeekSettings
    implements_wanted: int = 0
    families_wanted: tuple[str, ...] = ()
    variety_must: bool = False
    keep: int = 0  # how many of last week's exercises should stay
    last_week: frozenset[str] = frozenset()
    preferred: tuple[str, ...] = ()
    pins: Mapping[tuple[str, str], int] = field(default_factory=dict)
    quiet_trapezius: bool = False
    paired: bool = False  # exercises of different heads may be done in turns
    in_force: Plan | None = None  # the plan that should be changed least
    held: Held | None = None  # what stays inside a block

    @property
    def anything_needed(self) -> bool:
        """Whether some head still lacks dose, or the coach has pinned something."""
        return bool(self.pins) or any(goal.target > goal.elsewhere for goal in self.heads)

    @cached_property
    def trained(self) -> Plan:
        """What was done in sessions that are over: it counts, whatever holds for the rest of the week."""
        over = {session.id for session in self.sessions if session.frozen}
        return {(key, day): sets for (key, day), sets in self.pins.items() if day in over}

    @cached_property
    def rooms(self) -> frozenset[str]:
        """Keys of the candidates that some session can still hold."""
        return frozenset(
            candidate.key
            for candidate in self.candidates
            if any(self.choices(candidate.key, session) for session in self.sessions)
        )

    def candidate(self, key: str) -> Candidate:
        """Find a candidate by key; KeyError if it cannot be planned."""
        return self._by_key[key]

    @cached_property
    def _by_key(self) -> Mapping[str, Candidate]:
        return {candidate.key: candidate for candidate in self.candidates}

    def can_hold(self, key: str, day: str) -> bool:
        """Whether an exercise has any set count in a session."""
        session = next((one for one in self.sessions if one.id == day), None)
        return key in self._by_key and session is not None and bool(self.choices(key, session))

    def choices(self, key: str, session: SessionKind) -> tuple[int, ...]:
        """Set counts that this exercise may have in this session (0 is always possible unless pinned)."""
        pinned = self.pins.get((key, session.id))
        if pinned is not None:
            return (pinned,)
        if key not in session.allowed or session.frozen:
            return ()
        fewest, most = self.settings.smallest_block_sets, self.settings.largest_block_sets
        if self.held is not None:
            return tuple(self.held.counts(key, session.id, fewest, most))
        return tuple(range(fewest, most + 1))


def dose_of(problem: Problem, plan: Plan, head: str, session: str | None = None) -> float:
    """Direct sets that a plan gives a head, elsewhere not counted; of one session if it is named."""
    return fsum(  # exact, so that the order of a plan's blocks changes no last digit that is printed
        problem.candidate(key).credits.get(head, 0.0) * sets
        for (key, day), sets in plan.items()
        if session is None or day == session
    )
