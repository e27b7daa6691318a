"""A line drawing of the start and the end of an exercise: a figure posed by the joint angles of library/poses.toml.

Places are hundredths of stature: x to the figure's right, y to its front, z up from the floor. Angles are degrees.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
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
BELOW = {"hips": 5.2, "neck": 5.2, "head": 6.3, "heel": 1.5, "toe": 1.5, "knee": 3.0, "shoulder": 2.3, "hip": 3.3}  # flesh under a joint
BEHIND = -0.45  # cosine to the front: an arm farther back than this is drawn back, not raised
LYING = 0.2  # a trunk or pad that rises less is level
BAR_HALF, POST_TOP, PULLEY_TOP = 40.0, 112.0, 100.0
VIEWS = {"front": (20, 8), "quarter": (42, 10), "side": (78, 6), "behind": (135, 14), "above": (70, 38)}
SIDES = {"right": 1, "left": -1}
HERE, ASIDE, AHEAD, UPWARD = (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
GAP, EDGE, STROKE, THIN, STEEL = 12.0, 2.0, 1.3, 1.9, "#777"


def plus(a: Point, b: Point, times: float = 1) -> Point:
    """Return a + times · b."""
    return (a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2])


def between(a: Point, b: Point, part: float = 0.5) -> Point:
    """Return the place that lies so far on the way from a to b."""
    return plus(a, plus(b, a, -1), part)


def dot(a: Point, b: Point) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Point, b: Point) -> Point:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Point) -> Point:
    """Return the direction of a."""
    return plus(HERE, a, 1 / math.hypot(*a))


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
    view: str
    shapes: list[Shape] = field(default_factory=list)


def exercise_picture(library: Library, exercise: Exercise, said: str, at_most: int | None = None) -> str:
    """Return the drawing as SVG, start beside end; empty where the library has no pose for the exercise.

    `said` is read out where it cannot be seen; `at_most`: how high the arm may be shown, in degrees.
    """
    strokes: list[tuple[Shape, Flat]] = []
    right = -GAP
    for figure in figures(library, exercise, at_most):
        flat = _seen(figure)
        move = right + GAP - min(x - shape.width / 2 for shape, path in flat for x, _ in path)
        strokes += [(shape, [(x + move, y) for x, y in path]) for shape, path in flat]
        right = max(x + shape.width / 2 for shape, path in strokes for x, _ in path)
    if not strokes:
        return ""
    top = min(y - shape.width / 2 for shape, path in strokes for _, y in path) - EDGE
    foot = max(y + shape.width / 2 for shape, path in strokes for _, y in path) - top + STROKE
    parts = "".join(_stroke(shape, [(x + EDGE, y - top) for x, y in path]) for shape, path in strokes)
    ground = line(0, foot, right + 2 * EDGE, foot, width=STROKE / 2, stroke=MIDDLE)
    drawn = f'<g fill="none" stroke="{BLACK}" stroke-linecap="round" stroke-linejoin="round">{parts}</g>'
    return picture(right + 2 * EDGE, foot + STROKE, [ground, drawn], said, wide=True)


def figures(library: Library, exercise: Exercise, at_most: int | None = None) -> list[Figure]:
    """Pose the start and the end; none where the library has no pose or no body for the exercise's position."""
    poses = library.poses
    bodies = {said: body for body in poses.body.values() for said in body.says}
    pose, body = poses.of(exercise), bodies.get(_longest(bodies, exercise.position))
    if pose is None or body is None:
        return []
    pull = poses.pull.get(_longest(poses.pull, exercise.line_of_pull))
    most = 180 if at_most is None else at_most
    top, free = min(most, exercise.top_angle_degrees or 0), exercise.sides > 1
    posed = []
    for phase, arm in enumerate((pose.start, pose.end)):
        figure = _trunk_and_legs(body, _lean(body, exercise, phase), phase, pose.view)
        _arm(figure, "right", arm, top, pose.shrug * phase)
        _arm(figure, "left", *((pose.free, most, 0) if free else (arm, top, pose.shrug * phase)))
        _to_the_floor(figure, body.height[phase])
        figure.shapes = [
            *_flesh(figure),
            *_pads(figure, body, exercise),
            *_things(figure, exercise, pose, pull),
        ]
        posed.append(figure)
    return posed


