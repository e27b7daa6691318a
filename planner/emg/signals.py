"""One recording as it was read, and what is done to a channel of it: an even grid, band-pass, envelope (emg_method
§3). Arrays are one-dimensional; rates and corners in Hz; an envelope keeps its signal's unit and length. Filters are
scipy's second-order sections run forward and back: no lag, and twice the attenuation (-6 dB) at the corner."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, iirnotch, sosfiltfilt, tf2sos

from library.errors import nearest, refuse
from planner.method import MeasureSettings, QualitySettings

Samples: TypeAlias = NDArray[Any]  # one-dimensional, float64
Span = tuple[float, float]  # from, to; seconds from the recording's start
MILLIVOLTS = {"V": 1e3, "mV": 1.0, "uV": 1e-3, "µV": 1e-3, "μV": 1e-3, "nV": 1e-6}
TIMES_LOOKED_AT, MOST_DECIMALS = 2000, 9  # first times of a column, to find how many decimals it has


@dataclass(frozen=True)
class Mark:
    """An event of the file: onset and duration in seconds (0: an instant) and its text."""

    onset: float
    duration: float
    text: str


@dataclass(frozen=True)
class Channel:
    """One channel: samples evenly spaced at `rate_hz`; `ends` are the converter's ends in the same unit."""

    label: str
    rate_hz: float
    values: Samples
    unit: str = ""
    ends: tuple[float, float] | None = None
    gaps: tuple[Span, ...] = ()  # where samples were lost and the line was drawn through
    uneven: Span | None = None  # the first place where the time column's steps are uneven

    @property
    def seconds(self) -> float:
        """Length in seconds."""
        return len(self.values) / self.rate_hz

    def between(self, start: float, stop: float) -> "Channel":
        """Return the part from `start` to `stop` seconds; its own time begins at 0."""
        first, last = round(start * self.rate_hz), round(stop * self.rate_hz)
        gaps = tuple((max(a, start) - start, b - start) for a, b in self.gaps if b > start and a < stop)
        a, b = self.uneven or (stop, start)  # none: outside
        uneven = (a - start, b - start) if b > start and a < stop else None
        return replace(self, values=self.values[first:last], gaps=gaps, uneven=uneven)


def timed_channel(file: Path, channel: Channel, time: Samples | None, limits: QualitySettings) -> Channel:
    """Return a channel on an even grid by its times in seconds; where these are None its rate is as it says. A step
    wider than `gap_steps` is a gap, one that is off by more than `uneven_warn` is uneven (emg_method §7). Raises
    FaultyInput where there are no samples or time is missing, runs backwards or stands still."""
    values, where = channel.values, f'channel "{channel.label}"'
    filled = ~np.isnan(values if time is None else time)  # without the empty cells below a shorter column
    length = int(len(filled) - filled[::-1].argmax()) if filled.any() else 0
    values = values[:length]
    if length < 2:
        raise refuse(file, where, "has no samples", "Record or export it again")
    if time is None:
        return replace(channel, values=values)
    time = time[:length]
    if (missing := ~np.isfinite(time)).any():
        row = f"{where}, row {int(missing.argmax()) + 1}"
        raise refuse(file, row, "its time is missing", "Write the time of every row")
    steps, whole = np.diff(time), float(time[-1] - time[0])
    if (back := steps < 0).any():
        last = int(back.argmax())
        read = f"time runs backwards, from {time[last]:.4f} to {time[last + 1]:.4f} s"
        raise refuse(file, f"{where}, second {time[last]:.3f}", read, "Export it again in order of time")
    regular = (steps < limits.gap_steps * np.median(steps)) | (np.median(steps) <= 0)
    usual = float(steps[regular].mean()) if regular.any() else 0.0  # rounding spoils single steps
    rate = 1.0 / usual if usual > 0 else 0.0
    if rate * whole > limits.gaps_most * length:
        read = f"its times leave room for {rate * whole:g} samples, {length} are there"
        raise refuse(file, where, read, "Export each part as a file of its own")
    if not rate * whole > 0:
        raise refuse(file, where, "its time stands still", "Export it with the time of every row")
    rate = float(round(rate)) if abs(rate - round(rate)) < 1e-4 * rate else rate
    written = ((time[:TIMES_LOOKED_AT] * 10**decimals, 10.0**-decimals) for decimals in range(MOST_DECIMALS))
    exact = (step for scaled, step in written if np.allclose(scaled, np.round(scaled), rtol=0, atol=1e-4))
    smallest = next(exact, 10.0**-MOST_DECIMALS)  # step that the written times can show
    wide = (steps > limits.gap_steps / rate + smallest).nonzero()[0]
    odd = (np.abs(steps - 1.0 / rate) > limits.uneven_warn / rate + 1.01 * smallest).nonzero()[0]
    spans = [(float(time[n] - time[0]), float(time[n + 1] - time[0])) for n in (*wide, *odd[:1])]
    gaps, uneven = tuple(spans[: len(wide)]), spans[-1] if len(odd) else None
    if gaps:
        values = np.interp(np.arange(round(whole * rate) + 1) / rate + time[0], time, values)
    return replace(channel, rate_hz=rate, values=values, gaps=gaps, uneven=uneven)


