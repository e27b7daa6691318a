"""All checks of a raw channel, in the order in which a coach would mend things."""

from __future__ import annotations

from planner.emg.quality.finding import Finding
from planner.emg.quality.gaps import dropouts, uneven_time
from planner.emg.quality.heart import heartbeat
from planner.emg.quality.range import clipping, flat, poor_range
from planner.emg.quality.spectrum import artefact, mains, spectra_of
from planner.emg.recording import Channel
from planner.emg.settings import MeasureSettings, QualitySettings


def check_channel(
    file: str,
    channel: Channel,
    limits: QualitySettings,
    settings: MeasureSettings,
    *,
    raw: bool = True,
    mains_hz: float | None = None,
) -> list[Finding]:
    """Run every check on one channel of one file; a ready envelope may rest at 0 and has no spectrum."""
    if found := flat(file, channel, limits):
        return found
    findings = uneven_time(file, channel, limits)
    if not raw:
        return findings
    findings += clipping(file, channel, limits) + dropouts(file, channel, limits)
    findings += (poor := poor_range(file, channel, limits))
    if any(finding.level == "fail" for finding in poor):
        return findings  # a handful of codes has no spectrum to judge
    spectra = spectra_of(channel, limits)
    findings += artefact(file, channel, spectra, limits)
    if not settings.notch:
        findings += mains(file, channel, spectra, limits, mains_hz)
    return findings + heartbeat(file, channel, limits)
