"""Cleaning one channel (offset, band-pass, notch, heartbeat filter), its amplitude, its frequency (emg_method §3, §6).

Arrays are one-dimensional; rates and corners in Hz; an envelope keeps its signal's unit and length. Filters are
scipy's second-order sections run forward and back: no lag, and twice the attenuation (-6 dB) at the corner.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache

from library.errors import Fault, FaultyInput
from planner.emg.recording import Channel, Samples, Span
from planner.emg.settings import MeasureSettings

DEFAULT_HIGH_HZ = MeasureSettings().band_high_hz


def high_corner(rate_hz: float, settings: MeasureSettings) -> float:
    """Return the band's high corner: a stated one as it is, the default capped to the rate's share."""
    stated: float = settings.band_high_hz
    return stated if stated != DEFAULT_HIGH_HZ else min(stated, settings.band_high_share * rate_hz)


def check_rate(file: str, channel: Channel, settings: MeasureSettings) -> None:
    """Refuse a rate below the least, a corner above half the rate and a signal too short to filter."""
    rate, wrong = channel.rate_hz, []
    corners = {"band_low_hz": settings.band_low_hz, "band_high_hz": high_corner(rate, settings)}
    if settings.notch:
        corners["mains_hz"] = settings.mains_hz
    if settings.envelope == "linear":
        corners["linear_hz"] = settings.linear_hz
    if rate < settings.lowest_rate_hz:
        remedy = f"Record at {settings.low_rate_hz:g} Hz or more (2,000 Hz preferred)"
        wrong.append((f"raw EMG at {rate:g} Hz cannot be measured", remedy))
    for name, corner in corners.items():
        if corner >= rate / 2:
            read = f"{name} = {corner:g} Hz is not below half the rate ({rate / 2:g} Hz)"
            wrong.append((read, f"State a lower {name} in [method]"))
    if channel.seconds < settings.window_seconds:
        read = f"{channel.seconds:.2f} s are shorter than the window of {settings.window_seconds:g} s"
        wrong.append((read, "Record the whole set"))
    if wrong:
        raise FaultyInput([Fault(file, f'channel "{channel.label}"', *words) for words in wrong])


def clean(values: Samples, rate_hz: float, settings: MeasureSettings, *, heartbeat: bool = False) -> Samples:
    """Return the band-passed signal; with `heartbeat` also high-passed. Corners must lie below half the rate."""
    from scipy.signal import butter, iirnotch, sosfiltfilt, tf2sos

    edges = (settings.band_low_hz, high_corner(rate_hz, settings))
    sos = butter(settings.band_order, edges, btype="bandpass", fs=rate_hz, output="sos")
    cleaned: Samples = sosfiltfilt(sos, values - values.mean())
    if settings.notch:
        notch = tf2sos(*iirnotch(settings.mains_hz, settings.notch_q, fs=rate_hz))
        cleaned = sosfiltfilt(notch, cleaned)
    if heartbeat:
        corner = settings.heart_high_pass_hz
        high = butter(settings.heart_order, corner, btype="highpass", fs=rate_hz, output="sos")
        cleaned = sosfiltfilt(high, cleaned)
    return cleaned


def envelope(cleaned: Samples, rate_hz: float, settings: MeasureSettings) -> Samples:
    """Return the amplitude over time: moving RMS, or rectified and low-passed where settings say so."""
    import numpy as np

    if settings.envelope == "linear":
        return low_pass(np.abs(cleaned), rate_hz, settings.linear_hz, settings.linear_order)
    return moving_rms(cleaned, odd_samples(settings.rms_seconds, rate_hz))


def moving_rms(values: Samples, samples: int) -> Samples:
    """Return the centred moving root mean square over `samples` (odd), ends mirrored.

    By one running sum: a third of the time of scipy.ndimage.uniform_filter1d.
    """
    import numpy as np

    square = np.square(values)
    sums = np.zeros(len(values) + samples)
    np.cumsum(np.pad(square, samples // 2, mode="symmetric"), out=sums[1:])
    np.subtract(sums[samples:], sums[:-samples], out=square)
    square /= samples
    # the running sum may leave a quiet stretch a hair below zero
    np.maximum(square, 0.0, out=square)
    return np.sqrt(square, out=square)


def low_pass(values: Samples, rate_hz: float, corner_hz: float, order: int) -> Samples:
    """Return values after a Butterworth low-pass of `order` a pass, forward and back."""
    from scipy.signal import butter, sosfiltfilt

    sos = butter(order, corner_hz, btype="lowpass", fs=rate_hz, output="sos")
    padding = min(3 * (2 * sos.shape[0] + 1), len(values) - 1)
    filtered: Samples = sosfiltfilt(sos, values, padlen=padding)
    return filtered


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
        import numpy as np

        sums = np.empty(len(self.values) + 1)
        sums[0] = 0.0
        np.cumsum(self.values, out=sums[1:])
        return sums

    def _places(self, span: Span | None) -> tuple[int, int]:
        if span is None:
            return 0, len(self.values)
        first, last = round(span[0] * self.rate_hz), round(span[1] * self.rate_hz)
        return max(0, first), min(len(self.values), last)

    def total(self, span: Span | None = None) -> float:
        """Integral over the stretch: unit times seconds."""
        first, last = self._places(span)
        return float(self._sums[last] - self._sums[first]) / self.rate_hz if last > first else 0.0

    def mean(self, span: Span | None = None) -> float:
        """Mean over the stretch; 0 for an empty one."""
        first, last = self._places(span)
        return float(self._sums[last] - self._sums[first]) / (last - first) if last > first else 0.0

    def window_means(self, seconds: float, span: Span | None = None) -> Samples:
        """Means of all windows that lie in the stretch, by first sample; one mean where it is shorter."""
        import numpy as np

        first, last = self._places(span)
        samples = min(max(1, round(seconds * self.rate_hz)), last - first)
        if samples < 1:
            return np.zeros(1)
        sums = self._sums[first : last + 1]
        means: Samples = (sums[samples:] - sums[:-samples]) / samples
        return means

    def peak(self, seconds: float, span: Span | None = None) -> float:
        """Largest mean over a window of so many seconds inside the stretch."""
        return float(self.window_means(seconds, span).max())

    def peak_second(self, seconds: float, span: Span | None = None) -> float:
        """Second of the middle of that window."""
        first, _ = self._places(span)
        return (first + int(self.window_means(seconds, span).argmax())) / self.rate_hz + seconds / 2


def median_frequency(values: Samples, rate_hz: float, settings: MeasureSettings) -> float | None:
    """Return the frequency in Hz that halves the power between the settings' limits; None if too short."""
    import numpy as np

    if len(values) < settings.frequency_least_seconds * rate_hz:
        return None
    samples = min(len(values), round(settings.frequency_seconds * rate_hz))
    limits = (settings.frequency_low_hz, settings.frequency_high_hz)
    first, frequencies = _lines(samples, rate_hz, limits)
    running = np.cumsum(mean_power(values, samples)[first : first + len(frequencies)])
    if len(running) == 0 or running[-1] <= 0:
        return None
    return float(np.interp(running[-1] / 2, running, frequencies))


@lru_cache(maxsize=64)
def _lines(samples: int, rate_hz: float, limits: tuple[float, float]) -> tuple[int, Samples]:
    """Return the place of the first spectral line inside the limits, and the frequencies of all that are."""
    import numpy as np

    frequencies = np.fft.rfftfreq(samples, 1 / rate_hz)
    inside = (frequencies >= limits[0]) & (frequencies <= limits[1])
    return int(inside.argmax()), frequencies[inside]


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
    )  # of an even length the highest line stands for one frequency, not two
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