def _longest(phrases: Iterable[str], text: str) -> str:
    """Return the longest of the phrases that stand in the text; empty: none does."""
    return max((phrase for phrase in phrases if phrase in text), key=len, default="")


def _lean(body: BodyPose, exercise: Exercise, phase: int) -> float:
    """Return the trunk's angle forward from upright; on a bench that slopes, from the bench's own angle."""
    if not body.slope:
        return body.trunk[phase]
    _, _, said = exercise.position.partition("bench at")
    degrees = [int(word) for word in re.findall(r"\d+", said)] or [0]
    bench = sum(degrees) / len(degrees)
    return 90 - bench if body.slope == "chest" else bench - 90


def _trunk_and_legs(body: BodyPose, lean: float, phase: int, view: str) -> Figure:
    cosine, sine = math.cos(math.radians(body.roll)), math.sin(math.radians(body.roll))

    def along(degrees: float) -> Point:  # from straight down, forward; then rolled to the left
        ahead, down = math.sin(math.radians(degrees)), -math.cos(math.radians(degrees))
        return (-down * sine, ahead, down * cosine)

    out = (cosine, 0.0, sine)
    joints = {"hips": HERE, "neck": plus(HERE, along(180 - lean), TRUNK)}
    joints["head"] = plus(joints["neck"], along(180 - lean), NECK)
    for place, (side, sign) in enumerate(SIDES.items()):
        thigh, shank = body.legs[phase if body.by_phase else place]
        flat = abs(shank) <= 45
        foot = 90 if flat else shank + 90 if body.foot is None else body.foot
        spot = joints[f"{side} hip"] = plus(HERE, out, HIP * sign)
        steps = (
            ("knee", thigh, THIGH),
            ("ankle", shank, SHANK),
            ("heel", foot - 90, ANKLE - 1),
            ("toe", foot, FOOT),
        )
        for name, degrees, length in steps:
            spot = joints[f"{side} {name}"] = plus(spot, along(degrees), length)
        joints[f"{side} shoulder"] = plus(joints["neck"], out, SHOULDER * sign)
    return Figure(joints, up=along(180 - lean), front=along(90 - lean), view=view)


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
    for name, direction, length in (
        ("elbow", upper, UPPER_ARM),
        ("wrist", lower, FOREARM),
        ("grip", lower, GRIP),
    ):
        spot = joints[f"{side} {name}"] = plus(spot, direction, length)


def _to_the_floor(figure: Figure, height: float) -> None:
    """Move the figure up so that the lowest of trunk, head and legs is so high over the floor."""
    lowest = min(
        spot[2] - BELOW[end] for name, spot in figure.joints.items() if (end := name.split()[-1]) in BELOW
    )
    figure.joints = {name: plus(spot, UPWARD, height - lowest) for name, spot in figure.joints.items()}


def _flesh(figure: Figure) -> Iterator[Shape]:
    joints, up = figure.joints, figure.up
    nose = plus(joints["head"], figure.front, HEAD_WIDE / 2)
    yield Shape("nose", (nose, plus(nose, figure.front, 1.4)), 2.2, WHITE)
    yield Shape("neck", (plus(joints["neck"], up, -3), joints["head"]), 4.5, LIGHT)
    yield Shape("head", (joints["head"], joints["head"]), HEAD_WIDE, WHITE)
    corners = []
    for side, other in (("right", "left"), ("left", "right")):
        limb = {name.split()[-1]: spot for name, spot in joints.items() if name.startswith(side)}
        yield Shape(f"{side} foot", (limb["heel"], limb["toe"]), 3.4, LIGHT)
        yield Shape(f"{side} leg", (limb["hip"], limb["knee"], limb["ankle"]), LEG_WIDE, LIGHT)
        yield Shape(f"{side} arm", (limb["shoulder"], limb["elbow"], limb["grip"]), ARM_WIDE, BLACK)
        sides = [
            plus(between(limb["shoulder"], joints[f"{other} shoulder"], 0.22), up, -4),
            between(limb["hip"], joints[f"{other} hip"], 0.25),
        ]
        corners += sides if side == "right" else sides[::-1]
    yield Shape("trunk", (*corners, corners[0]), TRUNK_DEEP, LIGHT)


