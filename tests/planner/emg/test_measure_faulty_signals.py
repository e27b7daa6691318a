"""What spoils signals without anybody's noticing, on signals made by another generator than the demo's."""

import numpy as np
import pytest
from emg_signal import RATE, emg, heart, hold, repetitions

from planner.emg.measuring import measure_session
from planner.emg.quality import check_channel, find_beats
from planner.emg.signals import Channel, clean, envelope
from planner.method import MeasureSettings, QualitySettings

S, Q = MeasureSettings(), QualitySettings()
RAISE, PRESS = "standing_dumbbell_lateral_raise", "seated_dumbbell_overhead_press"


def checks(values):
    return {f.check: f for f in check_channel("a.edf", Channel("side", RATE, values, "mV"), Q, S)}


@pytest.mark.parametrize("ramp_mv", [-1.0, 1.0, 20.0])
def test_a_slow_drift_changes_no_verdict(ramp_mv):
    _, effort, _ = repetitions()
    signal = emg(effort, 2)
    drift = np.linspace(0, ramp_mv, len(signal))
    assert checks(signal + drift).keys() == checks(signal).keys()


def write_session(lab, tail=0.0, head=0.0, unit=1.0):
    """Two sets and three reference trials of one sensor, with constant samples at their ends."""
    start, stop = np.zeros(round(head * RATE)), np.zeros(round(tail * RATE))
    angle, effort, _ = repetitions()
    rest = (np.full(len(start), angle[0]), np.full(len(stop), angle[-1]))
    parts = []
    for number, name in enumerate((RAISE, PRESS)):
        signal = unit * emg(effort * (1 - 0.4 * number), number)
        arm = np.concatenate([rest[0], angle, rest[1]])
        lab.csv(f"{number}.csv", side_mV=np.concatenate([start, signal, stop]), arm_deg=arm)
        parts.append(lab.trial(f"{number}.csv", name, repetitions=6))
    for number in range(3):
        signal = emg(hold(), 20 + number)
        lab.csv(f"h{number}.csv", side_mV=np.concatenate([start, signal, stop]))
        parts.append(lab.reference(f"h{number}.csv"))
    return lab.measure(*parts)


@pytest.mark.parametrize(("head", "tail"), [(0.0, 0.5), (0.7, 0.0), (0.4, 1.0)])
def test_constant_ends_are_cut_off_and_said(lab, head, tail):
    sound = write_session(lab)
    filled = write_session(lab, tail, head)
    assert not filled.faults and not any(f.level == "fail" for f in filled.findings)
    assert sum("cut off" in words for words in filled.warnings) == 5
    for one, other in zip(sound.trials, filled.trials, strict=True):
        mine, theirs = (t.channels["side right"].mean_of("mean") for t in (one, other))
        assert theirs == pytest.approx(mine, rel=0.01)
        assert other.channels["side right"].unit == "percent_MVIC"


def test_a_silent_sensor_costs_the_others_nothing_and_stated_seconds_stay_those_of_the_file(lab):
    angle, effort, _ = repetitions()
    silent = emg(effort, 2)
    silent[-5000:] = 0.0
    lab.csv("a.csv", front=silent, side=emg(effort, 1), arm_deg=angle)
    parts = lab.card, lab.sensors("front", "side"), lab.motion, lab.trial("a.csv", repetitions=6)
    (trial,) = measure_session(lab.read(*parts)).trials
    assert len(trial.channels["side right"].counted) == 6
    _, effort, true = repetitions(3)
    silent = np.zeros(600)
    listed = [[round(a + 0.6, 3), round(b + 0.6, 3), round(a + 1.8, 3)] for a, b in true]
    lab.csv("a.csv", side_mV=np.concatenate([silent, emg(effort, 1)]))
    trial = lab.measure(lab.trial("a.csv", repetitions=listed)).trials[0]
    assert [r.start for r in trial.repetitions] == pytest.approx([a for a, _ in true], abs=0.01)


