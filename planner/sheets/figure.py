"""A line drawing of the start and the end of an exercise: a figure posed by the joint angles of library/poses.toml.

Places are hundredths of stature: x to the figure's right, y to its front, z up from the floor. Angles are degrees.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from planner.sheets.drawing import BLACK, LIGHT, PALE, WHITE, number, picture

if TYPE_CHECKING:
    from library.read import Library
    from library.schema import ArmPose, BodyPose, Exercise, Pose

Point = tuple[float, float, float]

# Segment lengths: Drillis and Contini 1966 as tabled by Winter (from memory); what is finer is our choice.
UPPER_ARM, FOREARM, THIGH, SHANK, TRUNK, SHOULDER, ANKLE = 18.6, 14.6, 24.5, 24.6, 28.8, 12.9, 3.9
FOOT, GRIP, HIP, NECK, DEPTH = 12.0, 4.5, 6.5, 12.0, 5.2  # DEPTH: half the trunk, front to back
ARM_WIDE, LEG_WIDE, HEAD_WIDE, BAR_HALF, PLATE = 4.6, 6.6, 12.6, 40.0, 9.0
SIDES = {"right": 1, "left": -1}
VIEWS = {"front": (12, 6), "side": (78, 6), "quarter": (42, 10)}  # round to the figure's right, up from level
GAP, LINE = 12.0, 1.3
EQUIPMENT = "#777"


def plus(a: Point, b: Point, times: float = 1) -> Point:
    """Return a + times · b."""
    return (a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2])


def dot(a: Point, b: Point) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def unit(a: Point) -> Point:
    """Return the direction of a."""
    return plus((0, 0, 0), a, 1 / math.sqrt(dot(a, a)))


@dataclass(frozen=True)
class Shape:
    """A path in space, stroked; `fill` of its inside between two dark lines, or of what it encloses (a hull)."""

    kind: str
    path: tuple[Point, ...]
    width: float = LINE
    fill: str = ""
    hull: bool = False
    dashed: bool = False


@dataclass
class Figure:
    """A posed body: where its joints are ("right elbow"), which way the trunk points, and all that is drawn."""

    joints: dict[str, Point]
    up: Point  # from hips to shoulders
    front: Point
    shapes: list[Shape] = field(default_factory=list)

    def raised_degrees(self, side: str) -> float:
        """Return the angle of an upper arm against the trunk; an arm drawn back behind the trunk is not raised."""
        arm = unit(plus(self.joints[f"{side} elbow"], self.joints[f"{side} shoulder"], -1))
        behind = dot(arm, self.front) < -0.5
        return 0.0 if behind else math.degrees(math.acos(max(-1, min(1, -dot(arm, self.up)))))


def body_of(library: Library, exercise: Exercise) -> tuple[str, BodyPose]:
    """Return trunk and legs by the words of the exercise's position: of all that fit, the longest decide."""
    fits = [
        (len(said), key, body)
        for key, body in library.bodies.items()
        for said in body.says
        if said in exercise.position
    ]
    _, key, body = max(fits, key=lambda fit: fit[0])
    return key, body


def figures(library: Library, exercise: Exercise, at_most: int | None = None) -> tuple[Figure, Figure]:
    """Pose the start and the end; `at_most`: how high the arm may go (None: as high as the exercise says)."""
    pose = library.poses[exercise.key]
    top = min(180 if at_most is None else at_most, exercise.top_angle_degrees or 0)
    start, end = (_posed(library, exercise, pose, phase, top) for phase in (0, 1))
    return start, end


def _posed(library: Library, exercise: Exercise, pose: Pose, phase: int, top: int) -> Figure:
    _, body = body_of(library, exercise)
    figure = _trunk_and_legs(body, _lean(body, exercise, phase), phase)
    arms = (pose.start, pose.end)[phase]
    for side in SIDES:
        arm = pose.free if pose.free and exercise.sides > 1 and side == "left" else arms
        _arm(figure, side, arm, top, pose.shrug * phase)
    _to_the_floor(figure, body.height[phase])
    figure.shapes = [*_flesh(figure), *_pads(figure, body, exercise), *_things(library, figure, exercise, pose)]
    return figure


