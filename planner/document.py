"""week.json, version 1: the one document that a week is kept as, printed from and re-checked from. Doses are direct
sets a week, seconds whole, minutes to a tenth. `make schema` makes week.schema.json of these models."""

import datetime
import re
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from library.errors import Fault, FaultyInput
from library.schema import Tempo

VERSION = 1
WEEK_NAME = re.compile(r"\A(\d{4})-W(\d{2})\Z", re.ASCII)
Plan = Mapping[tuple[str, str], int]  # (exercise key, session id) -> sets
State = Literal["planned", "done", "missed"]
# waits for clearance, builds week on week, is done with less load, with fewer sets and more in reserve
PainKind = Literal["", "out", "rising", "eased", "fewer", "back"]


class Piece(BaseModel):
    """Base of all pieces of the document."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)


class MadeWith(Piece):
    """What the week was made with: tool version, digests of library and inputs, every default used, and `rooms`: what
    kinds of equipment each gym had."""

    tool: str
    library: str
    inputs: str
    counting: Literal["activation", "movers"]
    method: dict[str, Any]
    rooms: dict[str, tuple[str, ...]] = {}


class Minutes(Piece):
    """Minutes of a session, general warm-up included."""

    allowed: float
    used: float


class Replacement(Piece):
    """What to do if the station is taken; `differs` says where a head's dose moves by more than a tenth."""

    exercise: str
    sets: int
    reps: tuple[int, int]
    differs: dict[str, float] = {}


class PlannedExercise(Piece):
    """One exercise of a session; `credits` are per set, in direct sets a head."""

    order: int
    block: str
    exercise: str
    name: str
    sets: int
    reps: tuple[int, int]
    tempo: Tempo
    rir: int
    rest_s: int
    work_s: int
    setup_s: int
    warmup_sets: int
    sides: int
    minutes: float
    credits: dict[str, float]
    trains: str = ""  # the head that it is chosen for; empty: it only helps
    load: float | None
    load_unit: Literal["kg", "lb"] | None
    load_is: Literal["each_hand", "total", "stack", "body", "band"]
    load_reason: str = ""  # why this load, from the log; empty: nothing was logged there
    warmup_loads: tuple[float, ...] = ()  # of the warm-up sets, as the gym can make them, in `load_unit`
    load_note: str = ""  # what the client must do besides: a set less, more repetitions than the range
    reps_now: tuple[int, int] | None = None  # the range while it bridges a step of the load that is too big
    load_from: Literal["", "last_hard_week"] = ""  # planned ahead: the client's own, one step up when earned
    instead: tuple[Replacement, ...] = ()

    @property
    def reps_asked(self) -> tuple[int, int]:
        """The range that the client is asked for this week."""
        return self.reps_now or self.reps


class PlannedSession(Piece):
    """One session: `id` is its day, or day-2 for a second one. A session that is `done` keeps the sets that were
    trained, one that was `missed` holds none."""

    id: str
    day: str
    gym: str
    minutes: Minutes
    exercises: tuple[PlannedExercise, ...]
    state: State = "planned"


class HeadDose(Piece):
    """A head's week in direct sets. `planned` and `by_movers` count these sessions alone. The counted dose is planned
    + elsewhere = own + helping: `own` movements are chosen for the head, `helping` is the counted part of all others
    (both with elsewhere), `beyond` what helps and is not counted. `low90`, `high90` bound the total at 90 %; the
    chances are of the total reaching the floor and 90 % of the target: of activation ratios alone, never of growth."""

    head: str
    elsewhere: float
    planned: float
    floor: float
    target: float
    ceiling: float
    own: float = 0.0
    helping: float = 0.0
    beyond: float = 0.0
    by_movers: float
    low90: float
    high90: float
    chance_floor: float
    chance_target90: float

    @property
    def total(self) -> float:
        """Direct sets that are counted: these sessions and what is done elsewhere."""
        return self.planned + self.elsewhere


class LimitUse(Piece):
    """How much of one hard limit is used."""

    limit: str
    used: float
    allowed: float
    unit: str
    binds: bool