def _slab(kind: str, middle: Point, along: Point, half: Point) -> Shape:
    """Return a box of half a length along a direction, half a width across the room and half a thickness."""
    normal = unit(_cross(ASIDE, along))
    signs = [(a, b, c) for a in (1, -1) for b in (1, -1) for c in (1, -1)]
    corners = [
        plus(plus(plus(middle, along, a * half[0]), ASIDE, b * half[1]), normal, c * half[2])
        for a, b, c in signs
    ]
    return Shape(kind, tuple(corners), fill=PALE, solid=True)


def _disc(kind: str, middle: Point, axis: Point, radius: float, thick: float = 1.2) -> Shape:
    first = unit(_cross(axis, (0.3, 0.5, 0.8)))
    second, ring = _cross(axis, first), []
    for turn in range(0, 360, 36):
        spot = plus(middle, first, radius * math.cos(math.radians(turn)))
        spot = plus(spot, second, radius * math.sin(math.radians(turn)))
        ring += [plus(spot, axis, thick), plus(spot, axis, -thick)]
    return Shape(kind, tuple(ring), fill=STEEL, solid=True)


def _rod(kind: str, middle: Point, axis: Point, half: float) -> Shape:
    return Shape(kind, (plus(middle, axis, half), plus(middle, axis, -half)), THIN)


def _post(spot: Point, top: float | None = None) -> Shape:
    return Shape("post", ((spot[0], spot[1], 0.0), (spot[0], spot[1], spot[2] if top is None else top)), THIN)


def _pads(figure: Figure, body: BodyPose, exercise: Exercise) -> Iterator[Shape]:
    """Yield what carries the body, each pad on posts to the floor."""
    joints, up = figure.joints, figure.up
    level, hand, below = abs(up[2]) < LYING, joints["left grip"], TRUNK_DEEP / 2 + 2
    reach = {"back": (-16, 42) if level else (-4, 36), "chest": (-12, 30) if level else (-2, 27)}
    rest = body.pads == ("seat",) and (
        "adjustable_bench" in exercise.needs or exercise.implement == "machine"
    )
    for pad in (*body.pads, "back") if rest else body.pads:
        along, half = AHEAD, 13.0
        if pad == "post":  # for the free hand
            yield _post(hand, hand[2] + 22)
            continue
        if pad in reach:
            along, half = up, (reach[pad][1] - reach[pad][0]) / 2
            middle = plus(
                plus(joints["hips"], up, sum(reach[pad]) / 2),
                figure.front,
                below if pad == "chest" else -below,
            )
        elif pad == "seat":
            middle = plus(joints["hips"], (0, 5, -below))
        elif pad == "feet":
            middle = (0.0, joints["left toe"][1], joints["left toe"][2] - 3)
        else:  # under knee and hand
            middle, half = plus(joints["left knee"], (0, 18, -LEG_WIDE / 2 - 1.5)), 30.0
        yield _slab(pad, middle, along, (half, 8, 1.4))
        for end in (0.7, -0.7) if abs(along[2]) < LYING else (0,):
            yield _post(plus(middle, along, half * end))