def _lean(body: BodyPose, exercise: Exercise, phase: int) -> float:
    """Return the trunk's angle, forward from upright; on a sloping bench it follows from the bench's own angle."""
    if not body.slope:
        return body.trunk[phase]
    degrees = [int(word) for word in re.findall(r"\d+", re.sub(r".*bench at", "", exercise.position))]
    bench = sum(degrees) / len(degrees) if degrees and "bench at" in exercise.position else 0
    return 90 - bench if body.slope == "chest" else bench - 90


def _trunk_and_legs(body: BodyPose, lean: float, phase: int) -> Figure:
    def turned(v: Point) -> Point:
        c, s = math.cos(math.radians(body.roll)), math.sin(math.radians(body.roll))
        return (v[0] * c - v[2] * s, v[1], v[0] * s + v[2] * c)

    def along(degrees: float) -> Point:  # from straight down, forward
        return turned((0, math.sin(math.radians(degrees)), -math.cos(math.radians(degrees))))

    up, front, out = along(180 - lean), along(90 - lean), turned((1, 0, 0))
    joints = {"hips": (0.0, 0.0, 0.0), "neck": plus((0, 0, 0), up, TRUNK)}
    joints["head"] = plus(joints["neck"], up, NECK)
    for place, (side, sign) in enumerate(SIDES.items()):
        thigh, shank = body.legs[phase if body.by_phase else place]
        foot = (90 if abs(shank) <= 45 else shank + 90) if body.foot is None or abs(shank) <= 45 else body.foot
        joints[f"{side} hip"] = plus((0, 0, 0), out, HIP * sign)
        joints[f"{side} knee"] = plus(joints[f"{side} hip"], along(thigh), THIGH)
        joints[f"{side} ankle"] = plus(joints[f"{side} knee"], along(shank), SHANK)
        joints[f"{side} heel"] = plus(joints[f"{side} ankle"], along(foot - 90), ANKLE - 1)
        joints[f"{side} toe"] = plus(joints[f"{side} heel"], along(foot), FOOT)
        joints[f"{side} shoulder"] = plus(joints["neck"], out, SHOULDER * sign)
    return Figure(joints, up, front)


def _arm(figure: Figure, side: str, arm: ArmPose, top: int, shrug: float) -> None:
    """Add elbow, wrist and grip; the forearm goes on straight unless a direction is given (of the room, x outward)."""
    sign, joints = SIDES[side], figure.joints
    out = unit(plus(joints["right shoulder"], joints["left shoulder"], -1))
    raised = math.radians(top if arm.degrees is None else min(arm.degrees, top))
    plane = math.radians(arm.plane)
    sideways = plus(plus((0, 0, 0), out, sign * math.cos(plane)), figure.front, math.sin(plane))
    upper = plus(plus((0, 0, 0), figure.up, -math.cos(raised)), sideways, math.sin(raised))
    lower = unit((arm.forearm[0] * sign, arm.forearm[1], arm.forearm[2])) if arm.forearm else upper
    joints[f"{side} shoulder"] = plus(joints[f"{side} shoulder"], figure.up, shrug)
    joints[f"{side} elbow"] = plus(joints[f"{side} shoulder"], upper, UPPER_ARM)
    joints[f"{side} wrist"] = plus(joints[f"{side} elbow"], lower, FOREARM)
    joints[f"{side} grip"] = plus(joints[f"{side} wrist"], lower, GRIP)


def _to_the_floor(figure: Figure, height: float) -> None:
    thick = {"hips": DEPTH, "neck": DEPTH, "head": HEAD_WIDE / 2, "heel": 1.5, "toe": 1.5, "knee": 3, "grip": 1.5}
    lowest = min(place[2] - thick.get(name.split()[-1], 0) for name, place in figure.joints.items())
    for name, place in figure.joints.items():
        figure.joints[name] = plus(place, (0, 0, height - lowest))


