"""Median frequency of cleaned EMG (emg_method §6): Welch, Hann segments, half overlap; a report, no training rule."""

from __future__ import annotations

from functools import lru_cache

from planner.emg.recording import Samples
from planner.emg.settings import MeasureSettings


def median_frequency(values: Samples, rate_hz: float, settings: MeasureSettings) -> float | None:
    """Return the frequency in Hz that halves the power between the settings' limits; None if too short."""
    import numpy as np

    if len(values) < settings.frequency_least_seconds * rate_hz:
        return None
    samples = min(len(values), round(settings.frequency_seconds * rate_hz))
    frequencies = np.fft.rfftfreq(samples, 1 / rate_hz)
    inside = (frequencies >= settings.frequency_low_hz) & (frequencies <= settings.frequency_high_hz)
    running = np.cumsum(mean_power(values, samples)[inside])
    if len(running) == 0 or running[-1] <= 0:
        return None
    return float(np.interp(running[-1] / 2, running, frequencies[inside]))


def mean_power(values: Samples, samples: int) -> Samples:
    """Return the mean power of Hann segments of so many samples, half overlapping, each without its mean.

    As scipy.signal.welch up to a constant; a set has hundreds of short stretches, and welch's own set-up takes
    longer than its sums.
    """
    import numpy as np
    from scipy.fft import rfft

    segments = np.lib.stride_tricks.sliding_window_view(values, samples)[:: samples - samples // 2]
    lines = rfft((segments - segments.mean(axis=1, keepdims=True)) * _hann(samples), axis=1)
    power: Samples = (np.square(lines.real) + np.square(lines.imag)).mean(axis=0)
    last = len(power) - (
        samples % 2 == 0
    )  # the highest line of an even length stands for one frequency, not two
    power[1:last] *= 2
    return power


@lru_cache(maxsize=64)
def _hann(samples: int) -> Samples:
    from scipy.signal.windows import hann

    window: Samples = hann(samples, sym=False)
    return window


def slope(values: list[float]) -> tuple[float, float] | None:
    """Return least-squares slope per step and the slope in % of the intercept; None below three values."""
    import numpy as np

    if len(values) < 3:
        return None
    steep, start = np.polyfit(np.arange(len(values)), np.asarray(values), 1)
    return float(steep), float(100 * steep / start) if start else 0.0
