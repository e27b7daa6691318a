"""When an effort begins and ends: only for maximal holds, never for the phases of repetitions (emg_method §3)."""

from __future__ import annotations

from planner.emg.clean import low_pass
from planner.emg.quality.finding import runs
from planner.emg.recording import Samples, Span
from planner.emg.settings import MeasureSettings
from planner.emg.windows import Amplitude


def energy(values: Samples) -> Samples:
    """Return x[n]² - x[n-1]·x[n+1], same length, ends repeated: A²·sin²(w) for a sine A·sin(w·n)."""
    import numpy as np

    inner = np.square(values[1:-1]) - values[:-2] * values[2:]
    return np.concatenate((inner[:1], inner, inner[-1:]))


def efforts(
    values: Samples, rate_hz: float, settings: MeasureSettings, *, noisy_rest: bool = False
) -> list[Span]:
    """Return the stretches of effort in seconds.

    The signal is rectified (after the energy operator where rest is noisy) and low-passed; the threshold is mean
    plus some SD of its quietest window; an effort stays above it for `onset_seconds`.
    """
    import numpy as np

    shaped = energy(values) if noisy_rest else values
    smooth = low_pass(np.abs(shaped), rate_hz, settings.onset_low_pass_hz, settings.onset_order)
    means = Amplitude(smooth, rate_hz).window_means(settings.window_seconds)
    start = int(means.argmin())
    rest = smooth[start : start + round(settings.window_seconds * rate_hz)]
    multiple = settings.onset_energy_sd if noisy_rest else settings.onset_sd
    above = smooth > rest.mean() + multiple * rest.std()
    return runs(above, rate_hz, max(1, round(settings.onset_seconds * rate_hz)))


def held_seconds(values: Samples, rate_hz: float, second: float, settings: MeasureSettings) -> float | None:
    """Return how long the effort around `second` was held; None where the recording holds no rest to tell it by.

    Efforts parted by less than `burst_gap_seconds` are one.
    """
    import numpy as np

    power = Amplitude(np.square(values), rate_hz).window_means(settings.window_seconds)
    quiet, loud = float(np.sqrt(max(0.0, power.min()))), float(np.sqrt(power.max()))
    if loud <= 0 or quiet > settings.rest_share * loud:
        return None
    noisy = quiet > settings.noisy_rest_share * loud
    joined: list[Span] = []
    for begin, end in efforts(values, rate_hz, settings, noisy_rest=noisy):
        if joined and begin - joined[-1][1] < settings.burst_gap_seconds:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((begin, end))
    return next((end - begin for begin, end in joined if begin <= second <= end), 0.0)
