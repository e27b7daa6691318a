"""All recordings of a session with the findings of every sensor, read and checked before anything is cleaned.

A heartbeat found in one file of a sensor is filtered out of all its files, so all are looked at first. Then the
reference of every sensor in every placement.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar

from library.errors import Fault, FaultyInput
from planner.emg.cleaning import check_rate, clean, envelope, high_corner
from planner.emg.quality import Finding, Judge, check_channel, constant_ends, rest_noise
from planner.emg.readers import read_recording
from planner.emg.recording import Channel, Recording, Samples, part_name
from planner.emg.references import (
    ReferenceLevel,
    SensorReference,
    choose_reference,
    level_of,
    session_highest,
)
from planner.emg.session import Placed, ReadSession, Reference, Sensor, Trial
from planner.files.text import refuse

AnyPart = TypeVar("AnyPart", bound=Placed)
Key = tuple[str, int]  # sensor name, placement


@dataclass(frozen=True)
class Loaded(Generic[AnyPart]):
    """One reference or trial: its recording, its sensors' channels in mV, what is wrong with either."""

    part: AnyPart
    recording: Recording | None
    channels: Mapping[str, Channel]  # by sensor name; only the sound ones
    findings: Mapping[str, list[Finding]]  # by sensor name
    faults: list[Fault]
    trimmed: str = ""  # what was cut off its ends

    @property
    def file(self) -> str:
        """The file as session.toml names it; seconds that are told count from where the part begins."""
        return part_name(self.part.file, self.part.start)


def load(read: ReadSession, part: AnyPart, cache: dict[str, Recording | FaultyInput]) -> Loaded[AnyPart]:
    """Read one part's file and check every sensor's channel; faults are kept, not raised."""
    try:
        recording = _cached(read, part.file, cache).between(part.start, part.stop)
    except FaultyInput as error:
        return Loaded(part, None, {}, {}, error.faults)
    faults: list[Fault] = []
    raw = read.session.session.signal == "raw"
    trimmed = ""
    channels = _channels(read, part, recording, faults)
    if raw and any(ends := _ends(channels.values(), read)):
        part, recording, trimmed = _trimmed(part, recording, ends)
        channels = {
            name: channel.between(ends[0], recording.seconds + ends[0]) for name, channel in channels.items()
        }
    mains = read.session.session.mains_hz
    findings = {
        name: check_channel(
            part_name(part.file, part.start), channel, read.quality, read.settings, raw=raw, mains_hz=mains
        )
        for name, channel in channels.items()
    }
    return Loaded(part, recording, channels, findings, faults, trimmed)


def _channels(
    read: ReadSession, part: Placed, recording: Recording, faults: list[Fault]
) -> dict[str, Channel]:
    """Return the channels of this part's side that can be measured, in mV."""
    channels: dict[str, Channel] = {}
    side = getattr(part, "side", None)
    for sensor in read.session.sensor:
        if side not in (None, sensor.side):
            continue
        try:
            channel = recording.channel(sensor.channel)
            if not channel.unit and sensor.unit:  # the stated unit counts where the file names none
                channel = replace(channel, unit=sensor.unit)
            channel = channel.in_millivolts()
            if read.session.session.signal == "raw":
                check_rate(recording.file, channel, read.settings)
            else:
                _refuse_negative(recording.file, channel)
        except FaultyInput as error:
            faults += error.faults
        else:
            channels[sensor.name] = channel
    return channels


def _refuse_negative(file: str, channel: Channel) -> None:
    below = channel.values < 0
    if below.any():
        second = int(below.argmax()) / channel.rate_hz
        where = f'channel "{channel.label}", second {second:.3f}'
        read = f"an envelope is never negative, read {float(channel.values.min()):g}"
        remedy = 'Write signal = "raw" in [session], or export the envelope'
        raise refuse(file, where, read, remedy)


def _ends(channels: Iterable[Channel], read: ReadSession) -> tuple[float, float]:
    """Return the unchanging seconds at the beginning and the end that all channels have, flat ones apart."""
    ends = [both for channel in channels if (both := constant_ends(channel, read.quality)) is not None]
    return min((start for start, _ in ends), default=0.0), min((stop for _, stop in ends), default=0.0)


def _trimmed(
    part: AnyPart, recording: Recording, ends: tuple[float, float]
) -> tuple[AnyPart, Recording, str]:
    """Return a part and its recording without the constant ends, and what is said of it; stated seconds move along."""
    start, stop = ends[0], recording.seconds - ends[1]
    words = " and ".join(
        f"{seconds:.2f} s at the {place}"
        for seconds, place in zip(ends, ("start", "end"), strict=True)
        if seconds
    )
    update: dict[str, Any] = {
        "start": (part.start or 0.0) + start or None,
        "stop": (part.start or 0.0) + stop,
    }
    listed = getattr(part, "repetitions", None)
    if isinstance(listed, tuple):
        update["repetitions"] = tuple(tuple(second - start for second in one) for one in listed)
    told = f"{part_name(part.file, part.start)}: samples do not change for {words}: cut off"
    cut = replace(recording.between(start, stop), file=part_name(recording.file, start))
    return part.model_copy(update=update), cut, told