def test_raw_samples_called_an_envelope_are_refused(lab):
    angle, effort, _ = repetitions()
    lab.csv("a.csv", side_mV=emg(effort, 1), arm_deg=angle)
    read = lab.read(lab.card + 'signal = "envelope"\n', lab.sensor, lab.motion, lab.trial("a.csv"))
    (fault,) = measure_session(read).faults
    assert "never negative" in fault.read and 'channel "side_mV", second' in fault.where
    assert fault.file.endswith("a.csv") and 'signal = "raw"' in fault.remedy


@pytest.mark.parametrize("unit", [1e-3, 1e3])
def test_sets_and_tests_in_different_units_are_named(lab, unit):
    words = " ".join(write_session(lab, unit=unit).warnings)
    assert "side right reads" in words and "different units" in words
    assert "different units" not in " ".join(write_session(lab).warnings)


@pytest.mark.parametrize("swapped", [False, True])
def test_sensors_of_two_heads_that_are_exchanged_are_named(lab, swapped):
    """Front works in flexion and hardly lying face down, rear the other way round."""
    efforts = {"flexion_90": (1.0, 0.2), "abduction_90": (0.6, 0.5)}
    efforts["prone_horizontal_abduction_90"] = (0.15, 1.0)
    parts = []
    for number, (test, levels) in enumerate(efforts.items()):
        names = ("rear", "front") if swapped else ("front", "rear")
        signals = (emg(level * hold(), 2 * number + place) for place, level in enumerate(levels))
        lab.csv(f"{test}.csv", **dict(zip(names, signals, strict=True)))
        parts.append(lab.reference(f"{test}.csv", test))
    words = " ".join(measure_session(lab.read(lab.card, lab.sensors("front", "rear"), *parts)).warnings)
    assert ("swapped" in words) == swapped


@pytest.mark.parametrize("per_minute", [45, 60, 70, 90, 120])
def test_a_heart_is_heard_in_the_rest_that_the_sheet_asks_for_and_is_no_loose_sensor(per_minute):
    _, effort, _ = repetitions(rest=Q.heart_rest_seconds)
    signal = emg(effort, 3, scale_mv=0.3) + heart(len(effort), per_minute)
    beats, found = find_beats(signal, RATE, Q), checks(signal)
    assert len(beats) >= Q.heart_beats
    assert np.mean(np.diff(beats)) == pytest.approx(60 / per_minute, rel=0.05)
    assert "heartbeat" in found and "loose sensor or cable" not in found


@pytest.mark.parametrize("rest", [0.01, 0.03])
def test_the_envelope_gives_repetitions_within_a_tenth_of_a_second(lab, rest):
    """At 3 % of the maximum rest is a fifth of what lowering ends with: there a few ends are farther off."""
    parts, off = [], []
    _, effort, true = repetitions()
    for seed in range(5):
        lab.csv(f"{seed}.csv", side_mV=emg(np.maximum(effort, rest), seed))
        parts.append(lab.trial(f"{seed}.csv", repetitions=6))
    for trial in lab.measure(*parts).trials:
        off.append(np.array([(r.start, r.stop) for r in trial.repetitions]) - true)
    assert len(off) == 5 and np.mean(np.abs(off) <= 0.1) >= (1.0 if rest == 0.01 else 0.95)
    assert np.abs(np.mean(off, axis=(0, 1))).max() < 0.03


def test_the_share_by_which_a_largest_window_lifts_the_reference_is_told(lab):
    """By so much it lies above the level of a minute of the same effort; the held level does not."""
    steady = float(np.mean(envelope(clean(emg(np.ones(60 * RATE), 9), RATE, S), RATE, S)))
    reference = write_session(lab).references["side right", 1]
    assert reference.level / reference.lifted == pytest.approx(steady, rel=0.03)
    assert 1.02 < reference.lifted < 1.2
    holds = [lab.reference(f"h{number}.csv") for number in range(3)]
    method, trial = '[method]\nreference_level = "held"\n', lab.trial("0.csv", repetitions="[[2, 5]]")
    held = measure_session(lab.read(lab.card, lab.sensor, method, *holds, trial))
    assert held.references["side right", 1].level == pytest.approx(steady, rel=0.04)
