"""Quality checks of a channel in the order in which a coach would mend things: time, range, spectrum, level.

Limits are those of [quality] in method.toml (emg_method §7).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from planner.emg.signals import Amplitude, Channel, Samples, Span, joined, runs
from planner.method import MeasureSettings, QualitySettings

PERCENT = 100.0  # shares are said in per cent
LOOKED_AT = 20_000  # samples that show most channels to have codes enough
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


def _finding(
    place: Place, check: str, value: tuple[float, str], limits: tuple[float, float], words: tuple[str, str],
    second: float | None = None, spans: tuple[Span, ...] = (),
) -> Finding:  # fmt: skip
    """Return a finding: value and unit, what it warns at and fails above, what was seen and what would do."""
    fails = value[0] > limits[1]
    level: Literal["warn", "fail"] = "fail" if fails else "warn"
    return Finding(check, level, *place, second, value[0], limits[fails], value[1], *words, spans)


def spoiled(findings: list[Finding], start: float, stop: float) -> Finding | None:
    """Return the first failed finding that touches the stretch from `start` to `stop` seconds."""
    for finding in findings:
        if finding.level == "fail" and any(a < stop and b > start for a, b in finding.spans):
            return finding
    return None


def check_channel(
    file: str, channel: Channel, limits: QualitySettings, settings: MeasureSettings, *,
    raw: bool = True, mains_hz: float | None = None,
) -> list[Finding]:  # fmt: skip
    """Run every check on one channel of one file; a ready envelope may rest at 0 and has no spectrum."""
    import numpy as np

    place, values = (file, channel.label), channel.values
    if float(np.ptp(values)) == 0:
        words = (
            f"all samples are {float(values[0]):g}",
            "The sensor was off or unplugged: plug it in and record again",
        )
        return [_finding(place, "flat channel", (1.0, "codes"), (0, 0), words, 0.0)]
    findings = [*_uneven_time(place, channel, limits)]
    if not raw:
        return findings
    some = len(np.unique(values[:LOOKED_AT]))
    if some >= limits.codes_fail:
        findings += _clipping(place, channel, limits)
    findings += _dropouts(place, channel, limits)
    # sorting an hour to count further would take longer than cleaning it
    if some < limits.codes_warn and (codes := len(np.unique(values))) < limits.codes_warn:
        fails = codes < limits.codes_fail
        words = f"only {codes} different values in the whole file", "Raise the gain and record again"
        limit = float(limits.codes_fail if fails else limits.codes_warn)
        of = (*place, None, float(codes), limit, "codes")
        findings.append(Finding("poor range", "fail" if fails else "warn", *of, *words))
        if fails:
            return findings  # a handful of codes has no spectrum to judge
    beats = find_beats(values, channel.rate_hz, limits)
    spectra = spectra_of(channel, limits)
    findings += _artefact(place, spectra, limits, heart=bool(beats))
    findings += [] if settings.notch else _mains(place, spectra, limits, mains_hz)
    if beats:
        spacing = (beats[-1] - beats[0]) / (len(beats) - 1)
        remedy = "The channel is high-passed in all its files (heart_high_pass_hz); move the sensor away from the heart"
        words = f"{len(beats)} beats at rest, {spacing:.2f} s apart", remedy
        bounds = (float(limits.heart_beats), NEVER)
        findings.append(_finding(place, "heartbeat", (float(len(beats)), "beats"), bounds, words, beats[0]))
    return findings


def _clipping(place: Place, channel: Channel, limits: QualitySettings) -> Iterator[Finding]:
    """Name samples at the converter's ends, or two or more in a row at the extremes the file reaches."""
    import numpy as np

    values, counts = channel.values, []
    clipped = np.zeros(len(values), dtype=bool)
    for end, (name, extreme) in enumerate((("lowest", values.min()), ("highest", values.max()))):
        there = values == extreme
        count = int(there.sum())
        is_end = channel.ends is not None and np.isclose(extreme, channel.ends[end], rtol=1e-9, atol=0)
        in_row = count >= limits.clip_least and bool(runs(there, channel.rate_hz, 2))
        if in_row or count >= limits.clip_repeats or (is_end and count > 1):
            clipped |= there
            counts.append(f"{count} at the {name} value")
    if counts:
        share, fail = float(clipped.mean()) * PERCENT, limits.clip_fail * PERCENT
        spans = tuple(runs(clipped, channel.rate_hz, 1))
        remedy = "Lower the gain and record again; the peaks are too small by an unknown amount"
        words = f"samples are cut: {' and '.join(counts)} ({share:.2f} %)", remedy
        yield _finding(place, "clipping", (share, "% of samples"), (fail, fail), words, spans[0][0], spans)


