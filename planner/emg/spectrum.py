"""A flaw of a channel, and the checks in the frequency domain (emg_method §7): loose sensor, mains hum, heartbeat."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple

from planner.emg.signals import Channel, Samples, Span, joined, runs
from planner.method import QualitySettings

PERCENT = 100.0  # shares are said in per cent
LEVEL_HZ = 100  # of a slow level's samples so many a second are enough for its quantile
ROBUST = 1.4826  # median absolute deviation to SD, for a normal distribution
NEVER = float("inf")
Place = tuple[str, str]  # file, label of the channel


@dataclass(frozen=True)
class Finding:
    """One flaw of one channel in one file.

    `second` is where it happens (from the recording's start; None: all through), `value` and `limit` share `unit`,
    `spans` are the stretches it spoils: a failed finding without spans spoils the whole channel of that file.
    """

    check: str
    level: Literal["warn", "fail"]
    file: str
    channel: str
    second: float | None
    value: float
    limit: float
    unit: str
    words: str
    remedy: str
    spans: tuple[Span, ...] = ()

    @property
    def spoils_all(self) -> bool:
        """Tell whether nothing of this channel in this file can be used."""
        return self.level == "fail" and not self.spans

    def __str__(self) -> str:
        where = "" if self.second is None else f", second {self.second:.1f}"
        return f'{self.file}: channel "{self.channel}"{where}: {self.check}: {self.words}. {self.remedy}'


def judged(
    place: Place, check: str, value: tuple[float, str], limits: tuple[float, float], words: tuple[str, str],
    second: float | None = None, spans: tuple[Span, ...] = (),
) -> Finding:  # fmt: skip
    """Return a finding: value and unit, what it warns at and fails above, what was seen and what would do."""
    fails = value[0] > limits[1]
    level: Literal["warn", "fail"] = "fail" if fails else "warn"
    return Finding(check, level, *place, second, value[0], limits[fails], value[1], *words, spans)


def check_spectrum(
    place: Place, channel: Channel, limits: QualitySettings, mains_hz: float | None, *, mains: bool
) -> Iterator[Finding]:
    """Run the checks of the spectrum; with `mains` that of hum, at `mains_hz` or at both lines there are.

    Each segment is taken without its offset and drift.
    """
    import numpy as np
    from scipy.signal import spectrogram

    rate, beats = channel.rate_hz, find_beats(channel.values, channel.rate_hz, limits)
    samples = min(len(channel.values), round(limits.spectrum_seconds * rate))
    lines, middles, power = spectrogram(
        channel.values, rate, "hann", samples, samples // 2, detrend="linear", mode="psd"
    )
    spectra = Spectra(lines, middles - samples / rate / 2, np.ascontiguousarray(power.T), samples / rate)
    yield from _artefact(place, spectra, limits, heart=bool(beats))
    if mains:
        yield from _mains(place, spectra, limits, mains_hz)
    if beats:
        spacing = (beats[-1] - beats[0]) / (len(beats) - 1)
        remedy = "The channel is high-passed in all its files (heart_high_pass_hz); move the sensor away from the heart"
        words = f"{len(beats)} beats at rest, {spacing:.2f} s apart", remedy
        bounds = (float(limits.heart_beats), NEVER)
        yield judged(place, "heartbeat", (float(len(beats)), "beats"), bounds, words, beats[0])


class Spectra(NamedTuple):
    """Power of each segment at each frequency; `starts` are the segments' first seconds."""

    frequencies: Samples
    starts: Samples
    power: Samples  # segments × frequencies
    segment_seconds: float

    def between(self, low_hz: float, high_hz: float) -> Samples:
        """Power of each segment from one frequency to another."""
        inside = (self.frequencies >= low_hz) & (self.frequencies <= high_hz)
        return self.power[:, inside].sum(axis=1)


def _artefact(place: Place, spectra: Spectra, limits: QualitySettings, *, heart: bool) -> Iterator[Finding]:
    """Name power below the muscle's band: a loose sensor or a pulled cable. A heart's own band is left to it."""
    top = limits.heart_beat_low_hz if heart else limits.artefact_high_hz
    low = spectra.between(limits.artefact_low_hz, top)
    whole = spectra.between(limits.artefact_low_hz, limits.artefact_whole_hz)
    share = float(low.sum() / whole.sum()) if whole.sum() > 0 else 0.0
    if share <= limits.artefact_warn:
        return
    quarter = spectra.segment_seconds / 4
    spans: tuple[Span, ...] = ()
    if share > limits.artefact_fail:  # the middle halves of the segments that hold it
        starts = spectra.starts[(low > limits.artefact_fail * whole) & (low > low.mean())].tolist()
        spans = tuple(joined(((s + quarter, s + 3 * quarter) for s in starts), 1e-9))
    words = f"{share * PERCENT:.0f} % of the power lies below {top:g} Hz, most of it here"
    remedy, bounds = (
        "Fix the sensor and its cable with tape and record again",
        (limits.artefact_warn, limits.artefact_fail),
    )
    second = float(spectra.starts[int(low.argmax())]) + 2 * quarter
    percents = (bounds[0] * PERCENT, bounds[1] * PERCENT)
    value = (share * PERCENT, "% of the power")
    yield judged(place, "loose sensor or cable", value, percents, (words, remedy), second, spans)


def _mains(
    place: Place, spectra: Spectra, limits: QualitySettings, stated_hz: float | None
) -> Iterator[Finding]:
    """Name a mains line that stands out of its surroundings: the stated one, or both that there are."""
    import numpy as np

    mean = spectra.power.mean(axis=0)
    for line in (stated_hz,) if stated_hz else (limits.mains_first_hz, limits.mains_second_hz):
        away = np.abs(spectra.frequencies - line)
        near = away <= limits.mains_width_hz
        beside = (away >= limits.mains_beside_low_hz) & (away <= limits.mains_beside_high_hz)
        around = float(np.median(mean[beside])) if beside.any() else 0.0
        height = float(10 * np.log10(mean[near].max() / around)) if around > 0 else 0.0
        if height > limits.mains_warn_db:
            second = float(spectra.starts[int(spectra.power[:, near].max(axis=1).argmax())])
            remedy = (
                "Move away from lamps and chargers, renew the reference electrode; notch = true removes it"
            )
            words = f"the {line:g} Hz line stands {height:.0f} dB above its surroundings", remedy
            bounds = (limits.mains_warn_db, limits.mains_fail_db)
            yield judged(place, "mains hum", (height, "dB"), bounds, words, second)


def find_beats(values: Samples, rate_hz: float, limits: QualitySettings) -> list[float]:
    """Return the seconds of a heart's beats at rest: peaks above `heart_sd` robust SD in an even chain; none if few."""
    import numpy as np
    from scipy.ndimage import uniform_filter1d
    from scipy.signal import butter, find_peaks, sosfilt

    if len(values) < rate_hz or rate_hz <= 2 * max(limits.heart_beat_high_hz, limits.heart_muscle_high_hz):
        return []
    low_high = ("heart_beat_low_hz", "heart_beat_high_hz"), ("heart_muscle_low_hz", "heart_muscle_high_hz")
    corners = [(getattr(limits, low), getattr(limits, high)) for low, high in low_high]
    bands = [butter(limits.heart_band_order, c, btype="bandpass", fs=rate_hz, output="sos") for c in corners]
    beat, muscle = (sosfilt(sos, values - values.mean()) for sos in bands)
    beat = np.abs(beat)
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
    longest = max(chains, key=len)
    return longest if len(longest) >= limits.heart_beats else []


def _longest_chain(seconds: list[float], limits: QualitySettings) -> list[float]:
    """Return the longest chain whose steps are a beat long and even; peaks between may be passed over."""
    best: list[float] = []
    for place, first in enumerate(seconds):
        for number, second in enumerate(seconds[place + 1 :], place + 2):
            if second - first > limits.heart_high_seconds:
                break
            if second - first < limits.heart_low_seconds:
                continue
            chain = [first, second]
            for later in seconds[number:]:  # each comes about one mean step later
                off = (later - chain[-1]) / ((chain[-1] - first) / (len(chain) - 1)) - 1
                if off > 2 * limits.heart_uneven:
                    break
                if off >= -2 * limits.heart_uneven:
                    chain.append(later)
            best = max(best, chain, key=len)
    return best
