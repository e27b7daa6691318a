"""Checks that need the cleaned signal and its reference: noise at rest and levels above 100 % (emg_method §7)."""

from __future__ import annotations

from planner.emg.quality.finding import PERCENT, Finding, Level
from planner.emg.recording import Samples
from planner.emg.settings import MeasureSettings, QualitySettings
from planner.emg.windows import Amplitude


def rest_noise(
    file: str,
    channel: str,
    cleaned: Samples,
    peak: tuple[float, float],
    rate_hz: float,
    settings: MeasureSettings,
    limits: QualitySettings,
) -> list[Finding]:
    """Name noise in the quietest stretch; `peak` is the trial's own peak and what noise is compared with.

    A trial whose quietest stretch is not much quieter than its peak holds no rest and is not judged.
    """
    import numpy as np

    own_peak, reference = peak
    power = Amplitude(np.square(cleaned), rate_hz).window_means(settings.window_seconds)
    at = int(power.argmin())
    noise = float(np.sqrt(max(0.0, power[at])))
    if own_peak <= 0 or reference <= 0 or noise > limits.rest_judged * own_peak:
        return []
    share = noise / reference
    if share <= limits.rest_warn:
        return []
    level: Level = "fail" if share > limits.rest_fail else "warn"
    limit = limits.rest_fail if level == "fail" else limits.rest_warn
    return [
        Finding(
            "noise at rest",
            level,
            file,
            channel,
            at / rate_hz + settings.window_seconds / 2,
            share * PERCENT,
            limit * PERCENT,
            "% of the reference",
            f"the quietest {settings.window_seconds:g} s still read {share * PERCENT:.0f} % of the reference",
            "Let the arm hang loose before the set; renew skin preparation if it stays",
        )
    ]


def high_level(
    file: str, channel: str, percent: Amplitude, settings: MeasureSettings, limits: QualitySettings
) -> list[Finding]:
    """Flag activation above the reference; it is kept as it is, never cut."""
    peak = percent.peak(settings.window_seconds)
    if peak <= limits.level_warn * (1 + 1e-9):
        return []
    level: Level = "fail" if peak > limits.level_fail else "warn"
    doubtful = "so the reference itself is doubtful" if level == "fail" else "kept as measured"
    second = percent.peak_second(settings.window_seconds)
    limit = limits.level_fail if level == "fail" else limits.level_warn
    words = f"the largest {settings.window_seconds:g} s reach {peak:.0f} % of the reference, {doubtful}"
    remedy = (
        "Record the reference tests again with full effort; a moving muscle may exceed a held one a little"
    )
    return [
        Finding("above 100 %", level, file, channel, second, peak, limit, "% of the reference", words, remedy)
    ]
