"""Cleaning inside a session: refused corners and rates, notch, heartbeat, ready envelopes, one band for all files."""

import numpy as np
import pytest

from library.errors import FaultyInput
from planner.emg.loading import check_rate
from planner.emg.measuring import measure_session
from planner.emg.report import method_sentence
from planner.emg.signals import Channel
from planner.method import MeasureSettings


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


def test_ready_envelopes_are_taken_as_they_are(lab):
    angle, effort = lab.course()
    lab.csv("a.csv", rate=100, side_mV=effort[::10], arm_deg=angle[::10])
    lab.csv("hold.csv", rate=100, side_mV=np.concatenate([np.zeros(100), np.full(500, 2.0), np.zeros(100)]))
    card, parts = lab.card + 'signal = "envelope"\n', (lab.trial("a.csv"), lab.reference("hold.csv"))
    found = measure_session(lab.read(card, lab.sensor, lab.motion, *parts))
    assert not found.faults
    figures = found.trials[0].channels["side right"]
    assert figures.mean_of("peak") == pytest.approx(50, abs=0.5)  # 1 of 2 mV
    assert figures.mean_of("lift") == pytest.approx(100 * 0.5 * 0.9, abs=1.5)


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
