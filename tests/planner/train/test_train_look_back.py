"""The summary of a whole log, against the same figures counted line by line; delivered dose against planned; their charts."""

import datetime
import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_document import head_dose, line, small_document

from planner.log.file import append_to_log, read_frame, read_log
from planner.log.record import CLEARED, KINDS, LoggedSet, clearance
from planner.train.delivered import (
    WeekDone,
    delivered_block,
    delivered_week,
    done_otherwise,
    is_done,
    left_open,
    look_back,
)
from planner.train.loads import FORMULAS
from planner.train.progress_page import dose_chart, maximum_chart, pain_chart, ticks

DAY = datetime.date(2026, 11, 30)
BY_SETS = {"press": {"front": 1.0, "side": 0.5}, "raise": {"side": 1.0}}


def summary(folder, sick=()):
    return look_back(read_frame(folder), BY_SETS, ("front", "side"), ["press"], sick=sick)


def a_set(days=0, number=1, exercise="press", **fields):
    values = {"load": 20.0, "load_unit": "kg", "reps": 10, "rir": 2.0, "gym": "club"}
    return LoggedSet(DAY + datetime.timedelta(days=days), "Mon", exercise, number, **(values | fields))


def test_an_empty_log_a_replaced_line_and_weeks_without_a_set(tmp_path):
    assert summary(tmp_path) == ({}, ())
    append_to_log(tmp_path, [a_set(), a_set(reps=0)])
    assert summary(tmp_path)[0]["2026-W49"].done == {}
    sore = a_set(days=14, exercise="raise", pain=3.0, kind="joint")
    append_to_log(tmp_path, [a_set(), a_set(number=2), sore])
    found, _ = summary(tmp_path)
    assert list(found.items()) == [
        ("2026-W49", WeekDone({"press": 2}, {"front": 2.0, "side": 1.0}, None, 1)),
        ("2026-W50", WeekDone({}, {"front": 0.0, "side": 0.0}, None)),
        ("2026-W51", WeekDone({"raise": 1}, {"front": 0.0, "side": 1.0}, 3.0, 1)),
    ]


def test_the_best_set_of_a_week(tmp_path):
    rows = [
        a_set(number=1, load=20.0, reps=10, rir=2.0),  # 28
        a_set(number=2, load=22.0, reps=8, rir=1.0),  # 28.6
        a_set(number=3, load=24.0, reps=9, rir=3.0),  # 33.6
        a_set(number=4, load=30.0, reps=1, rir=0.0),  # the load itself, the heaviest
        a_set(days=7, load=10.0, reps=20),
        a_set(days=7, number=2, load=10.0, reps=22),
        a_set(days=14, load=14.0, reps=8, rir=0.0),  # has an estimate, but is not the best
        a_set(days=15, load=14.0, reps=10, rir=6.0),
        a_set(days=16, load=40.0, reps=5),  # the client was ill
        a_set(exercise="raise", load=8.0, reps=10, rir=0.0),
    ]
    append_to_log(tmp_path, rows)
    press, lateral = summary(tmp_path, {DAY + datetime.timedelta(days=16)})[1]
    assert (press.exercise, press.gym, press.unit) == ("press", "club", "kg")
    assert press.weeks == ("2026-W49", "2026-W50", "2026-W51")
    assert (press.loads, press.reps) == ((30, 10, 14), (1, 22, 10))
    assert press.maxima == (30, None, None)
    assert lateral.maxima == (None,)  # one joint: no formula was made for it


rows = st.builds(
    a_set, days=st.integers(0, 30), number=st.integers(1, 3),
    exercise=st.sampled_from(["press", "raise", "gone"]),
    load=st.one_of(st.none(), st.integers(1, 80).map(float)), reps=st.one_of(st.none(), st.integers(0, 20)),
    rir=st.one_of(st.none(), st.integers(0, 4).map(float)),
    pain=st.one_of(st.none(), st.integers(0, 10).map(float)), kind=st.sampled_from(["", CLEARED, *KINDS]),
    gym=st.sampled_from(["club", "home"]),
)  # fmt: skip


