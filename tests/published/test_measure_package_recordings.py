"""MIT-licensed recordings that the package biosignalsnotebooks 0.6.14 ships: bursts, fatigue, a goniometer.

It pins old versions of numpy and scipy, so it is no ordinary test requirement. To run these tests, install it
without what it asks for, and h5py to read its files:

    pip install --no-deps biosignalsnotebooks==0.6.14
    pip install h5py
"""

from importlib.metadata import PackageNotFoundError, files
from pathlib import Path

import numpy as np
import pytest

from planner.measure.bursts import count_bursts
from planner.measure.clean import clean, envelope
from planner.measure.frequency import median_frequency, slope
from planner.measure.motion import course_of
from planner.measure.quality.range import clipping
from planner.measure.recording import Channel, Recording
from planner.measure.repetitions import from_course
from planner.measure.session import Motion
from planner.measure.settings import MeasureSettings, QualitySettings

h5py = pytest.importorskip("h5py", reason="h5py is not installed (see the head of this file)")
S, Q = MeasureSettings(), QualitySettings()


def shipped(name: str) -> Path:
    """Find a recording of the package without importing it: importing it needs all that it asks for."""
    try:
        listed = files("biosignalsnotebooks") or []
    except PackageNotFoundError:
        listed = []
    found = [file for file in listed if file.name == name and "signal_samples" in str(file)]
    if not found:
        pytest.skip("the package biosignalsnotebooks is not installed (see the head of this file)")
    return Path(found[0].locate())


def adc(name: str) -> Channel:
    """Read the only channel of one device, in converter codes; its rate stands in the file's attributes."""
    with h5py.File(shipped(name)) as stored:
        device = stored[next(iter(stored))]
        rate = float(device.attrs["sampling rate"])
        (first, *_) = (name for name in device["raw"] if name.startswith("channel_"))
        values = np.asarray(device["raw"][first]).ravel().astype(float)
    return Channel("channel_1", rate, values)


@pytest.mark.parametrize(("name", "count"), [("emg_bursts.h5", 9), ("emg_fatigue.h5", 30)])
def test_bursts_are_counted(name: str, count: int) -> None:
    """9 contractions with rests and 30 cyclic flexions, as the package's own notes say."""
    channel = adc(name)
    assert channel.rate_hz == 1000
    shaped = envelope(clean(channel.values, channel.rate_hz, S), channel.rate_hz, S)
    assert count_bursts(shaped, channel.rate_hz, S)[0] == count


def test_fatigue_lowers_the_median_frequency() -> None:
    """The recording was made to induce fatigue: amplitude rises, median frequency falls."""
    channel = adc("emg_fatigue.h5")
    cleaned = clean(channel.values, channel.rate_hz, S)
    _, found = count_bursts(envelope(cleaned, channel.rate_hz, S), channel.rate_hz, S)
    parts = [cleaned[round(b.start * 1000) : round(b.stop * 1000)] for b in found]
    fall = slope([median_frequency(part, channel.rate_hz, S) for part in parts])
    rise = slope([float(np.sqrt(np.mean(part**2))) for part in parts])
    assert fall[0] == pytest.approx(-0.54, abs=0.1)
    assert rise[1] > 1


def test_clipped_samples_are_found_in_the_fatigue_recording() -> None:
    (finding,) = clipping("emg_fatigue.h5", adc("emg_fatigue.h5"), Q)
    assert "12 at the lowest value and 26 at the highest value" in finding.words


def test_goniometer_gives_four_repetitions() -> None:
    recording = Recording("gonio_arm_flex.h5", {"channel_1": adc("gonio_arm_flex.h5")})
    found = from_course(
        course_of(recording, Motion(kind="angle", channels=("channel_1",)), S, falling=False), S
    )
    assert len(found) == 4
    assert all(repetition.whole for repetition in found)