def _dropouts(place: Place, channel: Channel, limits: QualitySettings) -> Iterator[Finding]:
    """Name stretches of identical samples: the sensor or its radio link was silent."""
    import numpy as np

    values, step = channel.values, 1 / channel.rate_hz
    least = max(2, int(np.ceil(limits.dropout_seconds * channel.rate_hz)))
    same = np.concatenate(([False], values[1:] == values[:-1]))
    spans = tuple((max(0.0, a - step), b) for a, b in runs(same, channel.rate_hz, least - 1))
    if spans:
        share, fail = PERCENT * sum(b - a for a, b in spans) / channel.seconds, limits.dropout_fail * PERCENT
        seen = f"{len(spans)} silent stretch{'es' if len(spans) > 1 else ''}, {share:.2f} % of the time"
        words = seen, "Check the battery, the radio distance and the plug"
        yield _finding(place, "drop-out", (share, "% of the time"), (fail, fail), words, spans[0][0], spans)


def _uneven_time(place: Place, channel: Channel, limits: QualitySettings) -> Iterator[Finding]:
    """Name lost samples, else uneven steps of the time column."""
    remedy = "Export it again with every sample; a straight line was drawn through the gaps"
    gaps, uneven = channel.gaps, channel.uneven
    if gaps:
        lost = (sum(b - a for a, b in gaps) - len(gaps) / channel.rate_hz) / channel.seconds
        many = "s" if len(gaps) > 1 else ""
        words = f"samples are missing in {len(gaps)} place{many} ({lost * PERCENT:.2f} %)", remedy
        bounds = (limits.lost_fail, limits.lost_fail)
        yield _finding(place, "rate", (lost, "of the samples"), bounds, words, gaps[0][0], gaps)
    elif uneven is not None:
        step = (uneven[1] - uneven[0]) * channel.rate_hz
        words = f"steps of the time column are uneven (one is {step:.2f} of the usual)", remedy
        yield _finding(
            place, "rate", (abs(step - 1), "of the spacing"), (limits.uneven_warn, NEVER), words, uneven[0]
        )


def constant_ends(channel: Channel, limits: QualitySettings) -> tuple[float, float] | None:
    """Return the seconds of unchanging samples at the beginning and at the end; None for a flat channel.

    A file is often filled up so; shorter than `dropout_seconds` counts as none, longer than `ends_most` as a fault.
    """
    import numpy as np

    changes = np.flatnonzero(np.diff(channel.values))
    if len(changes) == 0:
        return None
    ends = (float(changes[0]) + 1, float(len(channel.values) - 1 - changes[-1]))
    least, most = limits.dropout_seconds, limits.ends_most * channel.seconds
    seconds = [samples / channel.rate_hz for samples in ends]
    start, stop = (second if least <= second <= most else 0.0 for second in seconds)
    return start, stop


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
    yield _finding(place, "loose sensor or cable", value, percents, (words, remedy), second, spans)


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
            yield _finding(place, "mains hum", (height, "dB"), bounds, words, second)


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


def rest_noise(
    place: Place, cleaned: Samples, peaks: tuple[float, float], rate_hz: float,
    settings: MeasureSettings, limits: QualitySettings,
) -> list[Finding]:  # fmt: skip
    """Name noise in the quietest stretch; `peaks` are the trial's own peak and what noise is compared with.

    A trial whose quietest stretch is not much quieter than its peak holds no rest and is not judged.
    """
    import numpy as np

    own_peak, reference = peaks
    power = Amplitude(np.square(cleaned), rate_hz).window_means(settings.window_seconds)
    quietest = int(power.argmin())
    noise = float(np.sqrt(max(0.0, power[quietest])))
    if reference <= 0 or noise > limits.rest_judged * own_peak or noise <= limits.rest_warn * reference:
        return []
    share = PERCENT * noise / reference
    words = f"the quietest {settings.window_seconds:g} s still read {share:.0f} % of the reference"
    remedy = "Let the arm hang loose before the set; renew skin preparation if it stays"
    bounds = (limits.rest_warn * PERCENT, limits.rest_fail * PERCENT)
    second = quietest / rate_hz + settings.window_seconds / 2
    return [_finding(place, "noise at rest", (share, "% of the reference"), bounds, (words, remedy), second)]


def high_level(
    place: Place, percent: Amplitude, settings: MeasureSettings, limits: QualitySettings
) -> list[Finding]:
    """Flag activation above the reference; it is kept as it is, never cut."""
    peak = percent.peak(settings.window_seconds)
    if peak <= limits.level_warn * (1 + 1e-9):
        return []
    doubtful = "so the reference itself is doubtful" if peak > limits.level_fail else "kept as measured"
    words = f"the largest {settings.window_seconds:g} s reach {peak:.0f} % of the reference, {doubtful}"
    remedy = (
        "Record the reference tests again with full effort; a moving muscle may exceed a held one a little"
    )
    bounds, second = (limits.level_warn, limits.level_fail), percent.peak_second(settings.window_seconds)
    return [_finding(place, "above 100 %", (peak, "% of the reference"), bounds, (words, remedy), second)]
