"""What one entry of the library holds: pydantic models of exercises, heads, equipment, joints and evidence. Seconds
are whole seconds, angles degrees, shares fractions of one. Keys are lower_snake_case for good."""

from collections.abc import Iterable
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

HIGHEST_GRADE = 3  # of joint stress: the scale on which whoever graded the exercises graded them
Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Share = Annotated[float, Field(ge=0, le=1)]
Angle = Annotated[int, Field(ge=0, le=180)]  # degrees between upper arm and trunk
Grade = Annotated[int, Field(ge=0, le=HIGHEST_GRADE)]
LoadIs = Literal["each_hand", "total", "stack", "body", "band"]
Phase = Literal["lifting", "lowering", "both", "hold"]  # part of a repetition that a number is of
IN_A_CELL = BeforeValidator(lambda cell: cell.split() if isinstance(cell, str) else cell)  # blanks between
# why a row weighs less: a peak used as a mean, patients, a unit that is not stated
Doubts = Annotated[tuple[Literal["peak", "patients", "unit"], ...], IN_A_CELL]
RowId = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9_.-]*$")]
Point = tuple[float, float, float]  # x outward or right, y forward, z up
INCLUDES = {"dual_cable_station": ("cable_station",)}  # two adjustable pulleys are also one


class Record(BaseModel):
    """Base of all records: unknown keys are refused, values never change after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)


class Tempo(Record):
    """Seconds of one repetition: lifting, held at the top, lowering, held at the bottom."""

    lift: Annotated[int, Field(ge=0, le=10)]
    top: Annotated[int, Field(ge=0, le=10)] = 0
    lower: Annotated[int, Field(ge=0, le=10)]
    bottom: Annotated[int, Field(ge=0, le=10)] = 0

    @property
    def seconds_per_repetition(self) -> int:
        """Seconds of one whole repetition."""
        return self.lift + self.top + self.lower + self.bottom


class EccentricShare(Record):
    """Part of a repetition's integrated activation that falls in lowering, and what that rests on."""

    value: Share
    basis: Annotated[str, Field(min_length=3)]


class Stress(Record):
    """Joint stress of one exercise in one region: grade 0-3, why, and the change that lowers it."""

    grade: Grade
    reason: Annotated[str, Field(min_length=3)]
    change: str = ""  # printed where the joint is careful or avoided; empty: nothing lowers it
    change_keeps: bool = False  # grade 2: with its change it still is this exercise, no half of it
    change_arm_at_most_degrees: Angle | None = None  # how high the change lets the arm go
    source: str  # citation; "coaching convention, no source"; or "ungraded"

    @model_validator(mode="after")
    def _keeps_by_a_change(self) -> "Stress":
        if self.change_keeps and not self.change:
            raise ValueError("change_keeps without a change. Write the change, or leave change_keeps out")
        return self