class MissedGoal(Piece):
    """A goal not reached, and by how much."""

    goal: str
    by: float
    unit: str


class Proof(Piece):
    """How good the plan as printed is proven to be for one aim; `gap` = value - bound, in `unit`. A cautious week has
    "shortfall" in the place of "dose": the expected shortfall on the draws it was planned on."""

    aim: Literal["dose", "shortfall", "rest"]
    value: float
    bound: float
    gap: float
    unit: str
    seconds: float
    among: str = ""  # the plans among which the bound holds, in words; empty: all that keep the limits


class MadeChange(Piece):
    """A change that holds for this week alone and stands in no file: what `planner swap` was told. `without` and
    `with` name equipment (of one `gym`, else of every gym) or an exercise, `minutes` a day, `sets` an exercise that
    has so many sets on one `day`, 0 for none."""

    kind: Literal["without", "with", "minutes", "sets"]
    name: str
    gym: str = ""
    minutes: int | None = None
    day: str = ""
    sets: int | None = None


class BlockMark(Piece):
    """Where a week stands in a block of weeks: number `number` (from 1) `of` so many; `first` names its first week.
    `lighter`: easy on purpose, so its sets decide no load. `ramp_share`: rise of each target a step, 0 if steady."""

    first: Annotated[str, Field(pattern=r"^\d{4}-W\d{2}$")]
    number: Annotated[int, Field(ge=1)]
    of: Annotated[int, Field(ge=1)]
    lighter: bool = False
    ramp_share: Annotated[float, Field(ge=0, le=1)] = 0.0

    @model_validator(mode="after")
    def _inside(self) -> Self:
        if self.number > self.of:
            raise ValueError(f"week {self.number} of a block of {self.of}")
        return self


class HeadBets(Piece):
    """One head of one plan on the judging draws: direct sets a week, elsewhere included, and how its bets are spread.
    `dose` as planned, `mean` of all draws, `bad` of its own worst ones; `exercises` that give it anything, and the
    `largest` of them with its `largest_share` of what the sessions give."""

    dose: float
    mean: float
    bad: float
    chance_floor: float
    chance_target90: float
    exercises: int
    largest: str
    largest_share: float


class CautiousHead(Piece):
    """One head under the plain plan and under the cautious one."""

    head: str
    plain: HeadBets
    cautious: HeadBets


class PlanFigures(Piece):
    """One plan as a whole: expected shortfall (priced missed sets) on its own and on the judging draws, and effort."""

    own_shortfall: float
    judged_shortfall: float
    sets: int
    exercises: int
    minutes: float
    priced_minutes: float


class PlainBlock(Piece):
    """One block of the plain plan."""

    session: str
    exercise: str
    name: str
    sets: int


class Caution(Piece):
    """How a cautious week was planned, beside the plain week. About activation ratios alone, never about growth. The
    shortfall is the mean of the worst 1 - `level` of the draws; planned on `draws`, judged on `judged_draws`."""

    level: Annotated[float, Field(gt=0, lt=1)]
    draws: int
    seed: int
    judged_draws: int
    judged_seed: int
    plain: PlanFigures
    cautious: PlanFigures
    heads: tuple[CautiousHead, ...]
    plain_blocks: tuple[PlainBlock, ...]


class ExerciseWarning(Piece):
    """One of the warnings that is about an exercise: it stands on every sheet that prints the exercise.
    `first_sheet`: on the week's first sheet too. All other warnings stand on the first sheet alone. The sheets say it
    shorter than `text` and in their own language, by `kind`, `pain` (0-10) and the day `since` when it hurt."""

    exercise: str
    text: str
    first_sheet: bool = False
    kind: PainKind = ""
    pain: float = 0.0
    since: datetime.date | None = None