def _cached(read: ReadSession, name: str, cache: dict[str, Recording | FaultyInput]) -> Recording:
    """Read each file once: several parts may lie in one."""
    if name not in cache:
        try:
            cache[name] = read_recording(read.folder, name, read.session, read.quality)
        except FaultyInput as error:
            cache[name] = error
    recording = cache[name]
    if isinstance(recording, FaultyInput):
        raise recording
    return recording


@dataclass(frozen=True)
class Cleaner:
    """Cleans any channel of the session in the same way: same steps, same numbers, reference and exercise alike."""

    read: ReadSession
    with_heart: frozenset[str]  # names of sensors that a heartbeat was found in

    def signals(self, sensor: Sensor, channel: Channel) -> tuple[Samples | None, Samples]:
        """Return the cleaned signal, None where a ready envelope was recorded, and the amplitude over time."""
        if self.read.session.session.signal == "envelope":
            return None, channel.values
        heart = sensor.name in self.with_heart
        cleaned = clean(channel.values, channel.rate_hz, self.read.settings, heartbeat=heart)
        return cleaned, envelope(cleaned, channel.rate_hz, self.read.settings)


def sensors_with_heart(parts: list[Loaded[Any]]) -> frozenset[str]:
    """Return the sensors that a heartbeat was found in, in any file."""
    return frozenset(
        name
        for part in parts
        for name, findings in part.findings.items()
        if any(finding.check == "heartbeat" for finding in findings)
    )


def references_of(
    cleaner: Cleaner, references: list[Loaded[Reference]], trials: list[Loaded[Trial]]
) -> tuple[dict[Key, SensorReference], list[Finding]]:
    """Choose every sensor's reference; without reference trials that count, the session's highest exercise.

    Returned with the findings that came up on the way.
    """
    chosen: dict[Key, SensorReference] = {}
    findings: list[Finding] = []
    for sensor in cleaner.read.session.sensor:
        for placement in sorted({trial.part.placement for trial in trials} or {1}):
            here = [r for r in references if r.part.placement == placement and sensor.name in r.channels]
            best = _contraction(cleaner, sensor, placement, here, findings) if here else None
            if best := best or _highest(cleaner, sensor, placement, trials):
                chosen[sensor.name, placement] = best
    return chosen, findings


def _contraction(
    cleaner: Cleaner, sensor: Sensor, placement: int, here: list[Loaded[Reference]], findings: list[Finding]
) -> SensorReference | None:
    read = cleaner.read
    measured = [_level(cleaner, sensor, part) for part in here]
    highest = max((level.level for level, _ in measured if not level.left_out), default=0.0)
    kept = []
    for part, (level, cleaned) in zip(here, measured, strict=True):
        noise = []
        if cleaned is not None and not level.left_out:
            channel = part.channels[sensor.name]
            judge, peaks = Judge(part.file, channel.label), (level.level, highest)
            noise = rest_noise(judge, cleaned, peaks, channel.rate_hz, read.settings, read.quality)
        findings.extend(noise)
        failed = next((finding for finding in noise if finding.level == "fail"), None)
        kept.append(replace(level, left_out=_said(failed)) if failed else level)
    chosen = choose_reference(sensor.name, sensor.muscle, placement, kept, read.settings)
    corner = min(high_corner(part.channels[sensor.name].rate_hz, read.settings) for part in here)
    return chosen and replace(chosen, corner_hz=corner)


def _level(
    cleaner: Cleaner, sensor: Sensor, part: Loaded[Reference]
) -> tuple[ReferenceLevel, Samples | None]:
    channel = part.channels[sensor.name]
    cleaned, shaped = cleaner.signals(sensor, channel)
    level = level_of(part.file, part.part.test, shaped, channel.rate_hz, cleaner.read.settings)
    failed = next((f for f in part.findings[sensor.name] if f.level == "fail"), None)
    return (replace(level, left_out=_said(failed)) if failed else level), cleaned


def _said(finding: Finding) -> str:
    where = "" if finding.second is None else f" at second {finding.second:.1f}"
    return f"{finding.check}{where}: {finding.words}"


def _highest(
    cleaner: Cleaner, sensor: Sensor, placement: int, trials: Iterable[Loaded[Trial]]
) -> SensorReference | None:
    levels = []
    for part in trials:
        failed = any(f.level == "fail" for f in part.findings.get(sensor.name, []))
        if part.part.placement != placement or sensor.name not in part.channels or failed:
            continue
        channel = part.channels[sensor.name]
        _, shaped = cleaner.signals(sensor, channel)
        level = level_of(part.file, "", shaped, channel.rate_hz, cleaner.read.settings)
        levels.append((part.file, level.level))
    return session_highest(sensor.name, placement, levels)