@given(st.lists(rows, min_size=1, max_size=25))
def test_columns_say_what_lines_say(tmp_path_factory, lines):
    folder = tmp_path_factory.mktemp("log")
    append_to_log(folder, lines)
    (found, tracks), log = summary(folder), read_log(folder)
    for week, summed in found.items():
        of_week = [row for row in log if row.week == week]
        done = [row for row in of_week if is_done(row)]
        assert sum(summed.done.values()) == len(done)
        assert summed.days == len({row.date for row in done})
        for head in ("front", "side"):
            dose = sum(BY_SETS.get(row.exercise, {}).get(head, 0.0) for row in done)
            assert summed.dose[head] == pytest.approx(dose)
        felt = [row.pain for row in of_week if row.kind not in ("muscle", CLEARED) and row.pain is not None]
        assert summed.pain == max(felt, default=None)
    best = {}
    for row in (row for row in log if is_done(row) and row.load):
        total, place = row.reps + (row.rir or 0), (row.exercise, row.gym, row.week)
        multiplier = FORMULAS["epley"](total) if total > 1 else 1
        estimate = row.load * multiplier if row.exercise == "press" and total <= 12 else None
        best[place] = max(best.get(place, ()), (row.load, row.reps, row.rir or 0, estimate))
    shown = {}
    for track in tracks:
        sets = zip(track.weeks, track.loads, track.reps, track.maxima, strict=True)
        shown |= {(track.exercise, track.gym, week): pytest.approx(of) for week, *of in sets}
    assert shown == {place: [load, reps, estimate] for place, (load, reps, _, estimate) in best.items()}


# --- Delivered dose against planned
PRESS, RAISE = "press", "raise"
CREDITS = {PRESS: {"front": 1.0, "side": 0.5}, RAISE: {"front": 0.2, "side": 1.0}}


def document(week="2026-W45"):
    """Monday: press 3, raise 2. Thursday: raise 4."""
    monday = [line(key, sets, credits=CREDITS[key]) for key, sets in ((PRESS, 3), (RAISE, 2))]
    thursday = [line(RAISE, 4, credits=CREDITS[RAISE])]
    dose = [head_dose("front", planned=4.2), head_dose("side", planned=7.5)]
    return small_document({"Mon": monday, "Thu": thursday}, week, dose=dose)


def done(exercise, count, day=2, reps=10):
    date = datetime.date(2026, 11, day)
    return [LoggedSet(date, "Mon", exercise, number, reps=reps) for number in range(1, count + 1)]


def test_what_a_week_left_open_is_said_and_a_block_adds_its_weeks():
    found = delivered_week(document(), done(PRESS, 3) + done(RAISE, 3), {})
    assert found.adherence == pytest.approx(6 / 9)
    said = left_open(found, {"side": "side head"})
    assert "6 of 9" in said and "side head 4.5 of 7.5" in said and "not added" in said
    second = delivered_week(document("2026-W46"), done(PRESS, 3, day=9), {})
    both = delivered_block([delivered_week(document(), done(PRESS, 3), {}), second])
    assert both.weeks == ("2026-W45", "2026-W46")
    assert (both.planned_sets, both.done_as_planned) == (18, 6)
    assert both.heads[0].delivered == pytest.approx(6.0)
    lines = [line(PRESS, 4, credits=CREDITS[PRESS]), line(RAISE, 4, credits=CREDITS[RAISE], trains="side")]
    dose = head_dose("side", planned=5).model_copy(update={"beyond": 1.0})  # presses give 2, 1 counts
    week = small_document({"Mon": lines}, "2026-W45", dose=[dose])
    (side,) = delivered_week(week, done(PRESS, 4), {}).heads
    assert (side.planned, side.delivered) == (5, 1)


def test_what_was_done_in_place_of_what_is_said_by_day(library):
    plan = small_document({"Mon": [line("seated_dumbbell_overhead_press", 3, trains="front")], "Thu": []})
    monday = datetime.date.fromisoformat(plan.week_start)
    keys = ("seated_barbell_overhead_press", "standing_dumbbell_lateral_raise")
    rows = [LoggedSet(monday, "Mon", key, 1, reps=8) for key in keys]
    assert list(done_otherwise(plan, rows, library)) == [
        "Mon: Seated barbell overhead press in place of seated_dumbbell_overhead_press",
        "Mon: Standing dumbbell lateral raise was not planned",
    ]
    earlier = rows[0]._replace(date=monday - datetime.timedelta(days=7))
    again = list(done_otherwise(plan, [*rows, earlier], library))
    assert [f'prefer = ["{keys[0]}"]' in line for line in again] == [True, False]


