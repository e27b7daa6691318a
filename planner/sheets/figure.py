"""A line drawing of the start and the end of an exercise: the posed body, what carries it and what it holds, as SVG."""

import math
from collections.abc import Iterator, Mapping
from html import escape
from itertools import pairwise
from typing import NamedTuple

from library.read import Library
from library.schema import Exercise, Point
from planner.sheets.pose import AHEAD, ASIDE, SIDES, UPWARD, Figure, between, cross, dot, figures, plus, unit

Flat = list[tuple[float, float]]

BLACK, MIDDLE, LIGHT, PALE, WHITE = "#000", "#999", "#ccc", "#eee", "#fff"
ARM_WIDE, LEG_WIDE, HEAD_WIDE, TRUNK_DEEP = 4.6, 6.6, 12.6, 10.4
PROFILE = 0.6  # cosine of the face to whoever looks: below it the nose shows
LYING = 0.2  # a trunk or pad that rises less is level
BAR_HALF, POST_TOP, PULLEY_TOP = 40.0, 112.0, 100.0
VIEWS = {"front": (20, 8), "quarter": (42, 10), "side": (78, 6), "behind": (135, 14), "above": (68, 28)}
FINE = 5  # parts of a unit in which paths are written
MILLIMETRES = (30.0, 19.0)  # of the page, at most
GAP, EDGE, STROKE, LINE, THIN, PLATE, BOARD, STEEL = 12.0, 2.0, 1.3, 1.1, 1.9, 2.4, 3.6, "#777"


class Shape(NamedTuple):
    """A path in space: one place is a ball; a line; with `fill` a body between two dark edges, closed if it ends as it began."""

    kind: str
    path: tuple[Point, ...]
    width: float
    fill: str = ""


def exercise_picture(library: Library, exercise: Exercise, said: str, at_most: float = 180) -> str:
    """Return the drawing as SVG, start beside end; empty where the library has no pose for the exercise. `said` is
    read out where it cannot be seen; `at_most`: how high the arm may be shown, in degrees."""
    strokes: list[tuple[Shape, Flat]] = []
    right = -GAP
    for figure in figures(library, exercise, at_most):
        flat = _seen(shapes(figure), figure.pose.view)
        move = right + GAP - min(x - shape.width / 2 for shape, path in flat for x, _ in path)
        strokes += [(shape, [(x + move, y) for x, y in path]) for shape, path in flat]
        right = max(x + shape.width / 2 for shape, path in strokes for x, _ in path)
    if not strokes:
        return ""
    top = min(y - shape.width / 2 for shape, path in strokes for _, y in path) - EDGE
    foot = max(y + shape.width / 2 for shape, path in strokes for _, y in path) - top + STROKE
    parts = "".join(_stroke(shape, [(x + EDGE, y - top) for x, y in path]) for shape, path in strokes)
    width, height = right + 2 * EDGE, foot + STROKE
    ground = f'<path d="M0 {foot:.2f}H{width:.2f}" stroke="{MIDDLE}" stroke-width="{STROKE / 2:g}"/>'
    round_ends = f'stroke="{BLACK}" stroke-linecap="round" stroke-linejoin="round"'
    drawn = f'<g fill="none" {round_ends} transform="scale({1 / FINE:g})">{parts}</g>'
    scale = min(side / units for side, units in zip(MILLIMETRES, (width, height), strict=True))
    size = f'width="{width * scale:.2f}mm" height="{height * scale:.2f}mm" viewBox="0 0 {width:.2f} {height:.2f}"'
    words = escape(said)
    return f'<svg {size} role="img" aria-label="{words}"><title>{words}</title>{ground}{drawn}</svg>'


def shapes(figure: Figure) -> list[Shape]:
    """Return all that is drawn of a figure: the body, what carries it, and what it holds."""
    return [*_flesh(figure), *_pads(figure), *_things(figure)]


def _flesh(figure: Figure) -> Iterator[Shape]:
    joints, up = figure.joints, figure.up
    nose = plus(joints["head"], figure.front, HEAD_WIDE / 2)
    if abs(dot(figure.front, _toward(figure.pose.view))) < PROFILE:
        yield _rod("nose", nose, figure.front, 1.2, 2.2, WHITE)
    yield Shape("neck", (plus(joints["neck"], up, -3), joints["head"]), 4.5, LIGHT)
    yield Shape("head", (joints["head"],), HEAD_WIDE, WHITE)
    corners = []
    for side, other in (("right", "left"), ("left", "right")):
        limb = {name.split()[-1]: spot for name, spot in joints.items() if name.startswith(side)}
        yield Shape(f"{side} foot", (limb["heel"], limb["toe"]), 3.4)
        yield Shape(f"{side} leg", (limb["hip"], limb["knee"], limb["ankle"]), LEG_WIDE, LIGHT)
        yield Shape(f"{side} arm", (limb["shoulder"], limb["elbow"], limb["grip"]), ARM_WIDE, BLACK)
        high = plus(between(limb["shoulder"], joints[f"{other} shoulder"], 0.22), up, -4)
        low = between(limb["hip"], joints[f"{other} hip"], 0.25)
        corners += [high, low] if side == "right" else [low, high]
    yield Shape("trunk", (*corners, corners[0]), TRUNK_DEEP, LIGHT)


