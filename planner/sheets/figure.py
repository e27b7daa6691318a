"""A line drawing of the start and the end of an exercise: a figure posed by the joint angles of library/poses.toml.

Places are hundredths of stature: x to the figure's right, y to its front, z up from the floor. Angles are degrees.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from planner.sheets.drawing import BLACK, LIGHT, MIDDLE, PALE, WHITE, line, number, picture

if TYPE_CHECKING:
    from library.read import Library
    from library.schema import ArmPose, BodyPose, Exercise, Pose

Point = tuple[float, float, float]
Flat = list[tuple[float, float]]

# Segment lengths: Drillis and Contini 1966 as tabled by Winter (from memory). What is finer is our choice.
UPPER_ARM, FOREARM, THIGH, SHANK, TRUNK, SHOULDER, ANKLE = 18.6, 14.6, 24.5, 24.6, 28.8, 12.9, 3.9
FOOT, GRIP, HIP, NECK = 12.0, 4.5, 6.5, 12.0
ARM_WIDE, LEG_WIDE, HEAD_WIDE, TRUNK_DEEP = 4.6, 6.6, 12.6, 10.4
BELOW = {"hips": 5.2, "neck": 5.2, "head": 6.3, "heel": 1.5, "toe": 1.5, "knee": 3.0}  # flesh under a joint
BAR_HALF, POST_TOP = 40.0, 112.0
SIDES = {"right": 1, "left": -1}
VIEWS = {"front": (20, 8), "quarter": (42, 10), "side": (78, 6), "behind": (135, 14), "above": (70, 38)}
ASIDE, UPWARD, AHEAD, NOWHERE = (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0)
GAP, EDGE, STROKE, STEEL = 12.0, 2.0, 1.3, "#777"


def plus(a: Point, b: Point, times: float = 1) -> Point:
    """Return a + times · b."""
    return (a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2])


def dot(a: Point, b: Point) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Point, b: Point) -> Point:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Point) -> Point:
    """Return the direction of a."""
    return plus(NOWHERE, a, 1 / math.sqrt(dot(a, a)))


@dataclass(frozen=True)
class Shape:
    """A path in space: a line, with `fill` a limb between two dark edges, or a solid body (the hull of its points)."""

    kind: str
    path: tuple[Point, ...]
    width: float = STROKE
    fill: str = ""
    solid: bool = False


@dataclass
class Figure:
    """A posed body: its joints by name ("right elbow"), where its trunk points, and all that is drawn."""

    joints: dict[str, Point]
    up: Point  # from the hips to the shoulders
    front: Point
    shapes: list[Shape] = field(default_factory=list)

    def raised_degrees(self, side: str) -> float:
        """Return the angle of an upper arm against the trunk; one drawn back behind the trunk is not raised."""
        arm = unit(plus(self.joints[f"{side} elbow"], self.joints[f"{side} shoulder"], -1))
        angle = math.degrees(math.acos(max(-1.0, min(1.0, -dot(arm, self.up)))))
        return 0.0 if dot(arm, self.front) < -0.45 else angle

    def pair(self, name: str) -> tuple[Point, Point]:
        """Return a joint of both sides, right and left."""
        return self.joints[f"right {name}"], self.joints[f"left {name}"]


def body_of(library: Library, exercise: Exercise) -> BodyPose:
    """Return trunk and legs by the words of the exercise's position; of all that fit the longest decide."""
    fits = {said: body for body in library.bodies.values() for said in body.says if said in exercise.position}
    return fits[max(fits, key=len)]


def figures(library: Library, exercise: Exercise, at_most: int | None = None) -> list[Figure]:
    """Pose the start and the end; `at_most`: how high the arm may go (None: as high as the exercise says)."""
    body, pose = body_of(library, exercise), library.poses[exercise.key]
    most = 180 if at_most is None else at_most
    top = min(most, exercise.top_angle_degrees or 0)
    posed = []
    for phase, arm in enumerate((pose.start, pose.end)):
        figure = _trunk_and_legs(body, _lean(body, exercise, phase), phase)
        _arm(figure, "right", arm, top, pose.shrug * phase)
        free = exercise.sides > 1
        _arm(figure, "left", *((pose.free, most, 0) if free else (arm, top, pose.shrug * phase)))
        _to_the_floor(figure, body.height[phase])
        held = _Held(library, figure, exercise, pose)
        figure.shapes = [*_flesh(figure), *_pads(figure, body, exercise), *held.shapes()]
        posed.append(figure)
    return posed


