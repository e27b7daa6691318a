"""Median frequency of cleaned EMG (emg_method §6): Welch, Hann segments, half overlap; a report, no training rule."""

from __future__ import annotations

from planner.measure.recording import Samples
from planner.measure.settings import MeasureSettings

LEAST_SECONDS = 0.25  # a shorter stretch gives no spectrum worth a number


def median_frequency(values: Samples, rate_hz: float, settings: MeasureSettings) -> float | None:
    """Return the frequency in Hz that halves the power between the settings' limits; None if too short."""
    import numpy as np
    from scipy.signal import welch

    if len(values) < LEAST_SECONDS * rate_hz:
        return None
    samples = min(len(values), round(settings.frequency_seconds * rate_hz))
    frequencies, power = welch(
        values, fs=rate_hz, window="hann", nperseg=samples, noverlap=samples // 2, detrend="constant"
    )
    inside = (frequencies >= settings.frequency_low_hz) & (frequencies <= settings.frequency_high_hz)
    frequencies, running = frequencies[inside], np.cumsum(power[inside])
    if len(running) == 0 or running[-1] <= 0:
        return None
    return float(np.interp(running[-1] / 2, running, frequencies))


def slope(values: list[float]) -> tuple[float, float] | None:
    """Return least-squares slope per step and the slope in % of the intercept; None below three values."""
    import numpy as np

    if len(values) < 3:
        return None
    steep, start = np.polyfit(np.arange(len(values)), np.asarray(values), 1)
    return float(steep), float(100 * steep / start) if start else 0.0