def _things(figure: Figure, exercise: Exercise, pose: Pose, pull: Point | None) -> Iterator[Shape]:
    """Yield what the hands hold and what it hangs on."""
    working = [side for side in SIDES if exercise.sides == 1 or side == "right"]
    grips = {side: figure.joints[f"{side} grip"] for side in working}
    middle, axis, needs = between(grips["right"], grips[working[-1]]), unit(pose.axis), set(exercise.needs)
    single = exercise.load_is in ("total", "stack")  # one thing in both hands
    loads = [middle] if single else list(grips.values())
    match exercise.implement:
        case "dumbbell":
            for grip in loads:
                yield _rod("handle", grip, axis, 5)
                yield from (_disc("dumbbell", plus(grip, axis, end), axis, 3.6, 1.8) for end in (5, -5))
        case "kettlebell":
            for ball, grip in ((plus(grip, pose.hang), grip) for grip in loads):
                yield Shape("handle", (grip, ball), 2.2)
                yield Shape("kettlebell", (ball, ball), 9, STEEL)
        case "plate":
            yield from (
                _disc("plate", plus(spot, UPWARD, 0 if single else -4), AHEAD, 12 if single else 6)
                for spot in loads
            )
        case "machine":
            yield from _levers(figure, pose, grips)
        case "landmine" if pull:
            way = unit(plus(pull, middle, -1))
            yield Shape("bar", (pull, middle), 2.2)
            yield _disc("plates", plus(middle, way, 9), way, 9)
        case "barbell" | "smith_machine":
            yield _rod("bar", middle, ASIDE, BAR_HALF)
            yield from (_disc("plates", plus(middle, ASIDE, end), ASIDE, 9) for end in (36, -36))
        case "bodyweight" if needs & {"rack", "pull_up_bar"}:
            yield _rod("bar", middle, ASIDE, BAR_HALF)
        case "bodyweight" if needs & {"dip_bars", "push_up_handles"}:
            half = 14 if "dip_bars" in needs else 4
            yield from (_rod("bar", grip, AHEAD, half) for grip in loads)
            yield from (_post(plus(grip, AHEAD, 3 - half)) for grip in loads)
        case "band" if len(grips) > 1 and "sideways" in exercise.line_of_pull:
            yield Shape("band", tuple(grips.values()), 1.1)
        case "cable" | "band" | "suspension" if pull:
            yield from _lines(exercise, grips, middle, pull)
    if needs & {"smith_machine", "pull_up_bar"} or (exercise.implement == "bodyweight" and "rack" in needs):
        yield from (
            _post(plus(middle, ASIDE, end), max(POST_TOP, middle[2] + 6)) for end in (BAR_HALF, -BAR_HALF)
        )


def _levers(figure: Figure, pose: Pose, grips: Mapping[str, Point]) -> Iterator[Shape]:
    pivot = plus(figure.joints["neck"], pose.pivot)
    yield _slab("column", (0, pivot[1], pivot[2] / 2), UPWARD, (pivot[2] / 2, pose.pivot[0] + 2, 3))
    for side, grip in grips.items():
        spot = figure.joints[f"{side} elbow"] if pose.on_elbow else grip
        yield Shape("lever", ((pivot[0] * SIDES[side], *pivot[1:]), spot), 2.4, STEEL)
        yield Shape("pad", _rod("", spot, unit(pose.axis), 4).path, 3, WHITE)


def _lines(exercise: Exercise, grips: Mapping[str, Point], middle: Point, pull: Point) -> Iterator[Shape]:
    """Yield a cable, a band or straps from where the line of pull says to the hands, or to the bar in them."""
    kind = exercise.implement
    bar = exercise.load_is == "stack" and len(grips) > 1 and "rope" not in exercise.position
    if bar:
        yield Shape("bar", (plus(grips["right"], ASIDE, 4), plus(grips["left"], ASIDE, -4)), THIN)
    for side, grip in grips.items():
        start = (pull[0] * SIDES[side], pull[1], pull[2] or middle[2])
        yield Shape(kind, (start, middle if bar else grip), 1.1)
        if kind == "cable":
            yield Shape("pulley", (start, start), 4.4, WHITE)
        if start[2] < PULLEY_TOP and (kind == "cable" or "band_anchor" in exercise.needs):
            yield _post(start, max(start[2] + 6, 40))


def _seen(figure: Figure) -> list[tuple[Shape, Flat]]:
    """Project the shapes, farthest first; noses first of all, so that a head hides them unless seen from the side."""
    around, above = map(math.radians, VIEWS[figure.view])
    toward = (math.cos(above) * math.sin(around), math.cos(above) * math.cos(around), math.sin(above))
    across = (-math.cos(around), math.sin(around), 0.0)
    down = _cross(across, toward)
    depths = {
        shape: -math.inf
        if shape.kind == "nose"
        else sum(dot(spot, toward) for spot in shape.path) / len(shape.path)
        for shape in figure.shapes
    }
    ordered = sorted(figure.shapes, key=depths.__getitem__)
    return [(shape, [(dot(spot, across), dot(spot, down)) for spot in shape.path]) for shape in ordered]


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
