"""Readers and repetitions: separators, rates, EDF+, BDF; motion, marks, lists, bursts, tempo; the reference; what is wrong."""

from itertools import product

import edfio
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from library.errors import FaultyInput
from planner.emg.figures import ReferenceLevel, choose_reference, reach
from planner.emg.measuring import measure_session
from planner.emg.readers import read_csv, read_edf
from planner.emg.repetitions import course_of, from_course, from_marks
from planner.emg.session import Card, MarkWords, Motion, tables
from planner.emg.signals import Channel, Mark, Recording
from planner.method import MeasureSettings, QualitySettings

LIMITS = QualitySettings()
ROWS = [(0.0, 1.5, -2.25), (0.001, 1.25, 0.5), (0.002, -3.5, 0.125), (0.003, 4.0, 8.0)]
HEADER = ("time_s", "EMG side (mV)", "angle_deg")


def read(file, content=None, labels=None, **how):
    if content is not None:
        file.write_text(content)
    return read_csv(file, LIMITS, Card(athlete="A", date="2026-11-20", **how), labels=labels)


@pytest.fixture
def file(tmp_path):
    return tmp_path / "a.csv"


@pytest.mark.parametrize(("separator", "decimal"), [(",", "."), *product(";\t", ".,")])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_every_way_of_writing_reads_the_same(file, separator, decimal, encoding, newline):
    rows = [[f"{value:.4f}".replace(".", decimal) for value in row] for row in ROWS]
    text = "".join(separator.join(cells) + "\n" for cells in (HEADER, *rows))
    file.write_text(text, encoding=encoding, newline=newline)
    found = read(file)
    assert list(found.channels) == ["EMG side (mV)", "angle_deg"]
    emg = found.channel("EMG side (mV)")
    assert emg.values == pytest.approx([row[1] for row in ROWS])
    assert (emg.rate_hz, emg.unit) == (1000, "mV")


def test_the_stated_rate_counts_without_header_or_time_and_each_column_may_have_its_own(file):
    assert read(file, "# exported\n1.0\n2.0\n3.0\n", rate_hz=500.0).channel("column 1").rate_hz == 500
    with pytest.raises(FaultyInput, match="no time column and no rate"):
        read(file)
    slow = [f"{number / 10},{number}" if number < 20 else "," for number in range(100)]
    lines = [f"{number / 100},{number},{slow[number]}" for number in range(100)]
    found = read(file, "\n".join(["X[s],emg,X[s],tilt", *lines]))
    assert (found.channel("emg").rate_hz, len(found.channel("emg").values)) == (100, 100)
    assert (found.channel("tilt").rate_hz, len(found.channel("tilt").values)) == (10, 20)


@pytest.mark.parametrize(("content", "said"), [
    ("", "is empty"), ("\n\n", "is empty"), ("time_s|x\n0|1\n0.1|2\n", "no line of numbers separated by"),
    ("time_s,x\n0,1\n0.1,oops\n0.2,3\n", 'line 3, column "x": read "oops"'),
    ("time_s,x\n0,1\n0.2,2\n0.1,3\n", "time runs backwards"),
    ("time_s,x\n0,1\n0.1,2,3,4,5\n", "cannot be read"), ("time_s,x\n0,1\n,2\n0.2,3\n", "its time is missing"),
])  # fmt: skip
def test_wrong_csv_is_told(file, content, said):
    with pytest.raises(FaultyInput, match=r"a\.csv") as caught:
        read(file, content)
    assert said in str(caught.value)


def test_text_harms_nothing_in_a_column_that_nobody_names_and_has_a_type_of_its_own_from_pandas_3_on(file):
    content = "time_s,x,note\n0,1,5\n0.1,2,a word\n0.2,3,\n"
    assert read(file, content, labels={"x"}).channel("x").values == pytest.approx([1, 2, 3])
    with pytest.raises(FaultyInput, match="a word"):
        read(file, labels={"x", "note"})
    pandas = pytest.importorskip("pandas")
    with pandas.option_context("future.infer_string", True):
        assert read(file, "time_s,x\n0,1\n0.1, 2 \n0.2,3\n").channel("x").values == pytest.approx([1, 2, 3])
        with pytest.raises(FaultyInput, match='read "oops"'):
            read(file, "time_s,x\n0,1\n0.1,oops\n0.2,3\n")


