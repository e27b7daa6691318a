"""Checks of a raw channel in the frequency domain (emg_method §7): loose sensor, mains hum, heartbeat."""

from dataclasses import dataclass

from planner.emg.quality import PERCENT, Finding, Judge
from planner.emg.recording import Channel, Samples, Span, joined, runs
from planner.emg.settings import QualitySettings

LEVEL_HZ = 100  # of a slow level's samples so many a second are enough for its quantile
ROBUST = 1.4826  # median absolute deviation to SD, for a normal distribution


@dataclass(frozen=True)
class Spectra:
    """Power of each segment at each frequency; `starts` are the segments' first seconds."""

    frequencies: Samples
    starts: Samples
    power: Samples  # segments × frequencies
    segment_seconds: float

    def between(self, low_hz: float, high_hz: float) -> Samples:
        """Power of each segment from one frequency to another."""
        inside = (self.frequencies >= low_hz) & (self.frequencies <= high_hz)
        power: Samples = self.power[:, inside].sum(axis=1)
        return power


def check_spectrum(
    judge: Judge, channel: Channel, limits: QualitySettings, mains_hz: float | None, *, mains: bool
) -> list[Finding]:
    """Run the checks of the spectrum; with `mains` that of hum, at `mains_hz` or at both lines there are."""
    spectra = spectra_of(channel, limits)
    beats = find_beats(channel.values, channel.rate_hz, limits)
    findings = _artefact(judge, spectra, limits, heart=len(beats) >= limits.heart_beats)
    if mains:
        findings += _mains(judge, spectra, limits, mains_hz)
    return findings + _heartbeat(judge, beats, limits)


def spectra_of(channel: Channel, limits: QualitySettings) -> Spectra:
    """Return the short-time power spectra of a raw channel, each segment without its offset and drift."""
    import numpy as np
    from scipy.signal import spectrogram

    rate = channel.rate_hz
    samples = min(len(channel.values), round(limits.spectrum_seconds * rate))
    frequencies, middles, power = spectrogram(
        channel.values, rate, "hann", samples, samples // 2, detrend="linear", mode="psd"
    )
    seconds = samples / rate
    return Spectra(frequencies, middles - seconds / 2, np.ascontiguousarray(power.T), seconds)


def _artefact(judge: Judge, spectra: Spectra, limits: QualitySettings, *, heart: bool) -> list[Finding]:
    """Name power below the muscle's band: a loose sensor or a pulled cable. A heart's own band is left to it."""
    top = limits.heart_beat_low_hz if heart else limits.artefact_high_hz
    low = spectra.between(limits.artefact_low_hz, top)
    whole = spectra.between(limits.artefact_low_hz, limits.artefact_whole_hz)
    share = float(low.sum() / whole.sum()) if whole.sum() > 0 else 0.0
    if share <= limits.artefact_warn:
        return []
    quarter = spectra.segment_seconds / 4
    spans: tuple[Span, ...] = ()
    if share > limits.artefact_fail:  # the middle halves of the segments that hold it
        starts = spectra.starts[(low > limits.artefact_fail * whole) & (low > low.mean())].tolist()
        spans = tuple(joined(((s + quarter, s + 3 * quarter) for s in starts), 1e-9))
    words = f"{share * PERCENT:.0f} % of the power lies below {top:g} Hz, most of it here"
    return [
        judge.finding(
            "loose sensor or cable",
            (share * PERCENT, "% of the power"),
            (limits.artefact_warn * PERCENT, limits.artefact_fail * PERCENT),
            (words, "Fix the sensor and its cable with tape and record again"),
            float(spectra.starts[int(low.argmax())]) + 2 * quarter,
            spans,
        )
    ]