def _lean(body: BodyPose, exercise: Exercise, phase: int) -> float:
    """Return the trunk's angle forward from upright; on a bench that slopes, from the bench's own angle."""
    if not body.slope:
        return body.trunk[phase]
    _, _, said = exercise.position.partition("bench at")
    degrees = [int(word) for word in re.findall(r"\d+", said)] or [0]
    bench = sum(degrees) / len(degrees)
    return 90 - bench if body.slope == "chest" else bench - 90


def _trunk_and_legs(body: BodyPose, lean: float, phase: int) -> Figure:
    cosine, sine = math.cos(math.radians(body.roll)), math.sin(math.radians(body.roll))

    def along(degrees: float) -> Point:  # from straight down, forward; then rolled to the left
        ahead, down = math.sin(math.radians(degrees)), -math.cos(math.radians(degrees))
        return (-down * sine, ahead, down * cosine)

    out = (cosine, 0.0, sine)
    joints = {"hips": NOWHERE, "neck": plus(NOWHERE, along(180 - lean), TRUNK)}
    joints["head"] = plus(joints["neck"], along(180 - lean), NECK)
    for place, (side, sign) in enumerate(SIDES.items()):
        thigh, shank = body.legs[phase if body.by_phase else place]
        flat = abs(shank) <= 45
        foot = body.foot if body.foot is not None and not flat else 90 if flat else shank + 90
        steps = {"knee": (thigh, THIGH), "ankle": (shank, SHANK), "heel": (foot - 90, ANKLE - 1), "toe": (foot, FOOT)}
        spot = joints[f"{side} hip"] = plus(NOWHERE, out, HIP * sign)
        for name, (degrees, length) in steps.items():
            spot = joints[f"{side} {name}"] = plus(spot, along(degrees), length)
        joints[f"{side} shoulder"] = plus(joints["neck"], out, SHOULDER * sign)
    return Figure(joints, up=along(180 - lean), front=along(90 - lean))


def _arm(figure: Figure, side: str, arm: ArmPose, top: float, shrug: float) -> None:
    """Add elbow, wrist and grip; the forearm goes on straight unless it has a direction of its own (in the room)."""
    sign, joints = SIDES[side], figure.joints
    out = unit(plus(joints["right hip"], joints["left hip"], -1))
    plane = math.radians(arm.plane)
    backward = math.sin(plane) < -0.5  # not raised, so that no top holds it
    angle = math.radians(top if arm.degrees is None else arm.degrees if backward else min(arm.degrees, top))
    sideways = plus(plus(NOWHERE, out, sign * math.cos(plane)), figure.front, math.sin(plane))
    upper = plus(plus(NOWHERE, figure.up, -math.cos(angle)), sideways, math.sin(angle))
    lower = unit((arm.forearm[0] * sign, *arm.forearm[1:])) if arm.forearm else upper
    spot = joints[f"{side} shoulder"] = plus(joints[f"{side} shoulder"], figure.up, shrug)
    for name, direction, length in (("elbow", upper, UPPER_ARM), ("wrist", lower, FOREARM), ("grip", lower, GRIP)):
        spot = joints[f"{side} {name}"] = plus(spot, direction, length)


def _to_the_floor(figure: Figure, height: float) -> None:
    """Move the figure up so that the lowest of trunk, head and legs is so high over the floor."""
    ends = {name: name.split()[-1] for name in figure.joints}
    lowest = min(figure.joints[name][2] - BELOW[end] for name, end in ends.items() if end in BELOW)
    figure.joints = {name: plus(spot, UPWARD, height - lowest) for name, spot in figure.joints.items()}