def test_gaps_are_bridged_and_a_part_of_a_file_must_lie_inside_it(file):
    times = np.delete(np.arange(100) / 100, range(40, 50))
    channel = read(file, "time_s,x\n" + "\n".join(f"{t:.4f},{t:.4f}" for t in times)).channel("x")
    assert channel.values == pytest.approx(np.arange(100) / 100, abs=1e-6)
    assert channel.gaps == (pytest.approx((0.39, 0.5)),)
    whole = read(file, "time_s,x\n" + "\n".join(f"{n / 10},{n}" for n in range(50)))
    assert whole.between(1.0, 2.0).channel("x").values == pytest.approx(np.arange(10, 20))
    with pytest.raises(FaultyInput, match="does not lie"):
        whole.between(1.0, 9.0)


@pytest.fixture(params=["edf", "bdf"])
def written(request, tmp_path):
    """An EDF or BDF file of two rates with marks, and the signals in it."""
    kind, whole = (getattr(edfio, f"{request.param.title()}{end}") for end in ("Signal", ""))
    random, unit = np.random.default_rng(1), {"physical_dimension": "mV", "physical_range": (-2.0, 2.0)}
    values = {rate: np.clip(random.standard_normal(rate * 3), -2, 2) for rate in (1000, 100)}
    signals = [kind(value, rate, label=f"s{rate}", **unit) for rate, value in values.items()]
    marks = [edfio.EdfAnnotation(1.0, 0.5, "lift"), edfio.EdfAnnotation(0.25, None, "go")]
    whole(signals, annotations=marks).write(file := tmp_path / f"a.{request.param}")
    return file, signals


def test_edf_and_bdf_keep_all_and_a_truncated_one_names_the_second(written):
    file, signals = written
    found = read_edf(file)
    for signal, rate in zip(signals, (1000, 100), strict=True):
        channel = found.channel(f"s{rate}")
        assert (channel.rate_hz, channel.unit, channel.ends) == (rate, "mV", (-2.0, 2.0))
        assert channel.values == pytest.approx(signal.data, abs=1e-4)
    assert {(m.onset, m.duration, m.text) for m in found.marks} == {(0.25, 0.0, "go"), (1.0, 0.5, "lift")}
    whole = written[0].read_bytes()
    truncated = "all channels, second 2.0: is truncated: 3 records promised, 2 whole ones found"
    header = "no EDF or BDF file, or its header is cut"
    for data, said in ((whole[:-500], truncated), (whole[:100], header), (b"", "is empty")):
        written[0].write_bytes(data)
        with pytest.raises(FaultyInput, match=said):
            read_edf(written[0])


# --- Repetitions and phases: motion, marks, the coach's list, bursts; a stated tempo; cut-off ones
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


# --- The reference: largest half second over all trials of all tests; short sets, retests, spikes, flaws, no reference
WANTED = tuple(tables()["wanted"])
TEST_SET_2008 = ("empty_can", "internal_rotation_90", "flexion_125", "palm_press")


def levels(tests, best=1.0, trials=3):
    """Trials of each test, the last test the largest."""
    heights = [(test, best * (0.5 + 0.5 * place / len(tests))) for place, test in enumerate(tests, 1)]
    known = [(f"{test}_{n}.edf", test, top * (1 - 0.03 * n)) for test, top in heights for n in range(trials)]
    return [ReferenceLevel(*one, 3.0, 1.2) for one in known]


