"""All recordings of a session with the findings of every sensor in every file, read before anything is cleaned.

A heartbeat found in one file of a sensor is filtered out of all its files, so all are looked at first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from library.errors import Fault, FaultyInput
from planner.emg.clean import check_rate, clean, envelope
from planner.emg.quality.checks import check_channel
from planner.emg.quality.finding import Finding
from planner.emg.read import read_recording
from planner.emg.recording import Channel, Recording, Samples, part_name
from planner.emg.session import Placed, Sensor, Session
from planner.emg.session_read import ReadSession
from planner.emg.settings import MeasureSettings

AnyPart = TypeVar("AnyPart", bound=Placed)


@dataclass(frozen=True)
class Loaded(Generic[AnyPart]):
    """One reference or trial: its recording, its sensors' channels in mV, what is wrong with either."""

    part: AnyPart
    recording: Recording | None
    channels: Mapping[str, Channel]  # by sensor name; only the sound ones
    findings: Mapping[str, list[Finding]]  # by sensor name
    faults: list[Fault]

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
    channels: dict[str, Channel] = {}
    findings: dict[str, list[Finding]] = {}
    faults: list[Fault] = []
    side = getattr(part, "side", None)
    card = read.session.session
    for sensor in read.session.sensor:
        if side not in (None, sensor.side):
            continue
        try:
            channel = _in_unit(recording.channel(sensor.channel), sensor)
            if card.signal == "raw":
                check_rate(recording.file, channel, read.settings)
        except FaultyInput as error:
            faults += error.faults
            continue
        channels[sensor.name] = channel
        findings[sensor.name] = check_channel(
            part_name(part.file, part.start),
            channel,
            read.quality,
            read.settings,
            raw=card.signal == "raw",
            mains_hz=card.mains_hz,
        )
    return Loaded(part, recording, channels, findings, faults)


def _in_unit(channel: Channel, sensor: Sensor) -> Channel:
    """Return the channel in mV; the sensor's stated unit counts where the file names none."""
    if not channel.unit and sensor.unit:
        channel = replace(channel, unit=sensor.unit)
    return channel.in_millivolts()


def _cached(read: ReadSession, name: str, cache: dict[str, Recording | FaultyInput]) -> Recording:
    """Read each file once: several parts may lie in one."""
    if name not in cache:
        try:
            cache[name] = read_recording(read.folder, name, read.session, read.quality)
        except FaultyInput as error:
            cache[name] = error
    found = cache[name]
    if isinstance(found, FaultyInput):
        raise found
    return found


@dataclass(frozen=True)
class Cleaner:
    """Cleans any channel of the session in the same way: same steps, same numbers, reference and exercise alike."""

    session: Session
    settings: MeasureSettings
    with_heart: frozenset[str]  # names of sensors that a heartbeat was found in

    def cleaned(self, sensor: Sensor, channel: Channel) -> Samples | None:
        """Return the cleaned signal; None where a ready envelope was recorded."""
        if self.session.session.signal == "envelope":
            return None
        return clean(channel.values, channel.rate_hz, self.settings, heartbeat=sensor.name in self.with_heart)

    def envelope(self, channel: Channel, cleaned: Samples | None) -> Samples:
        """Return the amplitude over time in the channel's unit."""
        if cleaned is None:
            return channel.values
        return envelope(cleaned, channel.rate_hz, self.settings)


def sensors_with_heart(parts: list[Loaded[AnyPart]]) -> set[str]:
    """Return the sensors that a heartbeat was found in, in any file."""
    return {
        name
        for part in parts
        for name, findings in part.findings.items()
        if any(finding.check == "heartbeat" for finding in findings)
    }
