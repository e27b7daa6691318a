"""Check for heartbeat in a muscle channel (emg_method §7): even beats in their own band while the muscle rests."""

from __future__ import annotations

from planner.emg.quality.finding import Finding, runs
from planner.emg.recording import Channel, Samples
from planner.emg.settings import QualitySettings

LEVEL_HZ = 100  # of a slow level's samples so many a second are enough for its quantile
ROBUST = 1.4826  # median absolute deviation to SD, for a normal distribution


def heartbeat(file: str, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name beats: peaks above `heart_sd` robust SD at rest, evenly spaced by `heart_low_seconds` to `_high_`."""
    beats = find_beats(channel.values, channel.rate_hz, limits)
    if len(beats) < limits.heart_beats:
        return []
    spacing = (beats[-1] - beats[0]) / (len(beats) - 1)
    words = f"{len(beats)} beats at rest, {spacing:.2f} s apart"
    remedy = "The channel is high-passed in all its files (heart_high_pass_hz); move the sensor away from the heart"
    limit = float(limits.heart_beats)
    return [
        Finding(
            "heartbeat",
            "warn",
            file,
            channel.label,
            beats[0],
            float(len(beats)),
            limit,
            "beats",
            words,
            remedy,
        )
    ]


def find_beats(values: Samples, rate_hz: float, limits: QualitySettings) -> list[float]:
    """Return the seconds of the longest even chain of beats; empty where the muscle never rests."""
    import numpy as np
    from scipy.signal import find_peaks

    if len(values) < rate_hz or rate_hz <= 2 * max(limits.heart_beat_high_hz, limits.heart_muscle_high_hz):
        return []
    beat, muscle = _bands(values, rate_hz, limits)
    low, rest = np.abs(beat), _rest(muscle, rate_hz, limits)
    least = limits.heart_beats * limits.heart_low_seconds
    stretches = runs(rest, rate_hz, round(least * rate_hz))
    if not stretches:
        return []
    height = limits.heart_sd * ROBUST * float(np.median(low[rest]))
    distance = max(1, round(limits.heart_low_seconds * rate_hz))
    peaks, _ = find_peaks(low, height=height, distance=distance)
    seconds = [float(peak / rate_hz) for peak in peaks]
    # a chain lies in one stretch of rest: pauses between repetitions are even too
    chains = [_longest_chain([s for s in seconds if a <= s <= b], limits) for a, b in stretches]
    return max(chains, key=len)


def _bands(values: Samples, rate_hz: float, limits: QualitySettings) -> tuple[Samples, Samples]:
    """Return the signal in the band of a beat and in that of a muscle."""
    from scipy.signal import butter, sosfilt

    def band(low: float, high: float) -> Samples:
        sos = butter(limits.heart_band_order, (low, high), btype="bandpass", fs=rate_hz, output="sos")
        passed: Samples = sosfilt(sos, values - values.mean())
        return passed

    beat = band(limits.heart_beat_low_hz, limits.heart_beat_high_hz)
    return beat, band(limits.heart_muscle_low_hz, limits.heart_muscle_high_hz)


def _rest(muscle: Samples, rate_hz: float, limits: QualitySettings) -> Samples:
    """Return where the muscle is near its lowest level."""
    import numpy as np
    from scipy.ndimage import uniform_filter1d

    level = uniform_filter1d(np.square(muscle), max(1, round(limits.heart_quiet_seconds * rate_hz)))
    some = level[:: max(1, round(rate_hz / LEVEL_HZ))]
    quiet: Samples = level < limits.heart_quiet_times**2 * np.quantile(some, limits.heart_quiet_quantile)
    return quiet


def _longest_chain(seconds: list[float], limits: QualitySettings) -> list[float]:
    """Return the longest chain whose steps are a beat long and even; peaks between may be passed over."""
    best: list[float] = []
    for first in range(len(seconds)):
        for second in range(first + 1, len(seconds)):
            step = seconds[second] - seconds[first]
            if step > limits.heart_high_seconds:
                break
            if step >= limits.heart_low_seconds:
                chain = _followed(
                    [seconds[first], seconds[second]], seconds[second + 1 :], limits.heart_uneven
                )
                best = max(best, chain, key=len)
    return best


def _followed(chain: list[float], later: list[float], uneven: float) -> list[float]:
    """Extend a chain as long as the next peak comes about one mean step later."""
    for second in later:
        step = (chain[-1] - chain[0]) / (len(chain) - 1)
        off = (second - chain[-1]) / step - 1
        if off > 2 * uneven:
            break
        if off >= -2 * uneven:
            chain.append(second)
    return chain