def _flesh(figure: Figure) -> Iterator[Shape]:
    """Yield trunk, head and limbs."""
    joints, down = figure.joints, -1
    yield Shape("neck", (plus(joints["neck"], figure.up, -3), joints["head"]), 4.5, LIGHT)
    corners = [plus(joints[f"{side} shoulder"], plus(joints[f"{side} shoulder"], joints["neck"], down), -0.45) for side in SIDES]
    corners = [plus(corner, figure.up, -4) for corner in corners]
    low = [plus(joints[f"{side} hip"], plus(joints[f"{side} hip"], joints["hips"], down), -0.5) for side in SIDES]
    yield Shape("trunk", (*corners, *low[::-1], corners[0]), 2 * DEPTH, LIGHT)
    nose = plus(joints["head"], figure.front, HEAD_WIDE / 2)
    yield Shape("nose", (nose, plus(nose, figure.front, 1.4)), 2.2, WHITE)
    yield Shape("head", (joints["head"], joints["head"]), HEAD_WIDE, WHITE)
    for side in SIDES:
        place = {name: joints[f"{side} {name}"] for name in ("hip", "knee", "ankle", "heel", "toe", "shoulder", "elbow", "grip")}
        yield Shape("foot", (place["heel"], place["toe"]), 3.4, LIGHT)
        yield Shape("leg", (place["hip"], place["knee"], place["ankle"]), LEG_WIDE, LIGHT)
        yield Shape(f"{side} arm", (place["shoulder"], place["elbow"], place["grip"]), ARM_WIDE, BLACK)


def _slab(kind: str, middle: Point, along: Point, half: tuple[float, float, float], across: Point = (1, 0, 0)) -> Shape:
    """Return a box seen from anywhere: half its length along a direction, its width, its thickness."""
    normal = unit((across[1] * along[2] - across[2] * along[1], across[2] * along[0] - across[0] * along[2], across[0] * along[1] - across[1] * along[0]))
    corners = tuple(
        plus(plus(plus(middle, along, a * half[0]), across, b * half[1]), normal, c * half[2])
        for a in (1, -1) for b in (1, -1) for c in (1, -1)
    )  # fmt: skip
    return Shape(kind, corners, fill=PALE, hull=True)


def _pads(figure: Figure, body: BodyPose, exercise: Exercise) -> Iterator[Shape]:
    """Yield what carries the body: pads, each on a post to the floor."""
    joints, up, front = figure.joints, figure.up, figure.front
    pads = list(body.pads)
    if pads == ["seat"] and {"adjustable_bench", "shoulder_press_machine", "chest_press_machine"} & set(exercise.needs):
        pads.append("back")
    level = abs(up[2]) < 0.2
    for pad in pads:
        side = {"back": -1, "chest": 1}.get(pad)
        if side is not None:
            low, high = (-16, 42) if level and pad == "back" else (-12, 30) if level else (-4, 36) if pad == "back" else (-2, 27)
            middle = plus(plus(joints["hips"], up, (low + high) / 2), front, side * (DEPTH + 2.2))
            shape = _slab(pad, middle, up, ((high - low) / 2, 8, 1.4))
        elif pad == "seat":
            middle = plus(joints["hips"], (0, 5, -DEPTH - 1.5))
            shape = _slab(pad, middle, (0, 1, 0), (13, 8, 1.4))
        elif pad == "feet":
            middle = plus(plus(joints["right toe"], joints["left toe"]), (0, 0, 0))
            middle = (0, joints["right toe"][1], joints["right toe"][2] - 3)
            shape = _slab(pad, middle, (0, 1, 0), (20, 8, 1.4))
        else:
            knee = joints["left knee"]
            middle = (knee[0], knee[1] + 18, knee[2] - LEG_WIDE / 2 - 1.5)
            shape = _slab(pad, middle, (0, 1, 0), (30, 8, 1.4))
        yield shape
        if level or pad in ("feet", "knee"):
            for end in (-0.35, 0.35):
                spot = plus(middle, (0, 1, 0), end * 58)
                yield Shape("post", (spot, (spot[0], spot[1], 0)), 2, EQUIPMENT)
        else:
            yield Shape("post", (middle, (middle[0], middle[1], 0)), 2, EQUIPMENT)


