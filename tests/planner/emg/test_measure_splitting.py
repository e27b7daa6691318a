"""Repetitions and phases: motion, marks, the coach's list, bursts; a stated tempo; cut-off ones."""

import edfio
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.emg.repetitions import course_of, from_course, from_marks
from planner.emg.session import MarkWords, Motion
from planner.emg.signals import Channel, Mark, Recording
from planner.method import MeasureSettings

S = MeasureSettings()
TEMPO = "{ lift = 1, lower = 2 }"


def only(found):
    assert len(found.trials) == 1, found.faults
    return found.trials[0]


def test_motion_parts_a_set_and_a_falling_channel_is_turned(lab):
    trial = only(lab.measure(lab.trial(lab.set("a.csv"), repetitions=4, tempo=TEMPO)))
    assert len(trial.repetitions) == 4
    for number, one in enumerate(trial.repetitions):
        begin = 1 + 3.5 * number
        assert one.source == "motion" and not one.assumed and not one.cut_off
        assert one.lift == pytest.approx((begin + 0.05, begin + 0.95), abs=0.03)
        assert one.lower == pytest.approx((begin + 1.1, begin + 2.9), abs=0.03)
    share = trial.channels["side right"].mean_of("eccentric_share")
    assert share == pytest.approx(0.8 * 1.8 / (0.9 + 0.8 * 1.8), abs=0.02)
    angle, effort = lab.course()
    lab.csv("a.csv", side_mV=lab.noise(effort, 1), arm_deg=180 - angle)
    trial = only(lab.measure(lab.trial("a.csv", repetitions=4, lift='"falling"')))
    assert trial.repetitions[0].lift == pytest.approx((1.05, 1.95), abs=0.03)


def test_an_accelerometer_becomes_tilt_and_lowering_first_is_one_repetition_too():
    still, arc = np.zeros(200), np.sin(np.linspace(0, np.pi, 400)) * 95
    angle = np.radians(np.concatenate([still, arc, arc, arc, still]))
    axes = {"along": np.sin(angle), "across": np.cos(angle)}
    recording = Recording("a", {name: Channel(name, 100, values, "g") for name, values in axes.items()})
    course = course_of(recording, Motion(kind="accelerometer", channels=tuple(axes)), S, falling=False)
    assert course.unit == "deg" and course.values.max() == pytest.approx(95, abs=4)
    assert len(from_course(course, S)) == 3
    marks = Mark(1, 2, "lower"), Mark(3, 1, "  Lift 3"), Mark(4.5, 1, "coffee"), Mark(5, 2, "eccentric")
    still = {"side": Channel("side", 10, np.zeros(200))}
    whole, cut = from_marks(Recording("a", still, marks), MarkWords())
    assert (whole.start, whole.stop, whole.cut_off) == (1, 4, "") and cut.cut_off


def test_the_coachs_list_overrides_motion_and_a_marker_channel_is_read_by_its_codes(lab):
    listed = "[[1.0, 4.0, 2.0], [4.5, 7.5], [8.0, 11.0, 9.0]]"
    trial = only(lab.measure(lab.trial(lab.set("a.csv"), repetitions=listed)))
    first, second, _ = trial.repetitions
    assert {r.source for r in trial.repetitions} == {"stated list"}
    assert (first.lift, first.lower, second.lift) == ((1.0, 2.0), (2.0, 4.0), None)
    shares = [r.eccentric_share for r in trial.channels["side right"].repetitions]
    assert shares[0] == pytest.approx(1.6 / 2.6, abs=0.03) and shares[1] is None
    _, effort = lab.course(2)
    codes = np.zeros(len(effort))
    for begin in (1000, 4500):
        codes[begin : begin + 1000], codes[begin + 1000 : begin + 3000] = 1, 3
    lab.csv("a.csv", side_mV=lab.noise(effort, 1), trigger=codes)
    trial = only(lab.measure(lab.trial("a.csv", repetitions=2), '[marks]\nchannel = "trigger"\n'))
    assert phases(trial.repetitions[1]) == pytest.approx((4.5, 5.5, 5.5, 7.5), abs=0.01)


