"""Quality checks: each flaw is named with its second, sound channels are not, and what fails is left out."""

import numpy as np
import pytest
from emg_signal import RATE, emg, heart, hold, repetitions
from hypothesis import given
from hypothesis import strategies as st

from library.errors import FaultyInput
from planner.emg.loading import check_rate
from planner.emg.measuring import measure_session
from planner.emg.quality import check_channel, find_beats, spoiled
from planner.emg.report import method_sentence
from planner.emg.signals import Channel, clean, envelope, moving_rms
from planner.method import MeasureSettings, QualitySettings

S, Q = MeasureSettings(), QualitySettings()
LOOSE, HUM = "loose sensor or cable", "mains hum"


def sound(seconds=10, seed=0, scale=0.2):
    return scale * np.random.default_rng(seed).standard_normal(seconds * RATE)


def found(values, **how):
    return {f.check: f for f in check_channel("a.edf", Channel("side", RATE, values, "mV", **how), Q, S)}


def swing(seconds, size):
    return size * np.sin(2 * np.pi * 2.5 * np.arange(round(seconds * RATE)) / RATE)


@pytest.mark.parametrize("seed", range(5))
def test_a_sound_channel_is_not_blamed_and_repetitions_are_no_heartbeat(seed):
    assert found(sound(30, seed)) == {}
    level = np.tile(np.repeat([1.0, 0.02], [800, 400]), 12)
    assert "heartbeat" not in found(level * sound(15, seed)[: len(level)])


@pytest.mark.parametrize(("codes", "level"), [(30, "fail"), (120, "warn")])
def test_poor_range(codes, level):
    values = np.rint(np.clip(sound(10, 1, 1) * codes / 7, -codes / 2 + 1, codes / 2))
    finding = found(values)["poor range"]
    assert finding.level == level and "different values" in finding.words
    assert finding.spoils_all == (level == "fail")


def test_clipping_is_placed_fails_where_it_is_much_and_needs_no_two_in_a_row_at_the_converters_end():
    values = sound(10)
    values[4000:4006] = values.max() + 0.1
    finding = found(values)["clipping"]
    assert (finding.level, finding.second) == ("warn", 4.0) and "6 at the highest value" in finding.words
    much = found(np.clip(sound(10), -0.3, 0.3))["clipping"]
    assert much.level == "fail"
    assert not much.spoils_all  # only the repetitions that it touches are lost
    values = np.clip(sound(10), -1, 1)
    values[[1000, 5000]] = 2.0
    assert "clipping" not in found(values)
    assert found(values, ends=(-2.0, 2.0))["clipping"].second == 1.0


def test_drop_outs_are_placed_and_a_loose_sensor_spoils_only_its_stretch():
    values = sound(10)
    values[3000:3050] = 0
    finding = found(values)["drop-out"]
    assert finding.level == "warn" and finding.second == pytest.approx(3.0, abs=0.002)
    values[6000:6200] = 0
    finding = found(values)["drop-out"]
    assert finding.level == "fail" and finding.spans[1] == pytest.approx((6.0, 6.2), abs=0.002)
    values = sound(20)
    values[12_000:12_800] += swing(0.8, 3)
    finding = found(values)[LOOSE]
    assert finding.level == "fail" and finding.second == pytest.approx(12.4, abs=0.6)
    assert spoiled([finding], 12.2, 12.6) == f"{LOOSE} at second 12.2"
    assert not spoiled([finding], 2, 8) and not finding.spoils_all


@pytest.mark.parametrize("line", [50, 60])
def test_mains_hum_is_named_with_its_line(line):
    seconds = np.arange(10 * RATE) / RATE
    hum = 0.08 * np.sin(2 * np.pi * line * seconds)
    finding = found(sound(10) + hum)[HUM]
    assert f"the {line} Hz line stands" in finding.words
    assert found(sound(10) + hum * 3 * (seconds > 6))[HUM].second >= 5.5


def test_lost_samples_are_named_and_ready_envelopes_are_taken_as_they_are(lab):
    times = np.delete(np.arange(10_000) / RATE, np.r_[2000:2300])
    signal = lab.noise(np.resize(lab.course(2)[1], len(times)), 1)
    how = {"delimiter": ",", "header": "time_s,side_mV", "comments": "", "fmt": "%.5f"}
    np.savetxt(lab.folder / "a.csv", np.column_stack([times, signal]), **how)
    session = lab.measure(lab.trial("a.csv", repetitions="[[1, 4, 2], [4.5, 7.5, 5.5], [8, 9.5, 8.5]]"))
    (finding,) = [f for f in session.findings if f.check == "rate"]
    assert finding.level == "fail" and finding.second == pytest.approx(1.999, abs=0.002)
    assert "3.00 %" in finding.words
    angle, effort = lab.course()
    lab.csv("a.csv", rate=100, side_mV=effort[::10], arm_deg=angle[::10])
    lab.csv("hold.csv", rate=100, side_mV=np.concatenate([np.zeros(100), np.full(500, 2.0), np.zeros(100)]))
    card, parts = lab.card + 'signal = "envelope"\n', (lab.trial("a.csv"), lab.reference("hold.csv"))
    found = measure_session(lab.read(card, lab.sensor, lab.motion, *parts))
    assert not found.faults
    figures = found.trials[0].channels["side right"]
    assert figures.mean_of("peak") == pytest.approx(50, abs=0.5)  # 1 of 2 mV
    assert figures.mean_of("lift") == pytest.approx(100 * 0.5 * 0.9, abs=1.5)


