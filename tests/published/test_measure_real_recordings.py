"""Real surface-EMG recordings that nobody here made (open licences), against values computed once with scipy.

The recordings lie beside the project in ../shared/emg_open, or where the environment variable PLANNER_EMG_OPEN
points; they are not part of it, so elsewhere these tests are skipped.
"""

import csv
import os
import shutil
from pathlib import Path

import numpy as np
import pytest
from shipped import shipped_library

from planner.emg.figures import median_frequency, slope
from planner.emg.measuring import measure_session
from planner.emg.quality import check_channel
from planner.emg.readers import read_c3d, read_csv, read_edf
from planner.emg.repetitions import course_of, find_bursts, from_course
from planner.emg.session import Card, Motion, read_session
from planner.emg.signals import Amplitude, clean, envelope, moving_rms, odd_samples, runs
from planner.method import MeasureSettings, QualitySettings

OPEN = Path(os.environ.get("PLANNER_EMG_OPEN", Path(__file__).parents[2].parent / "shared" / "emg_open"))
if not OPEN.is_dir():
    pytest.skip(f"the open recordings are not here ({OPEN})", allow_module_level=True)

S, Q = MeasureSettings(), QualitySettings()


HEADS = ("deltoid_anterior", "deltoid_middle", "deltoid_posterior", "trapezius_upper")


def recording(name, **how):
    file = OPEN / name
    if file.suffix == ".edf":
        return read_edf(file)
    if file.suffix == ".c3d":
        pytest.importorskip("ezc3d", reason="the optional extra c3d is not installed")
        return read_c3d(file)
    return read_csv(file, QualitySettings(), Card(athlete="A", date="2026-11-20", **how))


def cleaned(found, label):
    channel = found.channel(label)
    signal = clean(channel.values, channel.rate_hz, S)
    return signal, Amplitude(envelope(signal, channel.rate_hz, S), channel.rate_hz)


def arm(name, channel="arm_elevation_deg"):
    """A recording of motion, and its smoothed course."""
    motion = recording(name)
    return motion, course_of(motion, Motion(kind="angle", channels=(channel,)), S, falling=False)


def expected(name):
    """Yield what, value and tolerance of every row of expected.csv of one recording."""
    with (OPEN / "expected.csv").open(encoding="utf-8") as stream:
        for row in (row for row in csv.DictReader(stream) if row["recording"] == name):
            value, text = float(row["value"]), row["tolerance"]
            within = abs(value) * float(text[:-1]) / 100 if text.endswith("%") else float(text)
            yield (row["channel"], row["measure"]), value, within


RAISE, LOWER = (2.35, 4.69), (5.17, 7.0)
WELCH = "median frequency, whole file (Welch 1 s, 20-450 Hz)"


def abduction():
    values = {}
    emg = recording("abduction_emg.csv")
    for name in HEADS:
        signal, amplitude = cleaned(emg, f"{name}_mV")
        lift, lower = amplitude.total(RAISE), amplitude.total(LOWER)
        rectified = Amplitude(np.abs(signal), amplitude.rate_hz)
        values |= {
            (name, "rest RMS 0-1 s"): np.sqrt(Amplitude(signal**2, amplitude.rate_hz).mean((0, 1))),
            (name, "mean envelope, raise"): amplitude.mean(RAISE),
            (name, "mean envelope, lower (5.17 s to end of file)"): amplitude.mean(LOWER),
            (name, "peak 0.5 s mean"): amplitude.peak(0.5),
            (name, "integrated envelope, raise"): lift,
            (name, "integrated envelope, lower (5.17 s to end of file)"): lower,
            (name, "eccentric share lower/(raise+lower)"): lower / (lift + lower),
            (name, "mean ARV / mean moving RMS, raise"): rectified.mean(RAISE) / amplitude.mean(RAISE),
        }
    motion, course = arm("abduction_motion.csv")
    (only,) = from_course(course, S)
    raw = motion.channel("arm_elevation_deg").values
    return values | {
        ("arm elevation", "start, angle at"): course.values[0],
        ("arm elevation", "maximum (6 Hz filtered)"): course.values.max(),
        ("arm elevation", "time of maximum"): course.values.argmax() / course.rate_hz,
        ("arm elevation", "raise starts"): only.lift[0], ("arm elevation", "raise ends"): only.lift[1],
        ("arm elevation", "lower starts"): only.lower[0], ("arm elevation", "last angle"): raw[-1],
    }  # fmt: skip


