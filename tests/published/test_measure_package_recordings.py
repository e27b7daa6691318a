"""MIT-licensed recordings that the package biosignalsnotebooks 0.6.14 ships: bursts, a goniometer. Its own notes
stand beside each recording: what was done, rate, length. They count nothing, so each count below was found once with
scipy alone and seen on a plot; each test says how. The package asks for versions of numpy and scipy that are too old,
so it is locked apart (tests/recordings.in) and installed without what it asks for. `make test` does it; where the
package cannot be had, these tests are skipped."""

import json
from functools import reduce
from importlib.metadata import PackageNotFoundError, files
from pathlib import Path

import h5py
import numpy as np
import pytest

from planner.emg.quality import check_channel
from planner.emg.repetitions import course_of, find_bursts, from_course
from planner.emg.session import Motion
from planner.emg.signals import Channel, Recording, clean, envelope
from planner.method import MeasureSettings, QualitySettings

RECORDINGS = ("emg_bursts.h5", "emg_fatigue.h5", "gonio_arm_flex.h5")
S, Q = MeasureSettings(), QualitySettings()


def shipped(name):
    """Find a recording of the package without importing it: importing it needs all that it asks for."""
    try:
        listed = files("biosignalsnotebooks") or []
    except PackageNotFoundError:
        pytest.skip("the package of tests/recordings.lock is not installed: make setup")
    found = (file for file in listed if file.name == name and "signal_samples" in str(file))
    return Path(next(found).locate())


def adc(name):
    """Read the first channel of the only device, in converter codes; its rate stands in the file's attributes."""
    with h5py.File(shipped(name)) as stored:
        device = stored[next(iter(stored))]
        rate = float(device.attrs["sampling rate"])
        (first, *_) = (name for name in device["raw"] if name.startswith("channel_"))
        values = np.asarray(device["raw"][first]).ravel().astype(float)
    return Channel("channel_1", rate, values)


@pytest.mark.parametrize("name", RECORDINGS)
def test_rate_and_length_are_those_of_the_notes(name):
    """The notes cut lengths to tenths of a second."""
    channel = adc(name)
    notes = json.loads(shipped(name.replace(".h5", "_info.json")).read_text(encoding="utf-8"))
    assert channel.rate_hz == float(notes["Sample Rate"].split()[0])
    parts = map(float, notes["Acquisition Time"].split(":"))  # minutes and seconds, or hours before them
    assert 0 <= channel.seconds - reduce(lambda whole, part: 60 * whole + part, parts) < 0.1


@pytest.mark.parametrize(("name", "count"), [("emg_bursts.h5", 9), ("emg_fatigue.h5", 30)])
def test_bursts_are_counted(name, count):
    """The notes say cyclic contractions, and cyclic flexion and extension, of the biceps. How many: scipy's band-pass
    of 20 to 400 Hz, rectified, low-pass of 2 Hz; stretches above 0.3 of its 95th percentile are as many, and so are
    the bursts on a plot."""
    channel = adc(name)
    shaped = envelope(clean(channel.values, channel.rate_hz, S), channel.rate_hz, S)
    assert len(find_bursts(shaped, channel.rate_hz, S)) == count


def test_clipped_samples_and_four_repetitions_are_found():
    """The file's attributes say 12 bits, so the converter ends at 0 and at 4095."""
    channel = adc("emg_fatigue.h5")
    (finding,) = [f for f in check_channel("emg_fatigue.h5", channel, Q, S) if f.check == "clipping"]
    assert [int(np.sum(channel.values == code)) for code in (0, 4095)] == [12, 26]
    assert "12 at the lowest value and 26 at the highest value" in finding.words
    # The notes say flexion and extension; scipy's find_peaks and a plot show four, each back to where it
    # began.
    recording = Recording("gonio_arm_flex.h5", {"channel_1": adc("gonio_arm_flex.h5")})
    motion = Motion(kind="angle", channels=("channel_1",))
    found = from_course(course_of(recording, motion, S, falling=False), S)
    assert len(found) == 4
    assert all(not repetition.cut_off for repetition in found)