def _slab(kind: str, middle: Point, along: Point, half: float, wide: float = 6.2) -> Shape:
    """Return a board of half a length along a direction and half a width across the room."""
    corners = ((1, 1), (1, -1), (-1, -1), (-1, 1), (1, 1))
    path = tuple(plus(plus(middle, along, a * half), ASIDE, b * wide) for a, b in corners)
    return Shape(kind, path, BOARD, PALE)


def _disc(kind: str, middle: Point, axis: Point, radius: float) -> Shape:
    first = unit(cross(axis, (0.3, 0.5, 0.8)))
    second, turns = cross(axis, first), [math.tau * step / 10 for step in range(11)]
    ring = ((radius * math.cos(turn), radius * math.sin(turn)) for turn in turns)
    return Shape(kind, tuple(plus(plus(middle, first, a), second, b) for a, b in ring), PLATE, STEEL)


def _rod(kind: str, middle: Point, axis: Point, half: float, width: float = THIN, fill: str = "") -> Shape:
    return Shape(kind, (plus(middle, axis, half), plus(middle, axis, -half)), width, fill)


def _post(spot: Point, more: float = 0) -> Shape:
    return Shape("post", ((spot[0], spot[1], 0.0), plus(spot, UPWARD, more)), THIN)


def _pads(figure: Figure) -> Iterator[Shape]:
    """Yield what carries the body, each pad on posts to the floor; a post stands alone, for the free hand."""
    joints, up, pads, exercise = figure.joints, figure.up, figure.body.pads, figure.exercise
    level, below = abs(up[2]) < LYING, TRUNK_DEEP / 2 + BOARD / 2
    middle, half = (13.0, 27.0) if level else (16.0, 18.0)
    behind = plus(plus(joints["hips"], up, middle), figure.front, -below)
    ahead = plus(plus(joints["hips"], up, middle - 3), figure.front, below)
    at = {
        "seat": (plus(joints["hips"], (0, 5, -below)), AHEAD, 11.0),
        "back": (behind, up, half),
        "chest": (ahead, up, half - 5),
        "feet": ((0.0, *plus(joints["left toe"], UPWARD, -3.3)[1:]), AHEAD, 18.0),
        "knee": (plus(joints["left knee"], (0, 18, -LEG_WIDE / 2 - BOARD / 2)), AHEAD, 28.0),
        "post": (joints["left grip"], UPWARD, 0.0),
    }
    rest = pads == ("seat",) and ("adjustable_bench" in exercise.needs or exercise.implement == "machine")
    for pad in (*pads, "back") if rest else pads:
        spot, along, half = at[pad]
        if half:
            yield _slab(pad, spot, along, half)
        for end in (0.7, -0.7) if abs(along[2]) < LYING else (0,):
            yield _post(plus(spot, along, half * end), 0 if half else 22)


def _things(figure: Figure) -> Iterator[Shape]:
    """Yield what the hands hold and what it hangs on."""
    exercise, pose, pull = figure.exercise, figure.pose, figure.pull
    working = [side for side in SIDES if exercise.sides == 1 or side == "right"]
    grips = {side: figure.joints[f"{side} grip"] for side in working}
    middle, axis, needs = between(grips["right"], grips[working[-1]]), unit(pose.axis), set(exercise.needs)
    single = exercise.load_is in ("total", "stack")  # one thing in both hands
    loads = [middle] if single else list(grips.values())
    match exercise.implement:
        case "dumbbell":
            for grip in loads:
                yield _rod("handle", grip, axis, 5)
                yield from (_rod("dumbbell", plus(grip, axis, end), axis, 0.8, 7.5) for end in (5, -5))
        case "kettlebell":
            yield from (Shape("handle", (grip, plus(grip, pose.hang)), 2.2) for grip in loads)
            yield from (Shape("bell", (plus(grip, pose.hang),), 9, STEEL) for grip in loads)
        case "plate":
            spots = [plus(grip, UPWARD, 0 if single else -4) for grip in loads]
            yield from (_disc("plate", spot, AHEAD, 12 if single else 6) for spot in spots)
        case "machine":
            yield from _levers(figure, grips)
        case "landmine" if pull:
            way = unit(plus(pull, middle, -1))
            yield Shape("bar", (pull, middle), THIN)
            yield _disc("plates", plus(middle, way, 9), way, 9)
        case "bodyweight" if needs & {"dip_bars", "push_up_handles"}:
            half = 14 if "dip_bars" in needs else 4
            yield from (_rod("bar", grip, AHEAD, half) for grip in loads)
            yield from (_post(plus(grip, AHEAD, 3 - half)) for grip in loads)
        case "cable" | "band" | "suspension":
            yield from _lines(figure, grips, middle)
    if needs & {"barbell", "ez_bar", "smith_machine", "pull_up_bar"}:
        yield _rod("bar", middle, ASIDE, BAR_HALF)
        ends = [plus(middle, ASIDE, end) for end in (BAR_HALF, -BAR_HALF)]
        if exercise.implement != "bodyweight":
            yield from (_disc("plates", between(end, middle, 0.1), ASIDE, 9) for end in ends)
        if exercise.implement != "barbell":
            yield from (_post(end, max(POST_TOP - middle[2], 6)) for end in ends)


