"""The arm's course from a motion channel: angle or position low-passed, accelerometer turned into tilt
(emg_method §3, step 6)."""

from __future__ import annotations

from dataclasses import dataclass

from planner.emg.clean import low_pass
from planner.emg.recording import Recording, Samples
from planner.emg.session import Motion
from planner.emg.settings import MeasureSettings


@dataclass(frozen=True)
class Course:
    """The smoothed motion: rises in lifting. `unit` is degrees for a tilt, else the channel's own."""

    values: Samples
    rate_hz: float
    unit: str


def course_of(recording: Recording, motion: Motion, settings: MeasureSettings, *, falling: bool) -> Course:
    """Return the smoothed course; `falling` turns its sign. Raises FaultyInput for an unknown channel."""
    import numpy as np

    channels = [recording.channel(label) for label in motion.channels]
    rate = channels[0].rate_hz
    if motion.kind == "accelerometer":
        corner = settings.tilt_low_pass_hz
        along, across = (low_pass(c.values, c.rate_hz, corner, settings.motion_order) for c in channels)
        length = min(len(along), len(across))
        # the arm's own direction of gravity turns from one axis to the other: +180° steps must not tear it
        values = np.degrees(np.unwrap(np.arctan2(along[:length], across[:length])))
        unit = "deg"
    else:
        corner = settings.motion_low_pass_hz
        values, unit = low_pass(channels[0].values, rate, corner, settings.motion_order), channels[0].unit
    return Course(-values if falling else values, rate, unit)