def _pull(library: Library, exercise: Exercise) -> Point | None:
    fits = [said for said in library.pulls if said in exercise.line_of_pull]
    return library.pulls[max(fits, key=len)] if fits else None


def _things(library: Library, figure: Figure, exercise: Exercise, pose: Pose) -> Iterator[Shape]:
    """Yield what is held, and what it hangs on."""
    working = [side for side in SIDES if exercise.sides == 1 or side == "right"]
    grips = {side: figure.joints[f"{side} grip"] for side in working}
    middle = plus((0, 0, 0), plus(grips[working[0]], grips[working[-1]]), 0.5)
    pull = pose.pull or _pull(library, exercise)
    single = exercise.load_is in ("total", "stack")
    axis = unit(pose.axis)
    kind = exercise.implement
    if kind == "dumbbell":
        for side in working:
            yield from _dumbbell(grips[side], axis)
    elif kind == "kettlebell":
        spots = [middle] if single else list(grips.values())
        for spot in spots:
            ball = plus(spot, pose.hang, 1)
            yield Shape("handle", (spot, ball), 2.2, EQUIPMENT)
            yield Shape("kettlebell", (ball, ball), 9, EQUIPMENT)
    elif kind in ("barbell", "smith_machine") or "pull_up_bar" in exercise.needs or "barbell" in exercise.needs:
        yield from _bar(exercise, middle)
    elif kind == "plate":
        for spot in [middle] if single else [plus(grip, (0, 0, -4)) for grip in grips.values()]:
            yield _disc("plate", spot, axis, 9 if single else 6)
    elif kind == "machine":
        for side in working:
            sign = SIDES[side]
            spot = figure.joints[f"{side} elbow"] if pose.on_elbow else grips[side]
            pivot = plus(figure.joints["neck"], (sign * pose.pivot[0], pose.pivot[1], pose.pivot[2]))
            yield Shape("lever", (pivot, spot), 2.4, EQUIPMENT)
            yield Shape("pad", (plus(spot, axis, -4), plus(spot, axis, 4)), 3, WHITE)
    elif kind == "landmine" and pull:
        yield Shape("bar", (pull, middle), 2.2, EQUIPMENT)
        yield _disc("plates", plus(middle, unit(plus(pull, middle, -1)), 9), unit(plus(pull, middle, -1)), PLATE)
    elif pull:
        for side in working:
            sign = SIDES[side]
            at = (pull[0] * sign, pull[1], pull[2])
            yield Shape("band" if kind == "band" else "cable", (at, grips[side]), 1.1, dashed=kind == "band")
            if kind == "cable":
                yield Shape("pulley", (at, at), 5, WHITE)
                yield Shape("column", ((at[0], at[1] , 0), (at[0], at[1], max(at[2] + 6, 40))), 2, EQUIPMENT)
    elif kind == "band":
        yield Shape("band", tuple(grips.values()), 1.1, dashed=True)


def _dumbbell(grip: Point, axis: Point) -> Iterator[Shape]:
    ends = plus(grip, axis, -5), plus(grip, axis, 5)
    yield Shape("handle", ends, 1.8, EQUIPMENT)
    for end, sign in zip(ends, (-1, 1), strict=True):
        yield _disc("dumbbell", end, axis, 3.6, 1.8)


def _disc(kind: str, middle: Point, axis: Point, radius: float, thick: float = 1.2) -> Shape:
    a = unit((axis[1] + 0.3, axis[2] - 0.2, axis[0] + 0.1))
    a = unit(plus(a, axis, -dot(a, axis)))
    b = (axis[1] * a[2] - axis[2] * a[1], axis[2] * a[0] - axis[0] * a[2], axis[0] * a[1] - axis[1] * a[0])
    ring = [
        plus(plus(plus(middle, axis, t * thick), a, radius * math.cos(k * math.pi / 6)), b, radius * math.sin(k * math.pi / 6))
        for k in range(12) for t in (-1, 1)
    ]  # fmt: skip
    return Shape(kind, tuple(ring), fill=EQUIPMENT, hull=True)


