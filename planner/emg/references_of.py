"""The reference of every sensor in every placement of a session."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from planner.emg.clean import high_corner
from planner.emg.loaded import Cleaner, Loaded
from planner.emg.onset import held_seconds
from planner.emg.quality.finding import Finding
from planner.emg.quality.level import rest_noise
from planner.emg.reference import (
    ReferenceLevel,
    SensorReference,
    choose_reference,
    level_of,
    session_highest,
)
from planner.emg.session import Reference, Sensor, Trial
from planner.emg.session_read import ReadSession

Key = tuple[str, int]  # sensor name, placement


@dataclass(frozen=True)
class References:
    """References by sensor and placement, with the band's high corner each was cleaned with, and new findings."""

    by_sensor: dict[Key, SensorReference]
    corners_hz: dict[Key, float]
    findings: list[Finding]


def references_of(
    read: ReadSession, cleaner: Cleaner, references: list[Loaded[Reference]], trials: list[Loaded[Trial]]
) -> References:
    """Choose every sensor's reference; without reference trials that count, the session's highest exercise."""
    found = References({}, {}, [])
    placements = sorted({trial.part.placement for trial in trials} or {1})
    for sensor in read.session.sensor:
        for placement in placements:
            chosen = _contraction(read, cleaner, sensor, placement, references, found)
            if chosen is None:
                chosen = _highest(read, cleaner, sensor, placement, trials)
            if chosen is not None:
                found.by_sensor[sensor.name, placement] = chosen
    return found


def _contraction(
    read: ReadSession,
    cleaner: Cleaner,
    sensor: Sensor,
    placement: int,
    references: list[Loaded[Reference]],
    found: References,
) -> SensorReference | None:
    here = [r for r in references if r.part.placement == placement and sensor.name in r.channels]
    levels = [_level(read, cleaner, sensor, part) for part in here]
    highest = max((level.level for level in levels if not level.left_out), default=0.0)
    kept = []
    for part, level in zip(here, levels, strict=True):
        noise = [] if level.left_out else _noise(read, cleaner, sensor, part, (level.level, highest))
        found.findings.extend(noise)
        failed = next((finding for finding in noise if finding.level == "fail"), None)
        kept.append(replace(level, left_out=_said(failed)) if failed else level)
    if here:
        rates = {part.channels[sensor.name].rate_hz for part in here}
        found.corners_hz[sensor.name, placement] = min(high_corner(rate, read.settings) for rate in rates)
    return choose_reference(sensor.name, sensor.muscle, placement, kept, read.settings)


def _level(read: ReadSession, cleaner: Cleaner, sensor: Sensor, part: Loaded[Reference]) -> ReferenceLevel:
    channel = part.channels[sensor.name]
    cleaned = cleaner.cleaned(sensor, channel)
    envelope = cleaner.envelope(channel, cleaned)
    level = level_of(part.file, part.part.test, envelope, channel.rate_hz, read.settings)
    if cleaned is not None:
        held = held_seconds(cleaned, channel.rate_hz, level.second, read.settings)
        level = replace(level, held=held)
    failed = next((f for f in part.findings[sensor.name] if f.level == "fail"), None)
    return replace(level, left_out=_said(failed)) if failed else level


def _noise(
    read: ReadSession, cleaner: Cleaner, sensor: Sensor, part: Loaded[Reference], peaks: tuple[float, float]
) -> list[Finding]:
    channel = part.channels[sensor.name]
    cleaned = cleaner.cleaned(sensor, channel)
    if cleaned is None:
        return []
    return rest_noise(part.file, channel.label, cleaned, peaks, channel.rate_hz, read.settings, read.quality)


def _said(finding: Finding | None) -> str:
    if finding is None:
        return ""
    where = "" if finding.second is None else f" at second {finding.second:.1f}"
    return f"{finding.check}{where}: {finding.words}"


def _highest(
    read: ReadSession, cleaner: Cleaner, sensor: Sensor, placement: int, trials: Iterable[Loaded[Trial]]
) -> SensorReference | None:
    levels = []
    for part in trials:
        failed = any(f.level == "fail" for f in part.findings.get(sensor.name, []))
        if part.part.placement != placement or sensor.name not in part.channels or failed:
            continue
        channel = part.channels[sensor.name]
        envelope = cleaner.envelope(channel, cleaner.cleaned(sensor, channel))
        level = level_of(part.file, "", envelope, channel.rate_hz, read.settings)
        levels.append((part.file, level.level))
    return session_highest(sensor.name, placement, levels)