@dataclass(frozen=True)
class Recording:
    """One file: its channels by label and its marks."""

    file: str
    channels: Mapping[str, Channel]
    marks: tuple[Mark, ...] = ()

    @property
    def seconds(self) -> float:
        """Length of the longest channel in seconds."""
        return max((channel.seconds for channel in self.channels.values()), default=0.0)

    def channel(self, label: str) -> Channel:
        """Return a channel by its label; refused where the file has none or its samples are no numbers."""
        if label not in self.channels:
            remedy = f"Write one of the file's channels ({', '.join(self.channels)}){nearest(label, self.channels)}"
            raise refuse(self.file, f'channel "{label}"', "the file has no such channel", remedy)
        channel = self.channels[label]
        missing = ~np.isfinite(channel.values)
        if not missing.any():
            return channel
        where = f'channel "{channel.label}", second {int(missing.argmax()) / channel.rate_hz:.3f}'
        remedy = "Export it again, or state start and stop of a part without them"
        raise refuse(self.file, where, f"{int(missing.sum())} samples are no number (NaN)", remedy)

    def between(self, start: float | None, stop: float | None) -> "Recording":
        """Return the part from `start` to `stop` seconds (None: the file's own end)."""
        if start is None and stop is None:
            return self
        begin, end = start or 0.0, self.seconds if stop is None else stop
        if not 0 <= begin < end <= self.seconds + 1e-6:
            read = f"the part {begin:g}-{end:g} s does not lie in its {self.seconds:.2f} s"
            raise refuse(self.file, "start, stop", read, "State seconds inside the file")
        channels = {label: channel.between(begin, end) for label, channel in self.channels.items()}
        marks = tuple(replace(m, onset=m.onset - begin) for m in self.marks if begin <= m.onset < end)
        return Recording(part_name(self.file, start), channels, marks)


def part_name(file: str, start: float | None) -> str:
    """Return the name by which a part of a file is told: seconds count from its beginning."""
    return f"{file} from {start:g} s" if start else file


def runs(inside: object, rate_hz: float, least: int) -> list[Span]:
    """Return the stretches, in seconds, where a boolean array is true for at least `least` samples in a row."""
    edges = np.diff(np.concatenate(([0], np.asarray(inside).view(np.int8), [0])))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    long = stops - starts >= least
    return [(float(a / rate_hz), float(b / rate_hz)) for a, b in zip(starts[long], stops[long], strict=True)]


def joined(spans: Iterable[Span], gap_seconds: float) -> list[Span]:
    """Return stretches in order of time, those parted by less than `gap_seconds` joined."""
    whole: list[Span] = []
    for start, stop in spans:
        if whole and start - whole[-1][1] < gap_seconds:
            whole[-1] = (whole[-1][0], stop)
        else:
            whole.append((start, stop))
    return whole


def high_corner(rate_hz: float, settings: MeasureSettings) -> float:
    """Return the band's high corner: a stated one as it is, the default capped to the rate's share."""
    stated: float = settings.band_high_hz
    usual = stated == MeasureSettings().band_high_hz
    return min(stated, settings.band_high_share * rate_hz) if usual else stated


