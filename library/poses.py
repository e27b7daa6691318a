"""How exercises are drawn (poses.toml): joint angles in degrees, places in hundredths of stature."""

from importlib.resources.abc import Traversable
from typing import Annotated, Literal

from pydantic import Field, ValidationError

from library.errors import Fault, faults_of
from library.files import read_toml
from library.schema import Exercise, Key, Record

Point = tuple[float, float, float]  # x outward or right, y forward, z up


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
    legs: tuple[tuple[float, float], tuple[float, float]] = (
        (0, 0),
        (0, 0),
    )  # thigh, shank, from straight down
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


def read_poses(file: Traversable, faults: list[Fault]) -> Poses:
    """Read how exercises are drawn; without the file nothing is drawn."""
    try:
        return Poses.model_validate(read_toml(file, faults) if file.is_file() else {})
    except ValidationError as error:
        faults += faults_of(error, str(file), Poses)
        return Poses()