def _flesh(figure: Figure) -> Iterator[Shape]:
    joints, up = figure.joints, figure.up
    nose = plus(joints["head"], figure.front, HEAD_WIDE / 2)
    yield Shape("nose", (nose, plus(nose, figure.front, 1.4)), 2.2, WHITE)
    yield Shape("neck", (plus(joints["neck"], up, -3), joints["head"]), 4.5, LIGHT)
    yield Shape("head", (joints["head"], joints["head"]), HEAD_WIDE, WHITE)
    high = [plus(plus(spot, joints["neck"], 0.8), up, -7.2) for spot in figure.pair("shoulder")]
    (right, left), (hip, other) = figure.pair("shoulder"), figure.pair("hip")
    high = [plus(plus(right, plus(left, right, -1), 0.22), up, -4), plus(plus(left, plus(right, left, -1), 0.22), up, -4)]
    low = [plus(hip, plus(other, hip, -1), 0.25), plus(other, plus(hip, other, -1), 0.25)]
    yield Shape("trunk", (high[0], high[1], low[1], low[0], high[0]), TRUNK_DEEP, LIGHT)
    for side in SIDES:
        limb = {name.split()[-1]: spot for name, spot in joints.items() if name.startswith(side)}
        yield Shape(f"{side} foot", (limb["heel"], limb["toe"]), 3.4, LIGHT)
        yield Shape(f"{side} leg", (limb["hip"], limb["knee"], limb["ankle"]), LEG_WIDE, LIGHT)
        yield Shape(f"{side} arm", (limb["shoulder"], limb["elbow"], limb["grip"]), ARM_WIDE, BLACK)


def _slab(kind: str, middle: Point, along: Point, half: Point) -> Shape:
    """Return a box of half a length along a direction, half a width across the room and half a thickness."""
    across = AHEAD if abs(along[0]) > 0.9 else ASIDE
    normal = unit(_cross(across, along))
    signs = ((a, b, c) for a in (1, -1) for b in (1, -1) for c in (1, -1))
    corners = (plus(plus(plus(middle, along, a * half[0]), across, b * half[1]), normal, c * half[2]) for a, b, c in signs)
    return Shape(kind, tuple(corners), fill=PALE, solid=True)


def _disc(kind: str, middle: Point, axis: Point, radius: float, thick: float = 1.2) -> Shape:
    first = unit(_cross(axis, (0.3, 0.5, 0.8)))
    second = _cross(axis, first)
    ring = []
    for step in range(12):
        turn = step * math.pi / 6
        spot = plus(plus(middle, first, radius * math.cos(turn)), second, radius * math.sin(turn))
        ring += [plus(spot, axis, thick), plus(spot, axis, -thick)]
    return Shape(kind, tuple(ring), fill=STEEL, solid=True)


def _post(spot: Point, top: float | None = None) -> Shape:
    return Shape("post", ((spot[0], spot[1], 0.0), (spot[0], spot[1], spot[2] if top is None else top)), 1.9)


def _pads(figure: Figure, body: BodyPose, exercise: Exercise) -> Iterator[Shape]:
    """Yield what carries the body, each pad on posts to the floor."""
    joints, up = figure.joints, figure.up
    rest = body.pads == ("seat",) and ("adjustable_bench" in exercise.needs or exercise.implement == "machine")
    for pad in (*body.pads, "back") if rest else body.pads:
        if pad == "post":
            yield _post(joints["left grip"], joints["left grip"][2] + 22)
            continue
        along, half = AHEAD, 13.0
        if pad in ("back", "chest"):
            level = abs(up[2]) < 0.2
            low, high = {"back": (-16, 42) if level else (-4, 36), "chest": (-12, 30) if level else (-2, 27)}[pad]
            off = TRUNK_DEEP / 2 + 2.2
            middle = plus(plus(joints["hips"], up, (low + high) / 2), figure.front, off if pad == "chest" else -off)
            along, half = up, (high - low) / 2
        elif pad == "seat":
            middle = plus(joints["hips"], (0, 5, -TRUNK_DEEP / 2 - 1.5))
        elif pad == "feet":
            middle = (0.0, joints["left toe"][1], joints["left toe"][2] - 3)
        else:  # under knee and hand
            middle, half = plus(joints["left knee"], (0, 18, -LEG_WIDE / 2 - 1.5)), 30.0
        yield _slab(pad, middle, along, (half, 8, 1.4))
        ends = (0.7, -0.7) if abs(along[2]) < 0.2 else (0.0,)
        yield from (_post(plus(middle, along, half * end)) for end in ends)