def test_the_largest_of_all_trials_of_all_tests_counts_and_a_full_set_is_not_blamed():
    chosen = choose_reference("rear right", "rear", 1, levels(WANTED), S)
    assert (chosen.level, chosen.file) == (1.0, "prone_horizontal_abduction_90_0.edf")
    assert chosen.second_best == pytest.approx(0.97)
    assert chosen.warnings == ()


AGAIN = ReferenceLevel("again.edf", WANTED[-1], 1.2, 3.0, 1.2)


@pytest.mark.parametrize(("head", "trials", "said"), [
    ("rear", levels(TEST_SET_2008), ("63 % of own maximum", "1.59 times too high")),
    ("side", levels(["abduction_90"]), ("85 %", "1.18 times too high")),
    ("rear", levels(["flexion_90"]), ("no recorded test is known to load this head",)),
    ("rear", [*levels(WANTED), AGAIN], ("20 % above the second best: record another",)),
    ("rear", levels(WANTED, trials=1), ("one trial only of its best test",)),
])  # fmt: skip
def test_a_short_set_and_a_best_trial_without_a_second_are_named(head, trials, said):
    """The four tests of 2008: 63 % of own maximum in the mean, computed from an open table (reference_tests.toml)."""
    assert reach(TEST_SET_2008, "rear") == ("the four tests of 2008 (doi 10.1002/jor.20675)", 63)
    (words,) = choose_reference(f"{head} right", head, 1, trials, S).warnings
    assert all(part in words for part in said)


@pytest.mark.parametrize(("flaw", "said"), [("spike", "second 3.0"), ("clipping", "clipping")])
def test_a_trial_with_a_spike_or_a_failed_check_never_gives_the_reference(lab, flaw, said):
    references = lab.holds()
    hold = lab.hold(1, scale=1.0 if flaw == "spike" else 1.5)
    hold[3000:3020] += 12 if flaw == "spike" else 0
    lab.csv("h1.csv", side_mV=hold if flaw == "spike" else np.clip(hold, -1.2, 1.2))  # the largest effort
    session = lab.measure(lab.trial(lab.set("a.csv")), *references)
    assert session.references["side right", 1].file in ("h0.csv", "h2.csv")
    (words,) = [words for words in session.warnings if "h1.csv" in words]
    assert "does not give the reference" in words and said in words


def test_without_reference_the_sessions_highest_counts_and_says_so(lab):
    lab.set("low.csv", 1, scale=0.2)
    lab.set("high.csv", 2, scale=0.4)
    session = lab.measure(lab.trial("low.csv"), lab.trial("high.csv"))
    reference = session.references["side right", 1]
    assert (reference.unit, reference.file) == ("percent_session_max", "high.csv")
    assert any("these rows pool as ratios only" in words for words in session.warnings)
    low, high = (trial.channels["side right"] for trial in session.trials)
    assert high.mean_of("peak") == pytest.approx(97, abs=3)
    assert low.mean_of("mean") / high.mean_of("mean") == pytest.approx(0.5, abs=0.03)


def test_left_and_right_have_their_own_reference(lab):
    angle, effort = lab.course()
    lab.csv("a.csv", l=lab.noise(effort, 1, 0.5), r=lab.noise(effort, 2, 0.5), arm_deg=angle)
    for number in range(3):
        lab.csv(f"h{number}.csv", l=lab.hold(number, scale=2.0), r=lab.hold(9 + number, scale=1.0))
    left, right = (lab.sensor.replace("side_mV", channel) for channel in "lr")
    sensors = left.replace('"right"', '"left"') + right
    holds = [lab.reference(f"h{n}.csv") for n in range(3)]
    parts = [lab.card, sensors, lab.motion, lab.trial("a.csv"), *holds]
    session = measure_session(lab.read(*parts))
    left, right = (session.trials[0].channels[f"side {side}"].mean_of("mean") for side in ("left", "right"))
    assert right / left == pytest.approx(2, rel=0.05)
    one_arm = measure_session(lab.read(*parts[:3], lab.trial("a.csv", side='"left"'), *parts[4:]))
    assert list(one_arm.trials[0].channels) == ["side left"]