def marked(lab, marks):
    """A set of 15 s without motion, its marks as EDF annotations."""
    values, how = lab.noise(lab.course()[1], 1)[:15000], {"label": "side_mV", "physical_dimension": "mV"}
    signal = edfio.EdfSignal(values, 1000, **how)
    annotations = [edfio.EdfAnnotation(*mark) for mark in marks]
    edfio.Edf([signal], annotations=annotations).write(lab.folder / "a.edf")
    return "a.edf"


def phases(repetition):
    return (*repetition.lift, *repetition.lower)


def test_marks_part_a_set_with_durations_or_until_the_next_and_bare_ones_take_the_stated_tempo(lab):
    starts = (1.0, 4.5, 8.0)
    marks = [mark for a in starts for mark in ((a, 1.0, "Raise"), (a + 1, 2.0, "lower"))]
    trial = only(lab.measure(lab.trial(marked(lab, marks), repetitions=3)))
    assert [r.source for r in trial.repetitions] == ["marks"] * 3
    assert phases(trial.repetitions[1]) == pytest.approx((4.5, 5.5, 5.5, 7.5))
    assert trial.channels["side right"].mean_of("eccentric_share") == pytest.approx(1.6 / 2.6, abs=0.02)
    marks = [(0.5, None, "start of set"), (1.0, None, "up"), (2.0, None, "down"), (4.0, None, "rest")]
    trial = only(lab.measure(lab.trial(marked(lab, marks), repetitions=1)))
    assert phases(trial.repetitions[0]) == pytest.approx((1.0, 2.0, 2.0, 4.0))
    file = marked(lab, [(1.0, 3.0, "rep 1"), (4.5, 3.0, "rep 2")])
    empty = only(lab.measure(lab.trial(file)))
    assert all(r.lift is None for r in empty.repetitions) and not empty.assumed
    assumed = only(lab.measure(lab.trial(file, tempo=TEMPO)))
    assert assumed.assumed and phases(assumed.repetitions[0]) == pytest.approx((1.0, 2.0, 2.0, 4.0))


def test_a_set_without_marks_is_named_and_cut_off_repetitions_do_not_count(lab):
    lab.csv("a.csv", side_mV=lab.noise(lab.course()[1], 1))
    found = lab.measure(lab.trial("a.csv"), lab.trial(lab.set("b.csv")))
    assert [t.trial.file for t in found.trials] == ["b.csv"]
    assert "no motion channel, no marks and no stated count" in found.faults[0].read
    angle, effort = lab.course(4)
    cut = slice(1600, 13_000)  # from the middle of the first lift to the middle of the last lowering
    lab.csv("a.csv", side_mV=lab.noise(effort, 1)[cut], arm_deg=angle[cut])
    trial = only(lab.measure(lab.trial("a.csv")))
    assert [r.cut_off for r in trial.repetitions] == ["at the start", "", "", "at the end"]
    figures = trial.channels["side right"]
    assert figures.repetitions[0].left_out == "cut off at the start of the file"
    assert len(figures.counted) == 2


@given(
    st.integers(1, 8), st.floats(0.4, 3), st.floats(0.4, 4), st.floats(0.5, 500), st.floats(-200, 200),
    st.integers(0, 99),
)  # fmt: skip
def test_repetitions_do_not_depend_on_unit_or_offset(count, lift, lower, scale, offset, seed):
    rate, still = 50, np.zeros(50)
    up, down = np.linspace(0, 1, round(lift * rate)), np.linspace(1, 0, round(lower * rate))
    values = np.concatenate([still, np.tile(np.concatenate([up, down, still[:25]]), count), still])
    values += 0.002 * np.random.default_rng(seed).standard_normal(len(values))
    found, scaled = (from_course(Channel("arm", rate, v), S) for v in (values, scale * values + offset))
    assert len(found) == len(scaled) == count
    for one, other in zip(found, scaled, strict=True):
        assert (one.start, one.stop) == pytest.approx((other.start, other.stop), abs=1.5 / rate)
        assert not one.cut_off and one.start <= one.lift[1] <= one.lower[0] <= one.stop
