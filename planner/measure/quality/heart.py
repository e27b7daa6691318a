"""Check for heartbeat in a muscle channel (emg_method §7): even beats of 5-30 Hz while the muscle rests."""

from __future__ import annotations

from planner.measure.quality.finding import Finding, runs
from planner.measure.recording import Channel, Samples
from planner.measure.settings import QualitySettings

BEAT_HZ = (5.0, 30.0)
MUSCLE_HZ = (60.0, 200.0)  # where a beat has little power and a muscle has much
QUIET_SECONDS = 0.25  # window of the muscle's amplitude
QUIET_QUANTILE = 0.1  # of that amplitude: its level at rest
QUIET_TIMES = 2.25  # rest: below this many times that level
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

    if len(values) < rate_hz or rate_hz <= 2 * MUSCLE_HZ[1]:
        return []
    low = np.abs(_band(values, rate_hz, BEAT_HZ))
    rest = _rest(_band(values, rate_hz, MUSCLE_HZ), rate_hz)
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


def _band(values: Samples, rate_hz: float, edges: tuple[float, float]) -> Samples:
    from scipy.signal import butter, sosfilt

    sos = butter(2, edges, btype="bandpass", fs=rate_hz, output="sos")
    band: Samples = sosfilt(sos, values - values.mean())
    return band


def _rest(muscle: Samples, rate_hz: float) -> Samples:
    """Return where the muscle is near its lowest level."""
    import numpy as np
    from scipy.ndimage import uniform_filter1d

    level = uniform_filter1d(np.square(muscle), max(1, round(QUIET_SECONDS * rate_hz)))
    quiet: Samples = level < QUIET_TIMES**2 * np.quantile(
        level[:: max(1, round(rate_hz / 100))], QUIET_QUANTILE
    )
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