@dataclass(frozen=True)
class _Held:
    """What the hands hold, and what it hangs on."""

    library: Library
    figure: Figure
    exercise: Exercise
    pose: Pose

    @property
    def grips(self) -> dict[str, Point]:
        working = [side for side in SIDES if self.exercise.sides == 1 or side == "right"]
        return {side: self.figure.joints[f"{side} grip"] for side in working}

    @property
    def middle(self) -> Point:
        grips = list(self.grips.values())
        return plus(plus(NOWHERE, grips[0], 0.5), grips[-1], 0.5)

    @property
    def single(self) -> bool:  # one thing in both hands
        return self.exercise.load_is in ("total", "stack")

    def shapes(self) -> Iterator[Shape]:
        by_implement = {
            "dumbbell": self._dumbbells, "kettlebell": self._bells, "barbell": self._bar, "smith_machine": self._bar,
            "plate": self._plates, "machine": self._levers, "landmine": self._landmine, "bodyweight": self._room,
        }  # fmt: skip
        return by_implement.get(self.exercise.implement, self._lines)()

    def _dumbbells(self) -> Iterator[Shape]:
        axis = unit(self.pose.axis)
        for grip in self.grips.values():
            ends = plus(grip, axis, -5), plus(grip, axis, 5)
            yield Shape("handle", ends, 1.8)
            yield from (_disc("dumbbell", end, axis, 3.6, 1.8) for end in ends)

    def _bells(self) -> Iterator[Shape]:
        for grip in [self.middle] if self.single else self.grips.values():
            ball = plus(grip, self.pose.hang)
            yield Shape("handle", (grip, ball), 2.2)
            yield Shape("kettlebell", (ball, ball), 9, STEEL)

    def _plates(self) -> Iterator[Shape]:
        if self.single:
            yield _disc("plate", self.middle, AHEAD, 12)
        else:
            yield from (_disc("plate", plus(grip, UPWARD, -4), AHEAD, 6) for grip in self.grips.values())

    def _bar(self) -> Iterator[Shape]:
        ends = [plus(self.middle, ASIDE, BAR_HALF), plus(self.middle, ASIDE, -BAR_HALF)]
        yield Shape("bar", tuple(ends), 1.8)
        if self.exercise.implement != "bodyweight":
            yield from (_disc("plates", plus(end, plus(self.middle, end, -1), 0.1), ASIDE, 9) for end in ends)
        if self.exercise.implement != "barbell":
            yield from (_post(end, max(POST_TOP, end[2] + 6)) for end in ends)

    def _room(self) -> Iterator[Shape]:
        needs = self.exercise.needs
        if "rack" in needs or "pull_up_bar" in needs:
            yield from self._bar()
        for grip in self.grips.values() if "dip_bars" in needs or "push_up_handles" in needs else ():
            half = 14 if "dip_bars" in needs else 4
            yield Shape("bar", (plus(grip, AHEAD, -half), plus(grip, AHEAD, half)), 2)
            yield _post(plus(grip, AHEAD, 3 - half))

    def _levers(self) -> Iterator[Shape]:
        pivot = plus(self.figure.joints["neck"], self.pose.pivot)
        yield _slab("column", (0, pivot[1], pivot[2] / 2), UPWARD, (pivot[2] / 2, self.pose.pivot[0] + 2, 3))
        for side, grip in self.grips.items():
            spot = self.figure.joints[f"{side} elbow"] if self.pose.on_elbow else grip
            yield Shape("lever", ((pivot[0] * SIDES[side], *pivot[1:]), spot), 2.4, STEEL)
            yield Shape("pad", (plus(spot, unit(self.pose.axis), -4), plus(spot, unit(self.pose.axis), 4)), 3, WHITE)

    def _landmine(self) -> Iterator[Shape]:
        ground = self._pull()
        axis = unit(plus(ground, self.middle, -1))
        yield Shape("bar", (ground, self.middle), 2.2)
        yield _disc("plates", plus(self.middle, axis, 9), axis, 9)

    def _pull(self) -> Point:
        fits = [said for said in self.library.pulls if said in self.exercise.line_of_pull]
        x, y, z = self.library.pulls[max(fits, key=len)]
        return (x, y, z or self.middle[2])

    def _lines(self) -> Iterator[Shape]:
        """Yield a cable, a band or straps: from where the line of pull says to the hands, or to the bar in them."""
        kind, needs, grips = self.exercise.implement, self.exercise.needs, self.grips
        if "sideways" in self.exercise.line_of_pull:
            yield Shape(kind, tuple(grips.values()), 1.1)
            return
        bar = self.single and len(grips) > 1 and "rope" not in self.exercise.position
        if bar:
            yield Shape("bar", (plus(grips["right"], ASIDE, 4), plus(grips["left"], ASIDE, -4)), 1.8)
        pull = self._pull()
        for side, grip in grips.items():
            start = (pull[0] * SIDES[side], *pull[1:])
            yield Shape(kind, (start, self.middle if bar else grip), 1.1)
            if kind == "cable":
                yield Shape("pulley", (start, start), 4.4, WHITE)
            if start[2] < 100 and (kind == "cable" or "band_anchor" in needs):
                yield _post(start, max(start[2] + 6, 40))


