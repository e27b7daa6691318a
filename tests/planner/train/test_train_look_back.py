"""The summary of a whole log, against the same figures counted line by line."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.log.file import append_to_log, read_frame, read_log
from planner.log.record import CLEARED, KINDS, LoggedSet
from planner.train.delivered import WeekDone, is_done, look_back
from planner.train.loads import FORMULAS

DAY = datetime.date(2026, 11, 30)
CREDITS = {"press": {"front": 1.0, "side": 0.5}, "raise": {"side": 1.0}}


def summary(folder, sick=()):
    return look_back(read_frame(folder), CREDITS, ("front", "side"), ["press"], sick=sick)


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
            dose = sum(CREDITS.get(row.exercise, {}).get(head, 0.0) for row in done)
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
