"""Checks in the frequency domain: movement artefact (loose sensor, pulled cable) and mains hum (emg_method §7)."""

from __future__ import annotations

from dataclasses import dataclass

from planner.emg.quality.finding import PERCENT, Finding, Level
from planner.emg.recording import Channel, Samples, Span
from planner.emg.settings import QualitySettings


@dataclass(frozen=True)
class Spectra:
    """Power of each segment at each frequency; `starts` are the segments' first seconds."""

    frequencies: Samples
    starts: Samples
    power: Samples  # segments × frequencies
    segment_seconds: float


def spectra_of(channel: Channel, limits: QualitySettings) -> Spectra:
    """Return the short-time power spectra of a raw channel, offset removed."""
    import numpy as np
    from scipy.signal import spectrogram

    samples = min(len(channel.values), round(limits.spectrum_seconds * channel.rate_hz))
    frequencies, middles, power = spectrogram(
        channel.values - channel.values.mean(),
        fs=channel.rate_hz,
        window="hann",
        nperseg=samples,
        noverlap=samples // 2,
        detrend=False,
        mode="psd",
    )
    seconds = samples / channel.rate_hz
    return Spectra(frequencies, middles - seconds / 2, np.ascontiguousarray(power.T), seconds)


def artefact(file: str, channel: Channel, spectra: Spectra, limits: QualitySettings) -> list[Finding]:
    """Name power below the muscle's band: a loose sensor or a pulled cable."""
    low = _band(spectra, limits.artefact_low_hz, limits.artefact_high_hz)
    whole = _band(spectra, limits.artefact_low_hz, limits.artefact_whole_hz)
    share = float(low.sum() / whole.sum()) if whole.sum() > 0 else 0.0
    if share <= limits.artefact_warn:
        return []
    level: Level = "fail" if share > limits.artefact_fail else "warn"
    worst = int(low.argmax())
    middle = float(spectra.starts[worst]) + spectra.segment_seconds / 2
    limit = limits.artefact_fail if level == "fail" else limits.artefact_warn
    spoiled = (low > limits.artefact_fail * whole) & (low > low.mean())
    return [
        Finding(
            "loose sensor or cable",
            level,
            file,
            channel.label,
            middle,
            share * PERCENT,
            limit * PERCENT,
            "% of the power",
            f"{share * PERCENT:.0f} % of the power lies below {limits.artefact_high_hz:g} Hz, most of it here",
            "Fix the sensor and its cable with tape and record again",
            _merged(spectra, spoiled) if level == "fail" else (),
        )
    ]


def mains(
    file: str, channel: Channel, spectra: Spectra, limits: QualitySettings, stated_hz: float | None
) -> list[Finding]:
    """Name a mains line that stands out of its surroundings: the stated one, else either of the two there are."""
    import numpy as np

    findings = []
    for line in (stated_hz,) if stated_hz else (limits.mains_first_hz, limits.mains_second_hz):
        near, beside = _line(spectra, line, limits)
        mean = spectra.power.mean(axis=0)
        around = float(np.median(mean[beside])) if beside.any() else 0.0
        if around <= 0:
            continue
        height = float(10 * np.log10(mean[near].max() / around))
        if height <= limits.mains_warn_db:
            continue
        level: Level = "fail" if height > limits.mains_fail_db else "warn"
        limit = limits.mains_fail_db if level == "fail" else limits.mains_warn_db
        second = float(spectra.starts[int(spectra.power[:, near].max(axis=1).argmax())])
        words = f"the {line:g} Hz line stands {height:.0f} dB above its surroundings"
        remedy = "Move away from lamps and chargers, renew the reference electrode; notch = true removes it"
        findings.append(
            Finding("mains hum", level, file, channel.label, second, height, limit, "dB", words, remedy)
        )
    return findings


def _line(spectra: Spectra, line: float, limits: QualitySettings) -> tuple[Samples, Samples]:
    import numpy as np

    away = np.abs(spectra.frequencies - line)
    near: Samples = away <= limits.mains_width_hz
    beside: Samples = (away >= limits.mains_beside_low_hz) & (away <= limits.mains_beside_high_hz)
    return near, beside


def _band(spectra: Spectra, low: float, high: float) -> Samples:
    inside = (spectra.frequencies >= low) & (spectra.frequencies <= high)
    power: Samples = spectra.power[:, inside].sum(axis=1)
    return power


def _merged(spectra: Spectra, chosen: Samples) -> tuple[Span, ...]:
    """Return the middle halves of the chosen segments as stretches, joined where they touch."""
    quarter = spectra.segment_seconds / 4
    spans: list[Span] = []
    for start in spectra.starts[chosen]:
        begin, end = float(start) + quarter, float(start) + 3 * quarter
        if spans and begin <= spans[-1][1] + 1e-9:
            spans[-1] = (spans[-1][0], end)
        else:
            spans.append((begin, end))
    return tuple(spans)
