"""The week's question as plain data, and sums over a plan. Seconds are whole, doses are direct sets a week."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from math import fsum, inf
from typing import Literal

from planner.document import Plan, State
from planner.method import WeekSettings

HELD_WEIGHTS = frozenset({"dumbbell", "kettlebell", "plate"})  # held in the hand: in a raise one as the other


@dataclass(frozen=True)
class Candidate:
    """One exercise as the model sees it. `credits` maps trained heads to direct sets a set."""

    key: str
    place: int  # position in the library, for ties
    family: str
    implement: str
    station: tuple[str, ...]  # the equipment it occupies
    credits: Mapping[str, float]
    trains: str  # the head it is chosen for; empty: it only helps
    grades: Mapping[str, int]  # joint region -> stress grade as planned (0-3)
    trapezius: float  # watched level, of its anchor
    set_seconds: int  # t = work · sides + rest
    block_seconds: int  # u = set-up + warm-up sets − rest
    multi_joint: bool
    rest_seconds: int = 0  # rest after a set, part of t
    warmup_sets: int = 0
    skill: int = 1
    unasked: bool = False  # the brief prefers another one of its head
    main_lift: bool = False  # of a family that belongs in most weeks of its head
    choice: int = 1  # 1 what coaches reach for first, 3 for a reason
    version_of: str = ""  # family that a session takes it for, where that is not its own

    @property
    def is_heavy(self) -> bool:
        """Whether it is a lift of several joints that is warmed up for."""
        return self.multi_joint and self.warmup_sets > 0

    @property
    def main_head(self) -> str:
        """The head it is chosen for, else the one that it helps most; empty if it reaches none."""
        return self.trains or max(sorted(self.credits), key=lambda head: self.credits[head], default="")

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
    """One head's week in direct sets: wanted, and what comes from elsewhere by own movements and by what helps.

    `aside_share`: the part of the target that helping credits may cover; more where no own movement is admitted. `own_share`:
    the part that own movements should give at the least, where that is more.
    """

    head: str
    floor: float
    target: float
    ceiling: float
    elsewhere_own: float = 0.0
    elsewhere_helping: float = 0.0
    priority: float = 1.0
    sessions: int = 2
    must: bool = False
    aside_share: float = 0.4
    has_own: bool = True
    own_share: float = 0.0
    ceiling_weight: float = 1.0  # of a set above the ceiling

    @property
    def aside_most(self) -> float:
        """Helping credits that count at most."""
        return self.aside_share * self.target

    @property
    def elsewhere(self) -> float:
        """Counted dose from elsewhere alone."""
        return self.elsewhere_own + min(self.aside_most, self.elsewhere_helping)

    @property
    def own_wanted(self) -> float:
        """Direct sets that own movements of these sessions should give: (1 − a)·T − elsewhere by own movements."""
        share = max(1 - self.aside_share, self.own_share) * self.has_own
        return max(0.0, share * self.target - self.elsewhere_own)

    def counted(self, own: float, helping: float) -> float:
        """Counted dose, elsewhere included: own + min(a·T, helping credits)."""
        return self.elsewhere_own + own + min(self.aside_most, self.elsewhere_helping + helping)


@dataclass(frozen=True)
class JointBudget:
    """Grade-sets a week of one region: the hard limit, what is used up elsewhere, and the share of the limit that is free."""

    region: str
    allowed: float
    elsewhere: float
    easy_share: float = 0.5

    @property
    def easy(self) -> float:
        """Grade-sets of these sessions above which each has a price."""
        return max(0.0, self.easy_share * self.allowed - self.elsewhere)

    @property
    def room(self) -> float:
        """Grade-sets left for these sessions."""
        return max(0.0, self.allowed - self.elsewhere)


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
        return exercises_in(self.plan)

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
    last_plan: Plan = field(default_factory=dict)  # last week's sets: they stay where nothing is better
    preferred: tuple[str, ...] = ()
    lifted_elsewhere: frozenset[tuple[str, str]] = (
        frozenset()
    )  # (head, day) of lifts of several joints done elsewhere
    pins: Plan = field(default_factory=dict)
    capped: Mapping[str, int] = field(default_factory=dict)  # exercise -> most sets this week, after pain
    quiet_trapezius: bool = False
    paired: bool = False  # exercises of different heads may be done in turns
    skilled: bool = False  # may do the most demanding exercises
    learning: bool = False  # only the plain ones
    known: frozenset[str] = frozenset()  # exercises of the log: their loads are found
    in_force: Plan | None = None  # the plan that should be changed least
    lost_kinds: dict[str, tuple[str, str]] = field(default_factory=dict)  # family, head of what is out by now
    held: Held | None = None  # what stays inside a block

    @cached_property
    def leading(self) -> str:
        """The head that the brief puts clearly first, whose movements are done fresh (common practice, no source); else empty."""
        goals = sorted(self.heads, key=lambda goal: -goal.priority)
        least = self.settings.leading_priority * goals[1].priority if len(goals) > 1 else inf
        return goals[0].head if goals and goals[0].priority >= least else ""

    @property
    def anything_needed(self) -> bool:
        """Whether some head still lacks dose, or the coach has pinned something."""
        return bool(self.pins) or any(goal.target > goal.elsewhere for goal in self.heads)

    @property
    def open_sessions(self) -> tuple[SessionKind, ...]:
        """Sessions still to come."""
        return tuple(session for session in self.sessions if not session.frozen)

    @cached_property
    def trained(self) -> Plan:
        """What was done in sessions that are over: it counts, whatever holds for the rest of the week."""
        still = {session.id for session in self.open_sessions}
        return {pair: sets for pair, sets in self.pins.items() if pair[1] not in still}

    @cached_property
    def rooms(self) -> frozenset[str]:
        """Keys of the candidates that some session can still hold."""
        return frozenset(e.key for e in self.candidates for d in self.sessions if self.choices(e.key, d))

    @cached_property
    def lifted(self) -> frozenset[str]:
        """Heads of which some session can hold a main lift."""
        return frozenset(one.trains for one in self.candidates if one.main_lift and one.key in self.rooms)

    @cached_property
    def by_key(self) -> Mapping[str, Candidate]:
        """Candidates by key."""
        return {candidate.key: candidate for candidate in self.candidates}

    @cached_property
    def lost(self) -> Plan:
        """What is in force on a day to come and no session to come can hold any more."""
        days, plan = [one.id for one in self.open_sessions], self.in_force or {}
        known = {key for key, _ in plan if key in self.lost_kinds or key in self.by_key}
        gone = {key for key in known if not any(self.can_hold(key, day) for day in days)}
        return {pair: sets for pair, sets in plan.items() if pair[0] in gone and pair[1] in days}

    @cached_property
    def stand_ins(self) -> frozenset[tuple[frozenset[str], str]]:
        """What may take the place of each lost exercise, and its day: movement comes before name. Where the day can
        hold nothing of its family, what is chosen for its head and was not there."""
        kinds = self.lost_kinds | {key: (one.family, one.trains) for key, one in self.by_key.items()}
        ways = set[tuple[frozenset[str], str]]()
        for key, day in self.lost:
            family, head = kinds[key]
            there = [one for one in self.candidates if self.can_hold(one.key, day)]
            kin = {one.key for one in there if one.family == family}
            other = (one.key for one in there if head and one.trains == head)
            ways.add(
                (frozenset(kin or {one for one in other if (one, day) not in (self.in_force or {})}), day)
            )
        return frozenset(ways)

    @cached_property
    def replacing(self) -> frozenset[tuple[str, str]]:
        """Blocks that were not there and may take the place of a lost one."""
        pairs = ((key, day) for keys, day in self.stand_ins for key in keys)
        return frozenset(pair for pair in pairs if pair not in (self.in_force or {}))

    @cached_property
    def lost_days(self) -> frozenset[str]:
        """Sessions still to come that can hold nothing of what the plan in force has there: another room, say."""
        still = {one.id for one in self.open_sessions}
        planned = {day for _, day in self.in_force or () if day in still}
        return frozenset(
            day
            for day in planned
            if not any(self.can_hold(*pair) for pair in self.in_force or () if pair[1] == day)
        )

    def can_hold(self, key: str, day: str) -> bool:
        """Whether an exercise has any set count in a session."""
        return key in self.by_key and any(self.choices(key, one) for one in self.sessions if one.id == day)

    def choices(self, key: str, session: SessionKind) -> tuple[int, ...]:
        """Set counts that this exercise may have in this session (0 is always possible unless pinned)."""
        pinned = self.pins.get((key, session.id))
        if pinned is not None:
            return (pinned,)
        fewest, most = self.settings.smallest_block_sets, self.settings.largest_block_sets
        if key not in session.allowed or session.frozen:
            return ()
        if self.held is not None:
            return tuple(self.held.counts(key, session.id, fewest, most))
        return tuple(range(fewest, min(most, self.capped.get(key, most)) + 1))

    def own_movements(self, head: str) -> Iterator[Candidate]:
        """Candidates that are chosen for a head and that some session can hold."""
        return (one for one in self.candidates if one.trains == head and one.key in self.rooms)

    def neighbours(self) -> list[tuple[SessionKind, SessionKind]]:
        """Pairs of sessions on days next to each other, Sunday and Monday being neighbours."""
        from planner.athlete.brief import DAYS

        near, place = (1, len(DAYS) - 1), {one.id: DAYS.index(one.day) for one in self.sessions}
        pairs = combinations(self.sessions, 2)
        return [pair for pair in pairs if (place[pair[1].id] - place[pair[0].id]) % len(DAYS) in near]


def kind_of(candidate: Candidate) -> tuple[str, str]:
    """Family and implement: seated or standing, with a dumbbell or a plate, it is one kind of movement; two are twins."""
    held = candidate.implement in HELD_WEIGHTS
    return candidate.family, "dumbbell" if held else candidate.implement


def exercises_in(plan: Plan) -> frozenset[str]:
    """Exercises of a plan."""
    return frozenset(key for key, _ in plan)


def sets_a_week(plan: Plan) -> dict[str, int]:
    """Sets a week of each exercise."""
    total = Counter[str]()
    for (key, _), sets in plan.items():
        total[key] += sets
    return total


def dose_of(problem: Problem, plan: Plan, head: str, session: str | None = None) -> float:
    """Credits that a plan gives a head, own and helping, elsewhere not counted; of one session if it is named."""
    return _sum(problem, plan, head, session, (True, False))


def own_of(problem: Problem, plan: Plan, head: str, session: str | None = None) -> float:
    """Direct sets from movements that are chosen for a head; of one session if it is named."""
    return _sum(problem, plan, head, session, (True,))


def helping_of(problem: Problem, plan: Plan, head: str) -> float:
    """Credits from all other movements."""
    return _sum(problem, plan, head, None, (False,))


def counted_of(problem: Problem, plan: Plan, goal: HeadGoal) -> float:
    """Counted dose of a head's week, elsewhere included."""
    return goal.counted(own_of(problem, plan, goal.head), helping_of(problem, plan, goal.head))


def _sum(problem: Problem, plan: Plan, head: str, session: str | None, own: tuple[bool, ...]) -> float:
    return fsum(  # exact, so that the order of a plan's blocks changes no last digit that is printed
        problem.by_key[key].credits.get(head, 0.0) * sets
        for (key, day), sets in plan.items()
        if (session is None or day == session) and (problem.by_key[key].trains == head) in own
    )
