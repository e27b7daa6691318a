"""A body posed by the joint angles of library/poses.toml, as an exercise starts and as it ends. Places are hundredths
of stature: x to the figure's right, y to its front, z up from the floor. Angles are degrees."""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from library.read import Library
from library.schema import ArmPose, BodyPose, Exercise, Point, Pose

# Segment lengths: Drillis and Contini 1966 as tabled by Winter (from memory). What is finer is our choice.
UPPER_ARM, FOREARM, THIGH, SHANK, TRUNK, SHOULDER, SOLE = 18.6, 14.6, 24.5, 24.6, 28.8, 12.9, 2.9
FOOT, GRIP, HIP, NECK = 12.0, 4.5, 6.5, 12.0
FLESH = {"hips": 5.2, "neck": 5.2, "head": 6.3, "heel": 1.5, "toe": 1.5, "knee": 3}
FLESH |= {"shoulder": 2.3, "hip": 3.3}
BEHIND = -0.45  # cosine to the front: an arm farther back is drawn back, not raised, and no top holds it
HERE, ASIDE, AHEAD, UPWARD = (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
SIDES = {"right": 1, "left": -1}


@dataclass
class Figure:
    """A body posed for an exercise: its joints by name ("right elbow"), and where its trunk points."""

    exercise: Exercise
    body: BodyPose
    pose: Pose
    pull: Point | None  # where a cable, a band or straps come from
    joints: dict[str, Point] = field(default_factory=dict)
    up: Point = UPWARD  # from the hips to the shoulders
    front: Point = AHEAD


def figures(library: Library, exercise: Exercise, at_most: float = 180) -> list[Figure]:
    """Pose the start and the end; none where the library has no pose, body or top angle for the exercise. `at_most`:
    how high the arm may go, in degrees, if that is less than the exercise says."""
    poses = library.poses
    bodies = {said: body for body in poses.body.values() for said in body.says}
    body, pose = bodies.get(_longest(bodies, exercise.position)), poses.of(exercise)
    if pose is None or body is None or exercise.top_angle_degrees is None:
        return []
    pull = poses.pull.get(_longest(poses.pull, exercise.line_of_pull))
    top, free = min(at_most, exercise.top_angle_degrees), exercise.sides > 1
    posed = []
    for phase, arm in enumerate((pose.start, pose.end)):
        figure = Figure(exercise, body, pose, pull)
        _trunk_and_legs(figure, phase)
        _arm(figure, "right", arm, top, pose.shrug * phase)
        _arm(figure, "left", *((pose.free, at_most, 0) if free else (arm, top, pose.shrug * phase)))
        # so that the lowest of trunk, head and legs is so high over the floor
        parts = ((spot[2], FLESH.get(name.split()[-1])) for name, spot in figure.joints.items())
        up = body.height[phase] - min(height - flesh for height, flesh in parts if flesh)
        figure.joints = {name: plus(spot, UPWARD, up) for name, spot in figure.joints.items()}
        posed.append(figure)
    return posed


def _longest(phrases: Iterable[str], text: str) -> str:
    """Return the longest of the phrases that stand in the text; empty: none does."""
    return max((phrase for phrase in phrases if phrase in text), key=len, default="")


def _trunk_and_legs(figure: Figure, phase: int) -> None:
    body, joints, lean = figure.body, figure.joints, figure.body.trunk[phase]  # forward from upright
    if body.slope:  # the trunk lies on a bench: the mean of the angles that the position names
        named = re.findall(r"\d+", figure.exercise.position.partition("bench at")[2]) or [0]
        bench = sum(map(int, named)) / len(named)
        lean = 90 - bench if body.slope == "chest" else bench - 90
    cosine, sine = math.cos(math.radians(body.roll)), math.sin(math.radians(body.roll))

    def along(degrees: float) -> Point:  # from straight down, forward; then rolled to the left
        ahead, down = math.sin(math.radians(degrees)), -math.cos(math.radians(degrees))
        return (-down * sine, ahead, down * cosine)

    out = (cosine, 0.0, sine)
    figure.up, figure.front = along(180 - lean), along(90 - lean)
    joints["hips"], joints["neck"] = HERE, plus(HERE, figure.up, TRUNK)
    joints["head"] = plus(joints["neck"], figure.up, NECK)
    for place, (side, sign) in enumerate(SIDES.items()):
        thigh, shank = body.legs[phase if body.by_phase else place]
        flat = abs(shank) <= 45
        foot = 90 if flat else shank + 90 if body.foot is None else body.foot
        spot = joints[f"{side} hip"] = plus(HERE, out, HIP * sign)
        ways = {"knee": (thigh, THIGH), "ankle": (shank, SHANK)}
        ways |= {"heel": (foot - 90, SOLE), "toe": (foot, FOOT)}
        for name, (degrees, length) in ways.items():
            spot = joints[f"{side} {name}"] = plus(spot, along(degrees), length)
        joints[f"{side} shoulder"] = plus(joints["neck"], out, SHOULDER * sign)


def _arm(figure: Figure, side: str, arm: ArmPose, top: float, shrug: float) -> None:
    """Add elbow, wrist and grip; the forearm goes on straight unless it has a direction of its own (in the room)."""
    sign, joints = SIDES[side], figure.joints
    out = unit(plus(joints["right hip"], joints["left hip"], -1))
    plane = math.radians(arm.plane)
    backward = math.sin(plane) < BEHIND  # no top holds it
    angle = math.radians(top if arm.degrees is None else arm.degrees if backward else min(arm.degrees, top))
    sideways = plus(plus(HERE, out, sign * math.cos(plane)), figure.front, math.sin(plane))
    upper = plus(plus(HERE, figure.up, -math.cos(angle)), sideways, math.sin(angle))
    lower = unit((arm.forearm[0] * sign, *arm.forearm[1:])) if arm.forearm else upper
    spot = joints[f"{side} shoulder"] = plus(joints[f"{side} shoulder"], figure.up, shrug)
    for name, way, length in (("elbow", upper, UPPER_ARM), ("wrist", lower, FOREARM), ("grip", lower, GRIP)):
        spot = joints[f"{side} {name}"] = plus(spot, way, length)


def plus(a: Point, b: Point, times: float = 1) -> Point:
    """Return a + times · b."""
    return (a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2])


def between(a: Point, b: Point, part: float = 0.5) -> Point:
    """Return the place that lies so far on the way from a to b."""
    return plus(a, plus(b, a, -1), part)


def dot(a: Point, b: Point) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Point, b: Point) -> Point:
    """Return the vector product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Point) -> Point:
    """Return the direction of a."""
    return plus(HERE, a, 1 / (math.hypot(*a) or 1))