class WeekDocument(Piece):
    """One athlete's week."""

    version: Literal[1] = 1
    athlete: str
    week: Annotated[str, Field(pattern=r"^\d{4}-W\d{2}$")]
    week_start: str
    units: Literal["kg", "lb"]
    status: Literal["proven", "stopped"]
    made_with: MadeWith
    sessions: tuple[PlannedSession, ...]
    dose: tuple[HeadDose, ...]
    limits: tuple[LimitUse, ...]
    missed: tuple[MissedGoal, ...]
    proof: tuple[Proof, ...]
    sources: tuple[str, ...]
    pain: tuple[str, ...] = ()  # pain from the log and whom to see: said before everything else
    warnings: tuple[str, ...] = ()
    exercise_warnings: tuple[ExerciseWarning, ...] = ()
    notes: tuple[str, ...] = ()  # what the log says, for the coach
    changes: tuple[MadeChange, ...] = ()
    block: BlockMark | None = None  # None: a week of its own
    cautious: Caution | None = None  # None: planned plainly


def exercises_of(document: WeekDocument | None) -> frozenset[str]:
    """Exercises of a week; none if there was no week."""
    if document is None:
        return frozenset()
    return frozenset(line.exercise for session in document.sessions for line in session.exercises)


def exercise_names(document: WeekDocument) -> dict[str, str]:
    """Exercises of a week, key to printed name, in printed order."""
    return {line.exercise: line.name for session in document.sessions for line in session.exercises}


def plan_of(document: WeekDocument) -> Plan:
    """Give the sets of a document as a plan."""
    return {(line.exercise, day.id): line.sets for day in document.sessions for line in day.exercises}


def states_of(document: WeekDocument) -> dict[str, State]:
    """Give the days that are over and what became of them."""
    return {session.day: session.state for session in document.sessions if session.state != "planned"}


def week_name(day: datetime.date) -> str:
    """Return the name of the week that holds `day`."""
    year, week, _ = day.isocalendar()
    return f"{year:04d}-W{week:02d}"


def with_weeks_away(weeks: Sequence[WeekDocument]) -> dict[str, WeekDocument | None]:
    """Give the weeks by name from the first to the last; None where there is none: the athlete is away."""
    known = {week.week: week for week in weeks}
    first, last = week_start(weeks[0].week), week_start(weeks[-1].week)
    between = (first + datetime.timedelta(days=days) for days in range(0, (last - first).days, 7))
    return {name: known.get(name) for name in sorted({*known, *map(week_name, between)})}


def week_start(name: str) -> datetime.date:
    """Return the Monday of a week. Raises FaultyInput if no week has this name."""
    start = _monday(name)
    if start is None:
        remedy = "Write year and week such as 2026-W49; a year has 52 or 53 weeks"
        raise FaultyInput([Fault("--week", "", f'"{name}" is no week', remedy)])
    return start


def is_week(name: str) -> bool:
    """Say whether a week has this name."""
    return _monday(name) is not None


def _monday(name: str) -> datetime.date | None:
    found = WEEK_NAME.match(name)
    try:
        return datetime.date.fromisocalendar(int(found[1]), int(found[2]), 1) if found else None
    except ValueError:
        return None


def week_named(text: str, today: datetime.date) -> str:
    """Return the name of the week that a person means. Raises FaultyInput. "2026-W49", a date in it, "next", "this",
    or a number alone (49, W49): the nearest week of that number."""
    word = text.strip().lower()
    near = {"this": week_name(today), "next": next_week(today)}
    if word in near:
        return near[word]
    name = text.strip().upper()
    if number := re.fullmatch(r"W?(\d{1,2})", name, re.ASCII):
        years = (today.isocalendar().year + ahead for ahead in (0, 1, -1))
        names = [f"{year:04d}-W{int(number[1]):02d}" for year in years]
        mondays = {name: _monday(name) for name in names}
        days_off = {name: abs((monday - today).days) for name, monday in mondays.items() if monday}
        name = min(days_off, key=days_off.__getitem__, default=names[0])
    try:
        return week_name(datetime.date.fromisoformat(name))
    except ValueError:
        week_start(text)
        return text


def next_week(today: datetime.date) -> str:
    """Return the name of the week after the one that holds `today`: the week to plan by default."""
    return week_name(today + datetime.timedelta(days=7))
