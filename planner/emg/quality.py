"""Quality checks of a channel in the order in which a coach would mend things: time, range, spectrum, level. Limits
are those of [quality] in method.toml (emg_method §7)."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

import numpy as np
from scipy.ndimage import uniform_filter1d
from scipy.signal import butter, find_peaks, sosfilt, spectrogram

from planner.emg.session import tables
from planner.emg.signals import Amplitude, Channel, Samples, Span, joined, runs
from planner.method import MeasureSettings, QualitySettings

PERCENT = 100.0  # shares are said in per cent
LEVEL_HZ = 100  # of a slow level's samples so many a second are enough for its quantile
ROBUST = 1.4826  # median absolute deviation to SD, for a normal distribution
LOOKED_AT = 20_000  # samples that show most channels to have codes enough
Place = tuple[str, str]  # file, label of the channel
Pair = tuple[Samples, Samples]
Findings: TypeAlias = "Iterator[Finding]"
Second = float | None
Spans = tuple[Span, ...]


@dataclass(frozen=True)
class Finding:
    """One flaw of one channel in one file. `second` is where it happens (from the recording's start; None: all
    through), `spans` are the stretches it spoils: a failed finding without spans spoils the channel in that file."""

    check: str
    level: Literal["warn", "fail"]
    file: str
    channel: str
    second: float | None
    words: str
    remedy: str
    spans: Spans = ()

    @property
    def spoils_all(self) -> bool:
        """Tell whether nothing of this channel in this file can be used."""
        return self.level == "fail" and not self.spans

    def __str__(self) -> str:
        where = "" if self.second is None else f", second {self.second:.1f}"
        return f'{self.file}: channel "{self.channel}"{where}: {self.check}: {self.words}. {self.remedy}'


def judged(
    place: Place, check: str, fails: bool, second: Second, spans: Spans = (), **said: object
) -> Finding:
    """Return a finding that warns or fails, in the words of reference_tests.toml; "rate: missing" is of the check "rate"."""
    words, remedy = (text.format(**said) for text in tables()["finding"][check].values())
    return Finding(check.split(":")[0], "fail" if fails else "warn", *place, second, words, remedy, spans)


def spoiled(findings: list[Finding], start: float, stop: float) -> str:
    """Say which failed finding touches the stretch from `start` to `stop` seconds, and where; empty: none."""
    for finding in findings:
        for first, last in finding.spans if finding.level == "fail" else ():
            if first < stop and last > start:
                return f"{finding.check} at second {max(start, first):.1f}"
    return ""


def check_channel(
    file: str, channel: Channel, limits: QualitySettings, settings: MeasureSettings, *,
    raw: bool = True, mains_hz: float | None = None,
) -> list[Finding]:  # fmt: skip
    """Run every check on one channel of one file; a ready envelope may rest at 0 and has no spectrum."""
    place, values = (file, channel.label), channel.values
    if float(np.ptp(values)) == 0:
        return [judged(place, "flat channel", True, 0.0, value=float(values[0]))]
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
        findings.append(judged(place, "poor range", fails, None, codes=codes))
        if fails:
            return findings  # a handful of codes has no spectrum to judge
    both = (mains_hz,) if mains_hz else (limits.mains_first_hz, limits.mains_second_hz)
    return [*findings, *_spectrum(place, channel, limits, () if settings.notch else both)]


def _uneven_time(place: Place, channel: Channel, limits: QualitySettings) -> Findings:
    if gaps := channel.gaps:
        lost = (sum(b - a for a, b in gaps) - len(gaps) / channel.rate_hz) / channel.seconds
        places, fails = f"{len(gaps)} place{'s' * (len(gaps) > 1)}", lost > limits.lost_fail
        yield judged(place, "rate: missing", fails, gaps[0][0], gaps, places=places, lost=lost * PERCENT)
    elif channel.uneven is not None:
        start, stop = channel.uneven
        step = (stop - start) * channel.rate_hz
        yield judged(place, "rate: uneven", False, start, step=step)


def _clipping(place: Place, channel: Channel, limits: QualitySettings) -> Findings:
    """Name samples at the converter's ends, or two or more in a row at the extremes the file reaches."""
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
        share, spans = float(clipped.mean()), tuple(runs(clipped, channel.rate_hz, 1))
        fails, share = share > limits.clip_fail, share * PERCENT
        yield judged(place, "clipping", fails, spans[0][0], spans, counts=" and ".join(counts), share=share)


def _dropouts(place: Place, channel: Channel, limits: QualitySettings) -> Findings:
    """Name stretches of identical samples: the sensor or its radio link was silent."""
    values, step = channel.values, 1 / channel.rate_hz
    least = max(2, int(np.ceil(limits.dropout_seconds * channel.rate_hz)))
    same = np.concatenate(([False], values[1:] == values[:-1]))
    spans = tuple((max(0.0, a - step), b) for a, b in runs(same, channel.rate_hz, least - 1))
    if spans:
        share = sum(b - a for a, b in spans) / channel.seconds
        silent = f"{len(spans)} silent stretch{'es' * (len(spans) > 1)}"
        fails, share = share > limits.dropout_fail, share * PERCENT
        yield judged(place, "drop-out", fails, spans[0][0], spans, silent=silent, share=share)