def test_a_repetition_that_a_flaw_touches_does_not_count_and_noise_is_judged_at_rest_alone(lab):
    angle, effort = lab.course(4)
    signal = lab.noise(effort, 1)
    signal[9000:9700] += swing(0.7, 4)  # in the third repetition
    lab.csv("a.csv", side_mV=signal, arm_deg=angle)
    session = lab.measure(lab.trial("a.csv"), lab.trial(lab.set("b.csv", 2)))
    left_out = [r.left_out for r in session.trials[0].channels["side right"].repetitions]
    assert [bool(why) for why in left_out] == [False, False, True, False]
    assert f"{LOOSE} at second" in left_out[2]
    angle, effort = lab.course(4)
    for name, least in (("noisy", 0.12), ("always", 0.7)):
        lab.csv(f"{name}.csv", side_mV=lab.noise(np.maximum(effort, least), 1), arm_deg=angle)
    session = lab.measure(lab.trial("noisy.csv"), lab.trial("always.csv"))
    (rest,) = [f for f in session.findings if f.check == "noise at rest"]
    assert (rest.file, rest.level) == ("noisy.csv", "warn") and rest.second is not None


@pytest.mark.parametrize(("scale", "level"), [(1.3, "warn"), (2.6, "fail")])
def test_values_above_the_reference_are_kept_and_flagged(lab, scale, level):
    session = lab.measure(lab.trial(lab.set("a.csv", scale=scale)), *lab.holds())
    (finding,) = [f for f in session.findings if f.check == "above 100 %"]
    channel = session.trials[0].channels["side right"]
    assert finding.level == level and finding.second is not None
    assert channel.mean_of("peak") > 100 and bool(channel.untrusted) == (level == "fail")


# --- cleaning inside a session: refused corners and rates, notch, heartbeat, ready envelopes, one band for all files
@pytest.mark.parametrize(("rate", "changes", "said"), [
    (400, {}, "raw EMG at 400 Hz cannot be measured"),
    (1000, {"band_high_hz": 500.0}, "band_high_hz = 500 Hz is not below half the rate (500 Hz)"),
    (800, {"notch": True, "mains_hz": 400.0}, "mains_hz = 400 Hz is not below half the rate"),
    (1000, {"band_low_hz": 600.0}, "band_low_hz = 600 Hz"),
])  # fmt: skip
def test_corners_and_rates_that_cannot_be_are_refused(rate, changes, said):
    with pytest.raises(FaultyInput) as caught:
        check_rate("a.edf", Channel("side", rate, np.zeros(3 * rate)), MeasureSettings().but(**changes))
    assert said in str(caught.value) and 'channel "side"' in str(caught.value)


@given(st.integers(0, 2**31), st.floats(1e-3, 1e3), st.integers(1, 40))
def test_moving_rms_is_never_negative_and_scales(seed, factor, half):
    values = np.random.default_rng(seed).standard_normal(500)
    values[100:300] = 0
    found, scaled = moving_rms(values, 2 * half + 1), moving_rms(factor * values, 2 * half + 1)
    assert (found >= 0).all() and len(found) == 500
    assert scaled == pytest.approx(factor * found, rel=1e-6, abs=1e-7 * factor)
    assert found.max() <= np.abs(values).max() * (1 + 1e-9)


def test_a_heartbeat_is_filtered_out_of_all_files_of_its_channel(lab):
    seconds, (angle, effort) = np.arange(9000) / 1000, lab.course(2)
    beat = sum(0.3 * np.exp(-(((seconds - start) / 0.012) ** 2)) for start in np.arange(0.5, 8.5, 0.9))
    lab.csv("rest.csv", side_mV=lab.noise(np.full(9000, 0.01), 3) + beat, arm_deg=np.resize(angle, 9000))
    lab.csv("set.csv", side_mV=lab.noise(effort, 4), arm_deg=angle)
    found = lab.measure(lab.trial("set.csv"), lab.trial("rest.csv", repetitions="[[1, 4, 2]]"))
    assert found.with_heart == ("side right",)
    (beats,) = [f for f in found.findings if f.check == "heartbeat"]
    assert beats.file == "rest.csv" and "0.90 s apart" in beats.words
    said = "high-pass 30 Hz, order 4 per pass, in all files of side right (heartbeat)"
    assert said in method_sentence(found)


def test_a_set_in_another_band_than_its_reference_is_refused_and_the_others_are_measured(lab):
    angle, effort = lab.course(rate=800)
    lab.csv("slow.csv", rate=800, side_mV=lab.noise(effort, 2), arm_deg=angle)
    parts = [lab.trial(lab.set("fast.csv")), lab.trial("slow.csv"), *lab.holds()]
    found = lab.measure(*parts)
    (fault,) = found.faults
    assert fault.file == "slow.csv" and "State band_high_hz = 360" in fault.remedy
    assert found.trials[0].channels["side right"].counted
    assert any("sampled at 800 Hz" in words for words in found.warnings)
    assert not lab.measure(*parts, "[method]\nband_high_hz = 360\n").faults


# --- What spoils signals without anybody's noticing, on signals made by another generator than the demo's
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
