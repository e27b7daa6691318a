"""Cleaning one channel: offset, band-pass, notch, heartbeat filter, envelope (emg_method §3, steps 1 to 3).

Arrays are one-dimensional; rates and corners in Hz; an envelope keeps its signal's unit and length. Filters are
scipy's second-order sections run forward and back: no lag, and twice the attenuation (-6 dB) at the corner.
"""

from __future__ import annotations

from library.errors import Fault, FaultyInput
from planner.emg.recording import Channel, Samples
from planner.emg.settings import MeasureSettings

DEFAULT_HIGH_HZ = MeasureSettings().band_high_hz


def high_corner(rate_hz: float, settings: MeasureSettings) -> float:
    """Return the band's high corner: a stated one as it is, the default capped to the rate's share."""
    if settings.band_high_hz != DEFAULT_HIGH_HZ:
        return settings.band_high_hz
    return min(settings.band_high_hz, settings.band_high_share * rate_hz)


def check_rate(file: str, channel: Channel, settings: MeasureSettings) -> None:
    """Refuse a rate below the least, a corner above half the rate and a signal too short to filter."""
    where = f'channel "{channel.label}"'
    faults = []
    if channel.rate_hz < settings.lowest_rate_hz:
        read = f"raw EMG at {channel.rate_hz:g} Hz cannot be measured"
        remedy = f"Record at {settings.low_rate_hz:g} Hz or more (2,000 Hz preferred)"
        faults.append(Fault(file, where, read, remedy))
    for name, corner in corners(channel.rate_hz, settings).items():
        if corner >= channel.rate_hz / 2:
            read = f"{name} = {corner:g} Hz is not below half the rate ({channel.rate_hz / 2:g} Hz)"
            faults.append(Fault(file, where, read, f"State a lower {name} in [method]"))
    least = settings.window_seconds
    if channel.seconds < least:
        read = f"{channel.seconds:.2f} s are shorter than the window of {least:g} s"
        faults.append(Fault(file, where, read, "Record the whole set"))
    if faults:
        raise FaultyInput(faults)


def corners(rate_hz: float, settings: MeasureSettings) -> dict[str, float]:
    """Return every corner that cleaning uses with these settings, by its setting's name."""
    used = {"band_low_hz": settings.band_low_hz, "band_high_hz": high_corner(rate_hz, settings)}
    if settings.notch:
        used["mains_hz"] = settings.mains_hz
    if settings.envelope == "linear":
        used["linear_hz"] = settings.linear_hz
    return used


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
        high = butter(
            settings.heart_order, settings.heart_high_pass_hz, btype="highpass", fs=rate_hz, output="sos"
        )
        cleaned = sosfiltfilt(high, cleaned)
    return cleaned


def envelope(cleaned: Samples, rate_hz: float, settings: MeasureSettings) -> Samples:
    """Return the amplitude over time: moving RMS, or the linear envelope where settings say so."""
    if settings.envelope == "linear":
        return linear_envelope(cleaned, rate_hz, settings)
    return moving_rms(cleaned, odd_samples(settings.rms_seconds, rate_hz))


def moving_rms(values: Samples, samples: int) -> Samples:
    """Return the centred moving root mean square over `samples` (odd), ends mirrored."""
    import numpy as np
    from scipy.ndimage import uniform_filter1d

    square = np.square(values)
    uniform_filter1d(square, samples, mode="reflect", output=square)
    # the running sum may leave a quiet stretch a hair below zero
    np.maximum(square, 0.0, out=square)
    return np.sqrt(square, out=square)


def linear_envelope(values: Samples, rate_hz: float, settings: MeasureSettings) -> Samples:
    """Return the rectified signal, low-passed forward and back."""
    import numpy as np

    return low_pass(np.abs(values), rate_hz, settings.linear_hz, settings.linear_order)


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