def _mains(judge: Judge, spectra: Spectra, limits: QualitySettings, stated_hz: float | None) -> list[Finding]:
    """Name a mains line that stands out of its surroundings."""
    import numpy as np

    findings = []
    mean = spectra.power.mean(axis=0)
    for line in (stated_hz,) if stated_hz else (limits.mains_first_hz, limits.mains_second_hz):
        away = np.abs(spectra.frequencies - line)
        near = away <= limits.mains_width_hz
        beside = (away >= limits.mains_beside_low_hz) & (away <= limits.mains_beside_high_hz)
        around = float(np.median(mean[beside])) if beside.any() else 0.0
        height = float(10 * np.log10(mean[near].max() / around)) if around > 0 else 0.0
        if height <= limits.mains_warn_db:
            continue
        second = float(spectra.starts[int(spectra.power[:, near].max(axis=1).argmax())])
        words = f"the {line:g} Hz line stands {height:.0f} dB above its surroundings"
        remedy = "Move away from lamps and chargers, renew the reference electrode; notch = true removes it"
        bounds = (limits.mains_warn_db, limits.mains_fail_db)
        findings.append(judge.finding("mains hum", (height, "dB"), bounds, (words, remedy), second))
    return findings


def _heartbeat(judge: Judge, beats: list[float], limits: QualitySettings) -> list[Finding]:
    """Name beats: peaks above `heart_sd` robust SD at rest, evenly spaced by `heart_low_seconds` to `_high_`."""
    if len(beats) < limits.heart_beats:
        return []
    spacing = (beats[-1] - beats[0]) / (len(beats) - 1)
    words = f"{len(beats)} beats at rest, {spacing:.2f} s apart"
    remedy = "The channel is high-passed in all its files (heart_high_pass_hz); move the sensor away from the heart"
    bounds, value = (float(limits.heart_beats), float("inf")), (float(len(beats)), "beats")
    return [judge.finding("heartbeat", value, bounds, (words, remedy), beats[0])]


def find_beats(values: Samples, rate_hz: float, limits: QualitySettings) -> list[float]:
    """Return the seconds of the longest even chain of beats; empty where the muscle never rests."""
    import numpy as np
    from scipy.ndimage import uniform_filter1d
    from scipy.signal import butter, find_peaks, sosfilt

    if len(values) < rate_hz or rate_hz <= 2 * max(limits.heart_beat_high_hz, limits.heart_muscle_high_hz):
        return []

    def band(low: float, high: float) -> Samples:
        sos = butter(limits.heart_band_order, (low, high), btype="bandpass", fs=rate_hz, output="sos")
        passed: Samples = sosfilt(sos, values - values.mean())
        return passed

    beat = np.abs(band(limits.heart_beat_low_hz, limits.heart_beat_high_hz))
    muscle = band(limits.heart_muscle_low_hz, limits.heart_muscle_high_hz)
    level = uniform_filter1d(np.square(muscle), max(1, round(limits.heart_quiet_seconds * rate_hz)))
    some = level[:: max(1, round(rate_hz / LEVEL_HZ))]
    rest = level < limits.heart_quiet_times**2 * np.quantile(some, limits.heart_quiet_quantile)
    stretches = runs(rest, rate_hz, round(limits.heart_beats * limits.heart_low_seconds * rate_hz))
    if not stretches:
        return []
    height = limits.heart_sd * ROBUST * float(np.median(beat[rest]))
    peaks, _ = find_peaks(beat, height=height, distance=max(1, round(limits.heart_low_seconds * rate_hz)))
    seconds = [float(peak / rate_hz) for peak in peaks]
    # a chain lies in one stretch of rest: pauses between repetitions are even too
    chains = [_longest_chain([s for s in seconds if a <= s <= b], limits) for a, b in stretches]
    return max(chains, key=len)


def _longest_chain(seconds: list[float], limits: QualitySettings) -> list[float]:
    """Return the longest chain whose steps are a beat long and even; peaks between may be passed over."""
    best: list[float] = []
    for place, first in enumerate(seconds):
        for number, second in enumerate(seconds[place + 1 :], place + 2):
            if second - first > limits.heart_high_seconds:
                break
            if second - first >= limits.heart_low_seconds:
                chain = _followed([first, second], seconds[number:], limits.heart_uneven)
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