def _bar(exercise: Exercise, middle: Point) -> Iterator[Shape]:
    ends = plus(middle, (-BAR_HALF, 0, 0)), plus(middle, (BAR_HALF, 0, 0))
    yield Shape("bar", ends, 1.8, EQUIPMENT)
    if exercise.implement in ("barbell", "smith_machine"):
        for end in ends:
            yield _disc("plates", plus(end, (math.copysign(4, -end[0]), 0, 0)), (1, 0, 0), PLATE)
    if exercise.implement != "barbell":
        for end in ends:
            yield Shape("post", ((end[0], end[1], 0), (end[0], end[1], max(110, end[2] + 6))), 1.8, EQUIPMENT)


def svg(library: Library, exercise: Exercise, said: str, at_most: int | None = None, *, wide: bool = False) -> str:
    """Return the drawing: the start on the left, the end on the right; `said` is read out where it is not seen."""
    pose = library.poses[exercise.key]
    around, above = map(math.radians, VIEWS[pose.view])
    across = (-math.cos(around), math.sin(around), 0.0)
    rise = (-math.sin(above) * math.sin(around), -math.sin(above) * math.cos(around), math.cos(above))
    toward = (math.cos(above) * math.sin(around), math.cos(above) * math.cos(around), math.sin(above))
    strokes: list[tuple[Shape, list[tuple[float, float]]]] = []
    right, low, high = 0.0, 0.0, 0.0
    for figure in figures(library, exercise, at_most):
        shapes = sorted(figure.shapes, key=lambda shape: sum(dot(p, toward) for p in shape.path) / len(shape.path))
        flat = [(shape, [(dot(p, across), -dot(p, rise)) for p in shape.path]) for shape in shapes]
        least = min(x - shape.width / 2 for shape, path in flat for x, _ in path)
        move = right - least + (GAP if right else 2)
        moved = [(shape, [(x + move, y) for x, y in path]) for shape, path in flat]
        strokes += moved
        right = max(x + shape.width / 2 for shape, path in moved for x, _ in path) + 1
        low = max(low, *(y + shape.width / 2 for shape, path in moved for _, y in path))
        high = min(high, *(y - shape.width / 2 for shape, path in moved for _, y in path))
    height, width = low - high + 3, right + 2
    parts = [_stroke(shape, [(x, y - high + 1) for x, y in path]) for shape, path in strokes]
    return picture(width, height, ['<g fill="none" stroke-linecap="round" stroke-linejoin="round">', *parts, "</g>"], said, wide=True)


def _stroke(shape: Shape, path: list[tuple[float, float]]) -> str:
    if shape.hull:
        return f'<path d="{_d(_hull(path))}Z" stroke="{BLACK}" stroke-width="{LINE}" fill="{shape.fill}"/>'
    if not shape.fill:
        dash = ' stroke-dasharray="3 2.4"' if shape.dashed else ""
        return f'<path d="{_d(path)}" stroke="{BLACK}" stroke-width="{number(shape.width)}"{dash}/>'
    outer = WHITE if shape.fill == BLACK else BLACK
    return (
        f'<path d="{_d(path)}" stroke="{outer}" stroke-width="{number(shape.width + LINE)}"/>'
        f'<path d="{_d(path)}" stroke="{shape.fill}" stroke-width="{number(shape.width - LINE)}"/>'
    )


def _d(path: Iterable[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{number(round(x, 1))} {number(round(y, 1))}" for x, y in path)


def _hull(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the convex hull (Andrew's monotone chain)."""
    chains = []
    for ordered in (sorted(set(points)), sorted(set(points), reverse=True)):
        chain: list[tuple[float, float]] = []
        for p in ordered:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 0:
                chain.pop()
            chain.append(p)
        chains += chain[:-1]
    return chains


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
