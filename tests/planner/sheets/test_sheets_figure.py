"""The line drawings: every plannable exercise, as its own fields say it is done; checked on the joints as drawn."""

import math
import re
import tomllib
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from readme import ROOT
from sample_library import sample_library
from sample_week import sample_desk

from library.read import read_library
from planner.sheets import client
from planner.sheets.figure import exercise_picture, shapes
from planner.sheets.pose import figures

LIBRARY = read_library()
PLANNABLE = [exercise for exercise in LIBRARY.exercises.values() if not exercise.compare_only]
DEGREE = 0.5
CENTIMETRE = 0.6  # of a person of 170 cm, in hundredths of stature


def working(exercise):
    return ("right", "left") if exercise.sides == 1 else ("right",)


def arm(figure, side):
    """An upper arm from the joints: degrees from the trunk, and degrees forward from straight sideways."""
    j = figure.joints
    (u, v, w) = trunk = [h - n for h, n in zip(j["hips"], j["neck"], strict=True)]
    (x, y, z) = out = [r - left for r, left in zip(j["right hip"], j["left hip"], strict=True)]
    front = [y * w - z * v, z * u - x * w, x * v - y * u]
    upper = [e - s for e, s in zip(j[f"{side} elbow"], j[f"{side} shoulder"], strict=True)]

    def along(axis):
        return sum(a * b for a, b in zip(upper, axis, strict=True)) / math.hypot(*upper) / math.hypot(*axis)

    sideways = along(out) * (1 if side == "right" else -1)
    angles = math.acos(max(-1, min(1, along(trunk)))), math.atan2(along(front), sideways)
    return tuple(map(math.degrees, angles))


def raised(figure, side):
    """How high the arm is; an arm drawn back behind the trunk is not raised."""
    degrees, forward = arm(figure, side)
    return 0.0 if -150 < forward < -30 else degrees


def lean(figure):
    hips, neck = figure.joints["hips"], figure.joints["neck"]
    return math.degrees(math.acos((neck[2] - hips[2]) / math.dist(hips, neck)))


def away(spot, shape):
    """Distance of a place from a drawn line, or from the middle of a body."""
    if len(shape.path) > 3 or len(shape.path) == 1:
        middle = [sum(values) / len(values) for values in zip(*shape.path, strict=True)]
        return math.dist(spot, middle)
    nearest = math.inf
    for a, b in zip(shape.path, shape.path[1:], strict=False):
        for step in range(101):
            on_line = [x + (y - x) * step / 100 for x, y in zip(a, b, strict=True)]
            nearest = min(nearest, math.dist(spot, on_line))
    return nearest


def drawn(element):
    """The places of a path as they are on the paper, and half the width of its line."""
    scale = 0.2
    x, y, *steps = map(int, re.findall(r"-?\d+", element.get("d")))
    spots = [(x * scale, y * scale)]
    for across, down in zip(steps[::2], steps[1::2], strict=True):
        x, y = x + across, y + down
        spots.append((x * scale, y * scale))
    return spots, float(element.get("stroke-width")) * scale / 2


def is_drawn_inside_its_frame_and_can_be_read_out(exercise):
    drawing = ET.fromstring(exercise_picture(LIBRARY, exercise, exercise.name))
    assert drawing.get("aria-label") == exercise.name
    assert drawing.find("g").get("transform") == "scale(0.2)"
    _, _, width, height = map(float, drawing.get("viewBox").split())
    paths = drawing.findall("g/path")
    assert len(paths) > 20  # two bodies
    for path in paths:
        spots, edge = drawn(path)
        assert all(edge <= x <= width - edge and edge <= y <= height - edge for x, y in spots)


def arm_goes_as_high_as_the_exercise_says(exercise):
    posed = figures(LIBRARY, exercise)
    for side in working(exercise):
        highest = max(raised(figure, side) for figure in posed)
        assert highest == pytest.approx(exercise.top_angle_degrees, abs=DEGREE)


def careful_drawing_stays_below_what_its_caution_allows(exercise):
    limits = {stress.change_arm_at_most_degrees for stress in exercise.stress.values()} - {None}
    for limit in {*limits, 30, 60, 90, 120}:
        for figure in figures(LIBRARY, exercise, limit):
            assert all(raised(figure, side) <= limit + DEGREE for side in ("right", "left"))


SAID = {
    "30-45 degrees forward": (28, 47), "level with the body": (-5, 15), "body line": (-5, 15),
    "Stop level": (-5, 15),
}  # fmt: skip


def what_a_change_says_of_the_elbows_holds_in_every_drawing(exercise):
    end = figures(LIBRARY, exercise)[1]
    for stress in exercise.stress.values():
        for words, (low, high) in SAID.items():
            same = stress.grade == 1 or stress.change_keeps  # or it is another exercise
            if words in stress.change and same:
                assert low <= arm(end, "right")[1] <= high


HELD = {
    "dumbbell": {"handle"}, "kettlebell": {"handle"}, "barbell": {"bar"}, "smith_machine": {"bar"}, "plate": {"plate"},
    "cable": {"cable", "bar"}, "band": {"band", "bar"}, "machine": {"lever"}, "landmine": {"bar"}, "suspension": {"suspension"},
}  # fmt: skip
# a roller lies outside the elbow; hands on a bar need not be level to a hair; a plate is held at its rim
REACH = {"lever": 3.1, "bar": 2.5, "handle": 3, "plate": 13}