def box_lift():
    values = {}
    emg = recording("box_lift_emg.csv")
    for name in HEADS:
        signal, amplitude = cleaned(emg, f"{name}_mV")
        values |= {
            (name, "rest RMS 4.95-5.8 s"): np.sqrt(Amplitude(signal**2, amplitude.rate_hz).mean((4.95, 5.8))),
            (name, "mean envelope, whole file"): amplitude.mean(),
            (name, "peak 0.5 s mean"): amplitude.peak(0.5),
            (name, "time of peak 0.5 s window centre"): amplitude.peak_second(0.5),
            (name, WELCH): median_frequency(signal, amplitude.rate_hz, S),
        }
    _, course = arm("box_lift_motion.csv")
    return values | {
        ("arm elevation", "maximum"): course.values.max(),
        ("arm elevation", "time of maximum"): course.values.argmax() / course.rate_hz,
    }


def biceps(name):
    channel = recording(f"{name}.csv").channel("emg_mV")
    signal = clean(channel.values, channel.rate_hz, S)
    found = find_bursts(envelope(signal, channel.rate_hz, S), channel.rate_hz, S)
    low, high = channel.values.min(), channel.values.max()
    said = " ".join(f.words for f in check_channel(name, channel, Q, S) if f.check == "clipping")
    values = {
        ("biceps", "bursts"): len(found),
        ("biceps", "samples at lowest code"): int((channel.values == low).sum()) * ("lowest" in said),
        ("biceps", "samples at highest code"): int((channel.values == high).sum()) * ("highest" in said),
        ("biceps", "first burst starts"): found[0].start,
        ("biceps", "last burst ends"): found[-1].stop,
    }
    if name == "biceps_30_reps":
        # SOURCES.md takes its burst figures between crossings of this threshold
        smooth = moving_rms(signal, odd_samples(0.25, 1000))
        spans = runs(smooth > 0.15 * np.quantile(smooth, 0.95), 1000, 1500)
        parts = [signal[round(a * 1000) : round(b * 1000)] for a, b in spans]
        levels = [float(np.sqrt(np.mean(part**2))) for part in parts]
        medians = [median_frequency(part, channel.rate_hz, S) for part in parts]
        values |= {
            ("biceps", "median frequency, first 3 bursts"): float(np.mean(medians[:3])),
            ("biceps", "median frequency, last 3 bursts"): float(np.mean(medians[-3:])),
            ("biceps", "median frequency slope per burst (least squares)"): slope(medians)[0],
            ("biceps", "burst RMS slope per burst"): slope(levels)[0],
            ("biceps", "burst RMS mean"): float(np.mean(levels)),
        }
    return values


def goniometer():
    _, course = arm("elbow_goniometer.csv", "flexion_adc")
    found = from_course(course, S)
    values = {("flexion", "repetitions"): len(found)}
    names = "raise starts,raise ends,lower starts,lower ends"
    for number, one in enumerate(found, 1):
        times = zip(names.split(","), (*one.lift, *one.lower), strict=True)
        values |= {(f"flexion rep {number}", name): second for name, second in times}
    return values


def short_emg():
    found = recording("short_emg_1000hz.csv", time_column="column 1")
    _, amplitude = cleaned(found, "column 2")
    return {
        ("emg", "samples"): len(found.channel("column 2").values),
        ("emg", "mean envelope"): amplitude.mean(),
        ("emg", "peak 0.5 s mean"): amplitude.peak(0.5),
    }


def weak_signal():
    found = recording("weak_signal_12bit.txt", rate_hz=1000.0)
    signal, amplitude = cleaned(found, "column 1")
    power = Amplitude(signal**2, amplitude.rate_hz)
    findings = check_channel("weak", found.channel("column 1"), Q, S)
    (finding,) = [f for f in findings if f.check == "poor range"]
    return {
        ("emg", "distinct ADC codes"): finding.value,
        ("emg", "RMS 0-30 s"): np.sqrt(power.mean((0, 30))),
        ("emg", "RMS 50-57 s"): np.sqrt(power.mean((50, 57))),
    }


MEASURED = {
    "abduction": abduction, "box_lift": box_lift, "biceps_30_reps": lambda: biceps("biceps_30_reps"),
    "biceps_9_bursts": lambda: biceps("biceps_9_bursts"), "elbow_goniometer": goniometer,
    "short_emg_1000hz": short_emg, "weak_signal_12bit": weak_signal,
}  # fmt: skip


@pytest.mark.parametrize("name", MEASURED)
def test_expected_values(name):
    """Every row of expected.csv of this recording, within its own tolerance; all misses are told at once."""
    values, wanted = MEASURED[name](), list(expected(name))
    missed = [(what, value, values[what]) for what, value, tolerance in wanted
              if abs(values[what] - value) > tolerance + 1e-12]  # fmt: skip
    assert wanted and not missed


def measured(folder, text, *files):
    for file in files:
        shutil.copy(OPEN / file, folder / file)
    (folder / "session.toml").write_text(text, encoding="utf-8")
    return measure_session(read_session(folder, shipped_library()))