def test_which_sets_count_and_what_other_exercises_give(library):
    assert delivered_week(document(), done(PRESS, 3, day=8), {}).done_as_planned == 3  # on another day
    rows = [*done(PRESS, 1, reps=0), *done(PRESS, 2, day=3, reps=None)]  # stopped, not written
    rows += [*done(PRESS, 3, day=9), clearance(PRESS, datetime.date(2026, 11, 4))]  # the week after
    found = delivered_week(document(), rows, {})
    assert (found.done_as_planned, found.other_sets) == (0, 0)
    found = delivered_week(document(), done("fly", 2) + done("juggling", 1), {"fly": {"side": 0.25}})
    assert found.heads[1].delivered == pytest.approx(0.5) and found.other_sets == 3
    # a press in place of another is no help that is beyond its share
    plan = small_document({"Mon": [line(PRESS, 3, credits=CREDITS[PRESS], trains="front")]}, "2026-W45")
    over = head_dose("front", planned=3).model_copy(update={"beyond": 1.0})
    key = "seated_barbell_overhead_press"
    rows, credits = done(key, 3), {key: {"front": 1.0}}
    (front,) = delivered_week(plan.model_copy(update={"dose": (over,)}), rows, credits, library).heads
    assert front.delivered == 3


@given(press=st.integers(0, 8), raises=st.integers(0, 12))
def test_sets_are_dealt_once(press, raises):
    found = delivered_week(document(), done(PRESS, press) + done(RAISE, raises), {})
    assert found.done_as_planned + found.other_sets == press + raises
    assert found.done_as_planned == min(press, 3) + min(raises, 6)
    assert found.heads[1].delivered == pytest.approx(0.5 * press + raises)


# --- The small charts: what stands where, and that it is told in words too
WEEKS = ["2026-W47", "2026-W48", "2026-W49"]


def of(svg, element, name):
    """The numbers of an attribute of all such elements."""
    return [float(number) for number in re.findall(rf'<{element} [^>]*?\b{name}="([\d.]+)"', svg)]


def words(svg):
    return re.findall(r"<text [^>]*>([^<]*)</text>", svg)


@given(low=st.floats(0, 500), span=st.floats(0.01, 500))
def test_ticks_always_frame_the_values(low, span):
    found = ticks(low, low + span)
    assert found[0] <= low + 1e-6
    assert found[-1] >= low + span - 1e-6
    assert 2 <= len(found) <= 7


def test_bars_marks_and_bands_stand_at_their_values_and_pain_not_written_is_a_dash():
    chart = dose_chart("Side", WEEKS, [10, 5, 0], [10, 10, None])
    assert ticks(0, 10) == (0, 2.5, 5, 7.5, 10)
    full, half, none = of(chart, "rect", "height")
    assert (half, none) == (pytest.approx(full / 2), 0)
    assert of(chart, "line", "y1")[-2:] == [of(chart, "rect", "y")[0]] * 2  # planned 10 twice
    assert "2026-W48 5.0 of 10.0, 2026-W49 0.0." in chart
    chart = pain_chart(WEEKS, [None, 0, 10], 2, 5)
    assert words(chart).count("–") == 1
    zero, ten = of(chart, "rect", "height")
    assert 0 < zero < ten / 30
    assert "not written" in chart
    assert {"above 2: reduce", "above 5: out"} <= set(words(chart))
    chart = maximum_chart("Press", "kg", WEEKS, [28, None, 30], 0.1)
    dots = of(chart, "circle", "cy")
    band = re.findall(r'points="([^"]*)"', chart)[0].split()
    ys = [float(point.split(",")[1]) for point in band]
    assert len(dots) == 2
    assert ys[0] < dots[0] < ys[-1]
    assert "30 kg" in words(chart)


def test_no_week_name_covers_the_next():
    chart = dose_chart("Side", [f"2026-W{n:02d}" for n in range(1, 27)], [1.0] * 26, [None] * 26)
    places = sorted(float(x) for x in re.findall(r'<text x="([\d.]+)"[^>]*>W\d', chart))
    assert min(right - left for left, right in pairwise(places)) >= 44