def _levers(figure: Figure, grips: Mapping[str, Point]) -> Iterator[Shape]:
    pose = figure.pose
    x, y, z = plus(figure.joints["neck"], pose.pivot)
    yield _slab("column", (0, y, z / 2), UPWARD, z / 2 - BOARD / 2, x)
    for side, grip in grips.items():
        elbow = plus(figure.joints[f"{side} elbow"], ASIDE, 3 * SIDES[side])
        spot, thick = (elbow, 5) if pose.on_elbow else (grip, 3)
        yield Shape("lever", ((x * SIDES[side], y, z), spot), 2.4, STEEL)
        yield _rod("pad", spot, unit(pose.axis), 4, thick, WHITE)


def _lines(figure: Figure, grips: Mapping[str, Point], middle: Point) -> Iterator[Shape]:
    """Yield a cable, a band or straps from where the line of pull says to the hands, or to the bar in them."""
    exercise, pull = figure.exercise, figure.pull
    kind, rope = exercise.implement, "rope" in exercise.position
    bar = len(grips) > 1 and exercise.load_is == "stack" and not rope
    if bar:
        yield Shape("bar", (plus(grips["right"], ASIDE, 4), plus(grips["left"], ASIDE, -4)), THIN)
    for side, grip in grips.items():
        if pull is None:  # from hand to hand
            yield Shape(kind, (grip, middle), LINE)
            continue
        start = (pull[0] * SIDES[side], pull[1], pull[2] or middle[2])
        yield Shape(kind, (start, middle if bar else grip), LINE)
        if kind == "cable":
            yield Shape("pulley", (start,), 4.4, WHITE)
        if start[2] < PULLEY_TOP and (kind == "cable" or "band_anchor" in exercise.needs):
            yield _post(start, max(6, 40 - start[2]))


def _toward(view: str) -> Point:
    """Return the direction of whoever looks."""
    around, above = map(math.radians, VIEWS[view])
    return (math.cos(above) * math.sin(around), math.cos(above) * math.cos(around), math.sin(above))


def _seen(shapes: list[Shape], view: str) -> list[tuple[Shape, Flat]]:
    """Project the shapes, farthest first."""
    toward = _toward(view)
    across = unit((-toward[1], toward[0], 0))
    down = cross(across, toward)
    shapes.sort(key=lambda shape: sum(dot(spot, toward) for spot in shape.path) / len(shape.path))
    return [(shape, [(dot(spot, across), dot(spot, down)) for spot in shape.path]) for shape in shapes]


def _stroke(shape: Shape, path: Flat) -> str:
    """Write a shape in whole `FINE` parts of a unit, each step from the one before: phones carry many of them."""
    (x, y), *rest = spots = [(round(x * FINE), round(y * FINE)) for x, y in path]
    width, edge = shape.width * FINE, STROKE * FINE
    fill = f' fill="{shape.fill}"' if shape.fill and len(spots) not in (2, 3) else ""
    if not rest:
        return f'<circle cx="{x}" cy="{y}" r="{width / 2:.0f}"{fill} stroke-width="{edge:.0f}"/>'
    steps = " ".join(f"{c - a} {d - b}" for (a, b), (c, d) in pairwise(spots))
    drawn = f'<path d="M{x} {y}l{steps}"'
    if not shape.fill or shape.width <= PLATE:
        dash = f' stroke-dasharray="{3 * FINE} {2.4 * FINE:g}"' if shape.kind == "band" else ""
        return f'{drawn} stroke-width="{width:.0f}"{dash}{fill}/>'
    around = f' stroke="{WHITE}"' if shape.fill == BLACK else ""
    inside = f'{drawn} stroke="{shape.fill}" stroke-width="{width - edge:.0f}"{fill}/>'
    return f'{drawn}{around} stroke-width="{width + edge:.0f}"/>{inside}'