def hands_hold_what_is_held(exercise):
    bars = {"rack", "pull_up_bar", "dip_bars", "push_up_handles"} & set(exercise.needs)
    kinds = HELD.get(exercise.implement, {"bar"} if bars else set())
    for figure in figures(LIBRARY, exercise):
        things = [shape for shape in shapes(figure) if shape.kind in kinds]
        for side in working(exercise) if kinds else ():
            joint = "elbow" if LIBRARY.poses.of(exercise).on_elbow else "grip"
            spot = figure.joints[f"{side} {joint}"]
            assert any(away(spot, thing) <= REACH.get(thing.kind, CENTIMETRE) for thing in things)


def surface(pad):
    return max(spot[2] for spot in pad.path) + pad.width / 2


def soles(figure):
    return [figure.joints[f"{side} {end}"][2] for side in ("right", "left") for end in ("heel", "toe")]


def body_is_where_the_position_says(exercise):
    position = exercise.position
    for figure in figures(LIBRARY, exercise):
        joints = figure.joints
        pads = {of.kind: of for of in shapes(figure) if of.kind in ("seat", "back", "chest", "feet", "knee")}
        hips, knee = joints["hips"][2], joints["right knee"][2]
        assert all(spot[2] > -CENTIMETRE for name, spot in joints.items() if "grip" not in name)
        assert joints["right grip"][2] > -CENTIMETRE
        if position.startswith("standing") or "standing on the band" in position:
            assert min(soles(figure)) < 2 and hips > 40
        if position.startswith("sitting"):
            seat = pads["seat"].path
            assert surface(pads["seat"]) == pytest.approx(hips - 5.2, abs=CENTIMETRE)
            assert min(spot[1] for spot in seat) < joints["hips"][1] < max(spot[1] for spot in seat)
            assert min(soles(figure)) < 2 and abs(hips - knee) < 6
        if "hinged" in position:
            assert 60 <= lean(figure) <= 80 and hips > joints["right knee"][2] > joints["right ankle"][2]
        if degrees := re.search(r"bench at ([\d-]+) degrees", position):
            low, high = (int(degrees[1].split("-")[0]), int(degrees[1].split("-")[-1]))
            assert low - DEGREE <= 90 - lean(figure) <= high + DEGREE
            assert ("chest" if position.startswith("chest") else "back") in pads
        if "flat bench" in position or "face down on a bench" in position:
            pad = pads["chest" if "face down" in position else "back"]
            assert lean(figure) == pytest.approx(90, abs=DEGREE)
            assert surface(pad) == pytest.approx(hips - 5.2, abs=CENTIMETRE)
        if "lying face down" in position or "lying on the floor" in position:
            assert hips < 8 and not pads
        if "one knee down" in position:
            assert knee < 6 and joints["left knee"][2] > 20
        on_hands = exercise.key in ("push_up", "pike_push_up")
        if on_hands or position.startswith(("hands on handles", "feet on a bench")):
            assert joints["right grip"][2] < 10 and joints["left grip"][2] < 10
        if position.startswith("hanging,") or "hanging between" in position:
            assert min(soles(figure)) > 3


@pytest.mark.parametrize("exercise", PLANNABLE, ids=lambda exercise: exercise.key)
def test_each_is_drawn_as_its_own_fields_say(exercise):
    is_drawn_inside_its_frame_and_can_be_read_out(exercise)
    arm_goes_as_high_as_the_exercise_says(exercise)
    careful_drawing_stays_below_what_its_caution_allows(exercise)
    what_a_change_says_of_the_elbows_holds_in_every_drawing(exercise)
    hands_hold_what_is_held(exercise)
    body_is_where_the_position_says(exercise)


def test_every_pose_is_of_a_family_or_an_exercise():
    poses = tomllib.loads((ROOT / "library" / "poses.toml").read_text(encoding="utf-8"))["pose"]
    assert set(poses) <= {*LIBRARY.families, *LIBRARY.exercises}


def test_a_card_shows_the_arm_no_higher_than_the_athlete_may_raise_it():
    desk = sample_desk(sample_library())
    full = [card for page in client.pages(desk) for card in page.cards]
    low = replace(desk, brief=desk.brief.model_copy(update={"arm_at_most_degrees": 30}))
    held = [card for page in client.pages(low) for card in page.cards]
    assert any("<svg" in card.picture for card in full)
    assert [card.name for card in full if card.picture != held[full.index(card)].picture]


def test_a_change_for_a_careful_joint_lowers_the_drawn_arm_or_draws_nothing():
    exercise, desk = LIBRARY.exercises["full_arc_lateral_raise"], sample_desk(LIBRARY)
    planned = desk.document.sessions[0].exercises[0].model_copy(update={"exercise": exercise.key})

    def shown(word):
        brief = desk.brief.model_copy(update={"joints": {"subacromial": word}})
        return client.card(replace(desk, brief=brief), "club", [planned], planned).picture

    said = f"{exercise.name}: {exercise.position}"
    assert shown("careful") == exercise_picture(LIBRARY, exercise, said, 90)
    assert shown("clear") == exercise_picture(LIBRARY, exercise, said)
    desk = sample_desk(LIBRARY)
    brief = desk.brief.model_copy(update={"joints": {"anterior_capsule": "careful"}})
    first = desk.document.sessions[0].exercises[0]
    planned = first.model_copy(update={"exercise": "behind_neck_barbell_press"})
    assert client.card(replace(desk, brief=brief), "club", [planned], planned).picture == ""