HEAD = '[session]\nathlete = "open recording"\ndate = 2000-01-01\n'


def sensors(**channels):
    line = '[[sensor]]\nchannel = "{}"\nmuscle = "{}"\nside = "right"\n'
    return "".join(line.format(label, muscle) for muscle, label in channels.items())


def test_abduction_is_called_cut_off_by_its_motion_and_by_its_annotations(tmp_path):
    text = HEAD + sensors(front="EMG DeltAnt", side="EMG DeltMid", rear="EMG DeltPost")
    text += '[motion]\nkind = "angle"\nchannels = ["Arm elevation"]\n'
    text += '[[trial]]\nfile = "abduction.edf"\nrepetitions = 1\n'
    text += 'exercise = "standing_dumbbell_lateral_raise"\n'
    for split in ("motion", "marks"):
        folder = tmp_path / split
        folder.mkdir()
        found = measured(folder, text + f'split = "{split}"\n', "abduction.edf")
        (only,) = found.trials
        assert [r.cut_off for r in only.repetitions] == ["at the end"]
        cut = [fault for fault in found.faults if "cut off at the end" in fault.read]
        assert any("second 6.99" in fault.where for fault in cut)
        others = [channel for muscle, channel in only.channels.items() if "rear" not in muscle]
        assert all("cut off" in channel.untrusted for channel in others)
        rear = [f for f in found.findings if f.check == "loose sensor or cable"]
        assert [f.channel for f in rear] == ["EMG DeltPost"]
        assert rear[0].second == pytest.approx(3.95, abs=0.3)


def test_box_lift_is_one_repetition(tmp_path):
    pytest.importorskip("ezc3d", reason="the optional extra c3d is not installed")
    deltoid = {"front": "Delt_ant.EMG1", "side": "Delt_med.EMG2", "rear": "Delt_post.EMG3"}
    text = HEAD + sensors(**deltoid, upper_trapezius="Trap_sup.EMG6")
    text += '[[trial]]\nfile = "box_lift.c3d"\nexercise = "standing_dumbbell_front_raise"\nrepetitions = 1\n'
    text += 'motion_file = "box_lift_motion.csv"\n'
    text += 'motion = { kind = "angle", channels = ["arm_elevation_deg"] }\n'
    found = measured(tmp_path, text, "box_lift.c3d", "box_lift_motion.csv")
    (only,) = found.trials
    assert not found.faults
    assert len(only.repetitions) == 1 and only.repetitions[0].whole
    assert set(only.channels) == {"front right", "side right", "rear right", "upper_trapezius right"}


def test_c3d_has_its_dead_channels_named():
    found = recording("box_lift.c3d")
    fast = [channel for channel in found.channels.values() if channel.rate_hz == 2000]
    assert sum("flat channel" in {f.check for f in check_channel("box", c, Q, S)} for c in fast) == 19
    same = recording("box_lift_emg.csv").channel("deltoid_middle_mV")
    ours = found.channel("Delt_med.EMG2").in_millivolts()
    assert ours.values == pytest.approx(same.values, abs=2e-6)


def test_few_codes_are_named_and_the_set_is_not_used(tmp_path):
    text = HEAD + "rate_hz = 1000\n" + sensors(side="column 1")
    text += '[[trial]]\nfile = "weak_signal_12bit.txt"\nexercise = "standing_dumbbell_lateral_raise"\n'
    text += "repetitions = [[50, 53, 51.5], [54, 57, 55.5]]\n"
    found = measured(tmp_path, text, "weak_signal_12bit.txt")
    assert any(f.check == "poor range" and f.level == "fail" and "33" in f.words for f in found.findings)
    assert not found.trials[0].channels  # it can give no reference either: the fault says so
    assert any("nothing to be compared with" in fault.read for fault in found.faults)


def test_logger_export_with_two_rates_and_lines_before_its_header():
    found = recording("two_sensors_multirate.csv")
    emg, tilt = found.channel("Mini sensor 10: EMG 10"), found.channel("Mini sensor 10: ACC.X 10")
    assert (emg.rate_hz, len(emg.values)) == (pytest.approx(1259.259, abs=0.01), 2519)
    assert (tilt.rate_hz, len(tilt.values)) == (pytest.approx(148.148, abs=0.01), 297)
    assert not emg.gaps and emg.uneven is None
    checks = {f.check for f in check_channel("two", emg, Q, S)}
    assert {"drop-out", "mains hum"} <= checks


def test_heartbeat_is_found_in_the_trunk_muscles_alone():
    found = recording("abduction_emg.csv")
    checks = {n: {f.check for f in check_channel("abduction", c, Q, S)} for n, c in found.channels.items()}
    with_heart = {label for label, names in checks.items() if "heartbeat" in names}
    assert with_heart == {"pectoralis_major_mV", "latissimus_dorsi_mV"}