def exercise_picture(library: Library, exercise: Exercise, said: str, at_most: int | None = None) -> str:
    """Return the drawing as SVG, start beside end; empty where the library has no pose for the exercise.

    `said` is read out where it cannot be seen; `at_most`: how high the arm may be shown, in degrees.
    """
    if exercise.key not in library.poses:
        return ""
    strokes: list[tuple[Shape, Flat]] = []
    right = -GAP
    for figure in figures(library, exercise, at_most):
        flat = _seen(figure.shapes, library.poses[exercise.key].view)
        move = right + GAP - min(x - shape.width / 2 for shape, path in flat for x, _ in path)
        strokes += [(shape, [(x + move, y) for x, y in path]) for shape, path in flat]
        right = max(x + shape.width / 2 for shape, path in strokes for x, _ in path)
    top = min(y - shape.width / 2 for shape, path in strokes for _, y in path) - EDGE
    foot = max(y + shape.width / 2 for shape, path in strokes for _, y in path) - top + STROKE
    parts = [_stroke(shape, [(x + EDGE, y - top) for x, y in path]) for shape, path in strokes]
    ground = line(0, foot, right + 2 * EDGE, foot, width=STROKE / 2, stroke=MIDDLE)
    drawn = f'<g fill="none" stroke="{BLACK}" stroke-linecap="round" stroke-linejoin="round">{"".join(parts)}</g>'
    return picture(right + 2 * EDGE, foot + STROKE, [ground, drawn], said, wide=True)


def _seen(shapes: Sequence[Shape], view: str) -> list[tuple[Shape, Flat]]:
    """Project the shapes, farthest first; noses first of all, so that a head hides them unless seen from the side."""
    around, above = map(math.radians, VIEWS[view])
    toward = (math.cos(above) * math.sin(around), math.cos(above) * math.cos(around), math.sin(above))
    across = (-math.cos(around), math.sin(around), 0.0)
    rise = _cross(across, toward)
    def depth(shape: Shape) -> tuple[bool, float]:
        return shape.kind != "nose", sum(dot(spot, toward) for spot in shape.path) / len(shape.path)
    ordered = sorted(shapes, key=depth)
    return [(shape, [(dot(spot, across), dot(spot, rise)) for spot in shape.path]) for shape in ordered]


def _stroke(shape: Shape, path: Flat) -> str:
    if shape.solid:
        return f'<path d="{_d(_hull(path))}Z" stroke-width="{STROKE}" fill="{shape.fill}"/>'
    if not shape.fill:
        dash = ' stroke-dasharray="3 2.4"' if shape.kind == "band" else ""
        return f'<path d="{_d(path)}" stroke-width="{number(shape.width)}"{dash}/>'
    edge = f' stroke="{WHITE}"' if shape.fill == BLACK else ""
    fill = f' fill="{shape.fill}"' if len(path) > 3 else ""
    return (
        f'<path d="{_d(path)}"{edge} stroke-width="{number(shape.width + STROKE)}"/>'
        f'<path d="{_d(path)}" stroke="{shape.fill}" stroke-width="{number(shape.width - STROKE)}"{fill}/>'
    )


def _d(path: Flat) -> str:
    return "M" + "L".join(f"{number(round(x, 1))} {number(round(y, 1))}" for x, y in path)


def _hull(points: Flat) -> Flat:
    """Return the convex hull (Andrew's monotone chain)."""
    hull: Flat = []
    for ordered in (sorted(points), sorted(points, reverse=True)):
        chain: Flat = []
        for x, y in ordered:
            while len(chain) > 1:
                (a, b), (c, d) = chain[-2:]
                if (c - a) * (y - b) - (d - b) * (x - a) > 0:
                    break
                chain.pop()
            chain.append((x, y))
        hull += chain[:-1]
    return hull