def clean(values: Samples, rate_hz: float, settings: MeasureSettings, *, heartbeat: bool = False) -> Samples:
    """Return the band-passed signal; with `heartbeat` also high-passed. Corners must lie below half the rate."""
    edges = (settings.band_low_hz, high_corner(rate_hz, settings))
    stages = [butter(settings.band_order, edges, btype="bandpass", fs=rate_hz, output="sos")]
    if settings.notch:
        stages.append(tf2sos(*iirnotch(settings.mains_hz, settings.notch_q, fs=rate_hz)))
    if heartbeat:
        corner = settings.heart_high_pass_hz
        stages.append(butter(settings.heart_order, corner, btype="highpass", fs=rate_hz, output="sos"))
    cleaned = values - values.mean()
    for sos in stages:
        cleaned = sosfiltfilt(sos, cleaned)
    return cleaned


def envelope(cleaned: Samples, rate_hz: float, settings: MeasureSettings) -> Samples:
    """Return the amplitude over time: the moving RMS."""
    return moving_rms(cleaned, odd_samples(settings.rms_seconds, rate_hz))


def moving_rms(values: Samples, samples: int) -> Samples:
    """Return the centred moving RMS over `samples` (odd), ends mirrored; a third of the time of scipy's uniform_filter1d."""
    square = np.square(values)
    sums = np.zeros(len(values) + samples)
    np.cumsum(np.pad(square, samples // 2, mode="symmetric"), out=sums[1:])
    np.subtract(sums[samples:], sums[:-samples], out=square)
    square /= samples
    np.maximum(square, 0.0, out=square)  # the running sum may leave a quiet stretch a hair below zero
    return np.sqrt(square, out=square)


def low_pass(values: Samples, rate_hz: float, corner_hz: float, order: int) -> Samples:
    """Return values after a Butterworth low-pass of `order` a pass, forward and back."""
    sos = butter(order, corner_hz, btype="lowpass", fs=rate_hz, output="sos")
    return sosfiltfilt(sos, values, padlen=min(3 * (2 * sos.shape[0] + 1), len(values) - 1))


def odd_samples(seconds: float, rate_hz: float) -> int:
    """Return the odd number of samples nearest to a window of so many seconds."""
    return 2 * round((seconds * rate_hz - 1) / 2) + 1 if seconds * rate_hz >= 1 else 1


@dataclass(frozen=True)
class Amplitude:
    """An envelope (any unit, one value a sample at `rate_hz`) that answers for any stretch by one running sum."""

    values: Samples
    rate_hz: float

    @cached_property
    def _sums(self) -> Samples:
        sums = np.zeros(len(self.values) + 1)
        np.cumsum(self.values, out=sums[1:])
        return sums

    def _places(self, span: Span | None) -> tuple[int, int]:
        first, last = (round(second * self.rate_hz) for second in span) if span else (0, len(self.values))
        return max(0, first), min(len(self.values), last)

    def total(self, span: Span | None = None) -> float:
        """Integral over the stretch: unit times seconds."""
        first, last = self._places(span)
        return float(self._sums[max(first, last)] - self._sums[first]) / self.rate_hz

    def mean(self, span: Span | None = None) -> float:
        """Mean over the stretch; 0 for an empty one."""
        first, last = self._places(span)
        return self.total(span) * self.rate_hz / max(1, last - first)

    def window_means(self, seconds: float, span: Span | None = None) -> Samples:
        """Means of all windows that lie in the stretch, by first sample; one mean where it is shorter."""
        first, last = self._places(span)
        samples = min(max(1, round(seconds * self.rate_hz)), last - first)
        if samples < 1:
            return np.zeros(1)
        sums = self._sums[first : last + 1]
        return (sums[samples:] - sums[:-samples]) / samples

    def peak(self, seconds: float, span: Span | None = None) -> float:
        """Largest mean over a window of so many seconds inside the stretch."""
        return float(self.window_means(seconds, span).max())

    def peak_second(self, seconds: float) -> float:
        """Second of the middle of that window."""
        return int(self.window_means(seconds).argmax()) / self.rate_hz + seconds / 2