def _spectrum(place: Place, channel: Channel, limits: QualitySettings, hums: Sequence[float]) -> Findings:
    """Name a loose sensor, a heart and hum at the lines of `hums` (Hz); segments without offset and drift."""
    rate, beats = channel.rate_hz, find_beats(channel.values, channel.rate_hz, limits)
    samples = min(len(channel.values), round(limits.spectrum_seconds * rate))
    how: dict[str, object] = {"window": "hann", "detrend": "linear", "mode": "psd"}
    lines, middles, columns = spectrogram(channel.values, rate, nperseg=samples, noverlap=samples // 2, **how)
    power = np.ascontiguousarray(columns.T)  # segments × frequencies
    top = limits.heart_beat_low_hz if beats else limits.artefact_high_hz  # a heart's own band is left to it
    from_low = lines >= limits.artefact_low_hz
    low = power[:, from_low & (lines <= top)].sum(axis=1)
    whole = power[:, from_low & (lines <= limits.artefact_whole_hz)].sum(axis=1)
    quarter = samples / rate / 4
    halves = np.column_stack((middles, middles - quarter, middles + quarter))
    yield from _artefact(place, top, halves, (low, whole), limits)
    for line in hums:
        yield from _mains(place, line, np.abs(lines - line), (middles - samples / rate / 2, power), limits)
    if beats:
        spacing = (beats[-1] - beats[0]) / (len(beats) - 1)
        yield judged(place, "heartbeat", False, beats[0], beats=len(beats), spacing=spacing)


def _artefact(place: Place, top: float, parts: Samples, powers: Pair, limits: QualitySettings) -> Findings:
    """Name power below the muscle's band (up to `top`), of the whole: a loose sensor or a pulled cable. Parts
    (n, 3): of each segment the middle, and where its middle half begins and ends."""
    low, whole = powers
    share = float(low.sum() / whole.sum()) if whole.sum() > 0 else 0.0
    if share <= limits.artefact_warn:
        return
    spans: Spans = ()
    if fails := share > limits.artefact_fail:
        worst = parts[(low > limits.artefact_fail * whole) & (low > low.mean())].tolist()
        spans = tuple(joined(((start, stop) for _, start, stop in worst), 1e-9))
    second = float(parts[int(low.argmax()), 0])
    yield judged(place, "loose sensor or cable", fails, second, spans, share=share * PERCENT, top=top)


def _mains(place: Place, line: float, away: Samples, parts: Pair, limits: QualitySettings) -> Findings:
    """Name a mains line that stands out of its surroundings; `away`: Hz from it, a frequency; parts: start, power."""
    (starts, power), near = parts, away <= limits.mains_width_hz
    mean = power.mean(axis=0)
    beside = (away >= limits.mains_beside_low_hz) & (away <= limits.mains_beside_high_hz)
    around = float(np.median(mean[beside])) if beside.any() else 0.0
    height = float(10 * np.log10(mean[near].max() / around)) if around > 0 else 0.0
    if height > limits.mains_warn_db:
        second = float(starts[int(power[:, near].max(axis=1).argmax())])
        yield judged(place, "mains hum", height > limits.mains_fail_db, second, line=line, height=height)


def find_beats(values: Samples, rate_hz: float, limits: QualitySettings) -> list[float]:
    """Return the seconds of a heart's beats at rest: peaks above `heart_sd` robust SD in an even chain; none if few."""
    beat_band = (limits.heart_beat_low_hz, limits.heart_beat_high_hz)
    muscle_band = (limits.heart_muscle_low_hz, limits.heart_muscle_high_hz)
    if len(values) < rate_hz or rate_hz <= 2 * max(beat_band[1], muscle_band[1]):
        return []
    how = {"N": limits.heart_band_order, "btype": "bandpass", "fs": rate_hz, "output": "sos"}
    filters = (butter(Wn=band, **how) for band in (beat_band, muscle_band))
    beat, muscle = (sosfilt(sos, values - values.mean()) for sos in filters)
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
    chains = (_longest_chain([s for s in seconds if a <= s <= b], limits) for a, b in stretches)
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


def high_level(place: Place, percent: Amplitude, window: float, limits: QualitySettings) -> list[Finding]:
    """Flag activation above the reference over `window` seconds; it is kept as it is, never cut."""
    if (peak := percent.peak(window)) <= limits.level_warn * (1 + 1e-9):
        return []
    fails = peak > limits.level_fail
    doubtful = "so the reference itself is doubtful" if fails else "kept as measured"
    said: dict[str, Any] = {"window": window, "peak": peak, "doubtful": doubtful}
    return [judged(place, "above 100 %", fails, percent.peak_second(window), **said)]