class Exercise(Record):
    """One exercise as it is trained; a swung, half-range or otherwise altered version is another entry."""

    key: Key
    name: Annotated[str, Field(min_length=3, max_length=60)]
    family: Key
    implement: Key
    needs: tuple[Key, ...]  # equipment that must be free, all of it; empty: nothing
    trains: Key | None = None  # head it is chosen for; in the file only where it is not that of its family
    trains_reason: str = ""  # why it is not that of its family
    skill: Literal[1, 2, 3] = 1  # 1 anyone, 2 practised, 3 demanding
    skill_reason: str = ""
    choice: Literal[1, 2, 3] = 2  # 1 reached for first, 2 usual, 3 for a reason (common practice, no source)
    position: Annotated[str, Field(min_length=3)]
    line_of_pull: str = ""
    top_angle_degrees: Angle | None = None  # the highest the arm gets, the start of a pull included
    sides: Literal[1, 2] = 1  # 2: one side after the other
    multi_joint: bool
    load_is: LoadIs
    load_from: Key | None = None  # equipment whose list of loads counts (gym.toml [x.loads])
    tempo: Tempo
    reps: tuple[Annotated[int, Field(ge=1, le=40)], Annotated[int, Field(ge=1, le=40)]]
    rest_seconds: Annotated[int, Field(ge=30, le=300)]
    setup_seconds: Annotated[int, Field(ge=0, le=300)]
    warmup_sets: Annotated[int, Field(ge=0, le=4)]
    eccentric_share: EccentricShare
    range_factor: Annotated[float, Field(gt=0, le=1)] = 1.0  # share of the full repetition's total activation
    compare_only: bool = False  # kept for comparison, never planned
    cues: Annotated[tuple[str, ...], Field(min_length=1, max_length=4)]
    cautions: tuple[str, ...] = ()
    stress: dict[Key, Stress]

    @model_validator(mode="after")
    def _ranges_in_order(self) -> "Exercise":
        if self.reps[0] > self.reps[1]:
            raise ValueError(f"reps {list(self.reps)}. Write the lower number first")
        for region, stress in self.stress.items():
            limit, top = stress.change_arm_at_most_degrees, self.top_angle_degrees
            if stress.change_keeps and limit is not None and top is not None and limit < top:
                read = f"stress.{region}: a change to {limit} degrees does not keep an exercise that ends at {top}"
                raise ValueError(f"{read}. Write change_keeps = false")
        return self

    @property
    def work_seconds(self) -> int:
        """Seconds of one set on one side: the middle of the repetition range times the tempo, rounded up."""
        middle = (self.reps[0] + self.reps[1]) / 2
        return -int(-middle * self.tempo.seconds_per_repetition // 1)


class Named(Record):
    """What has a key and a printed name: what is held, and the base of the others."""

    key: Key
    name: str


class Head(Named):
    """One muscle head: trained or only watched, and the exercise that defines one direct set."""

    muscle: str
    role: Literal["trained", "watched"]
    anchor: Key


class Equipment(Named):
    """Something that must be free in the room."""

    has_loads: bool  # whether gym.toml may list the loads it can make


class Family(Named):
    """A movement family."""

    trains: Key | None = None  # head its exercises are chosen for; none: they only help
    main_lift: bool = False  # one of it belongs in most weeks of its head
    version_of: Key | None = None  # family that a session or two days running take it for
    # families that wait too while one of its exercises is out with pain in the shoulder
    kin: tuple[Key, ...] = ()


class Region(Named):
    """A joint region, as joints.toml lists it; `shoulder`: pain there is of the whole raising of the arm."""

    shoulder: bool = False
    also: tuple[str, ...] = ()  # what coaches call it besides
    felt: tuple[tuple[str, ...], ...] = ()  # words of a client that name it together, one of each group


class Flag(Named):
    """A history flag: the joint regions it makes careful or avoided, in evidence/safety.md's sense."""

    regions: dict[Key, Literal["careful", "avoid"]]
    also: tuple[str, ...] = ()
    source: str


class EvidenceRow(Record):
    """One number with its source: published a mean inside a group, practice a ratio to a named exercise (`against`)."""

    id: RowId
    kind: Literal["published", "practice"]
    study: str
    citation: str
    doi: str = ""
    exercise: Key
    against: Key | None = None  # practice rows: the exercise that the ratio refers to
    head: Key
    phase: Phase
    metric: str
    unit: str
    mean: Annotated[float, Field(gt=0)]  # a mean in `unit`, or the ratio of a practice row
    sd: Annotated[float, Field(gt=0)] | None = None  # between persons, in `unit`
    subjects: Annotated[int, Field(ge=1, le=1_000_000)] | None = None
    load: str = ""
    electrodes: Literal["surface", "intramuscular", ""] = ""
    status: Literal["read", "second-hand", "remembered", "practice"]
    doubts: Doubts = ()
    left_out: str = ""  # why the row is kept but not pooled; empty: pooled
    note: str = ""
    address: str = ""

    @property
    def group(self) -> tuple[str, str, str, str, str]:
        """Rows can only be compared inside one group: study, head, phase, metric, unit (DESIGN §3.1)."""
        return (self.study, self.head, self.phase, self.metric, self.unit)

    @model_validator(mode="after")
    def _kinds_apart(self) -> "EvidenceRow":
        practice, against, only = self.kind == "practice", self.against, "Practice rows, and only they,"
        if practice != (self.status == "practice"):
            raise ValueError(f'kind "{self.kind}" with status "{self.status}". {only} have status practice')
        if practice != (against is not None):
            raise ValueError(f'kind "{self.kind}", against {against!r}. {only} name `against`')
        if against == self.exercise:
            raise ValueError(f'"{against}" against itself. Name another exercise in `against`')
        return self


class OwnRow(Record):
    """What pooling needs of one recording of one athlete; mean, sd and sem are in `unit`."""

    session: Annotated[str, Field(min_length=1, max_length=80)]
    exercise: Key
    head: Key
    side: Literal["left", "right", ""] = ""
    metric: str
    unit: str
    mean: Annotated[float, Field(ge=0.001, le=100_000)]
    sd: Annotated[float, Field(ge=0, le=100_000)] | None = None  # over repetitions
    repetitions: Annotated[int, Field(ge=1, le=10_000)]
    sets: Annotated[int, Field(ge=1, le=1000)] = 1  # averaged in the mean
    sem: Annotated[float, Field(ge=0, le=100_000)] | None = None  # from repeated sets alone, not yet weighed
    sem_degrees: Annotated[int, Field(ge=0, le=1000)] = 1  # of freedom: one a set beyond the first


class Ordering(Record):
    """One reported order of two exercises in one head; `equal`: the paper found no difference."""

    id: RowId
    study: str
    citation: str
    head: Key
    phase: Phase
    greater: Key
    lesser: Key
    relation: Literal["greater", "equal"]
    note: str = ""
    address: str = ""

    @model_validator(mode="after")
    def _two_exercises(self) -> "Ordering":
        if self.greater == self.lesser:
            raise ValueError(f'"{self.greater}" ordered against itself. Name two exercises')
        return self


class ArmPose(Record):
    """How an arm is drawn; places are x outward, y forward, z up."""

    degrees: Annotated[float, Field(ge=0, le=180)] | None = None  # from the trunk; none: the top angle
    plane: float = 0  # 0 straight sideways, 90 forward
    forearm: Point | None = None  # its direction in the room; none: the arm is straight


class BodyPose(Record):
    """How trunk and legs are drawn; pairs are start and end, angles degrees."""

    says: tuple[str, ...]  # words of an exercise's position that mean it
    trunk: tuple[float, float] = (0, 0)  # forward from upright
    slope: Literal["", "back", "chest"] = ""  # the trunk lies on a bench: its angle stands in the position
    legs: tuple[tuple[float, float], tuple[float, float]] = (0, 0), (0, 0)  # thigh, shank, from straight down
    by_phase: bool = False  # the legs are those of start and end, not of right and left
    foot: float | None = None  # where the toes point; none: flat, or square to the shank
    roll: float = 0  # over to the left
    pads: tuple[Literal["seat", "back", "chest", "feet", "knee", "post"], ...] = ()
    height: tuple[float, float] = (0, 0)  # of its lowest point over the floor


class Pose(Record):
    """How a family or an exercise is drawn."""

    view: Literal["front", "quarter", "side", "behind", "above"] = "quarter"
    start: ArmPose = ArmPose()
    end: ArmPose = ArmPose()
    free: ArmPose = ArmPose(degrees=6)  # the other arm, where one side works
    axis: Point = (0, 1, 0)  # along a handle
    hang: Point = (0, 0, -7)  # from the hand to a bell
    pivot: Point = (0, 0, 0)  # of a machine's levers, from the middle of the shoulders
    on_elbow: bool = False  # the levers meet the elbows, not the hands
    shrug: float = 0  # how far the shoulders rise


class Poses(Record):
    """How the exercises are drawn: trunk and legs by position, origins of cables by line of pull, and arms."""

    body: dict[Key, BodyPose] = Field(default_factory=dict)
    pull: dict[str, Point] = Field(default_factory=dict)
    pose: dict[Key, Pose] = Field(default_factory=dict)  # of a family; of an exercise what differs from it

    def of(self, exercise: Exercise) -> Pose | None:
        """Return an exercise's pose; none where neither it nor its family has one."""
        family, own = self.pose.get(exercise.family), self.pose.get(exercise.key)
        if family is None or own is None:
            return own or family
        return family.model_copy(update={name: getattr(own, name) for name in own.model_fields_set})


def with_included(listed: Iterable[str]) -> frozenset[str]:
    """Return the equipment keys a room offers: those listed and those that they include."""
    keys = frozenset(listed)
    return keys.union(*(INCLUDES.get(key, ()) for key in keys))
