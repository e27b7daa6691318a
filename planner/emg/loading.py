"""All recordings of a session with the findings of every sensor, read and checked before anything is cleaned.

A heartbeat found in one file of a sensor is filtered out of all its files, so all are looked at first. Then the
reference of every sensor in every placement.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Generic, TypeVar

from library.errors import Fault, FaultyInput
from planner.emg.quality import check_channel, check_rate, constant_ends, rest_noise
from planner.emg.readers import read_recording
from planner.emg.references import (
    ReferenceLevel,
    SensorReference,
    choose_reference,
    level_of,
    session_highest,
)
from planner.emg.session import Placed, ReadSession, Reference, Sensor, Trial
from planner.emg.signals import Channel, Recording, Samples, clean, envelope, high_corner, part_name
from planner.emg.spectrum import Finding
from planner.files.text import refuse

AnyPart = TypeVar("AnyPart", bound=Placed)
Key = tuple[str, int]  # sensor name, placement


@dataclass(frozen=True)
class Loaded(Generic[AnyPart]):
    """One reference or trial: its recording, its sensors' sound channels in mV with their findings, by sensor name."""

    number: int  # its place in session.toml, from 1
    part: AnyPart
    recording: Recording
    channels: Mapping[str, Channel]
    findings: Mapping[str, list[Finding]]

    @property
    def file(self) -> str:
        """The file as session.toml names it; seconds that are told count from where the part begins."""
        return part_name(self.part.file, self.part.start)


def said(findings: Iterable[Finding]) -> str:
    """Say the first failed finding; an empty text where none failed."""
    for finding in findings:
        if finding.level == "fail":
            where = "" if finding.second is None else f" at second {finding.second:.1f}"
            return f"{finding.check}{where}: {finding.words}"
    return ""


@dataclass(frozen=True)
class Bench:
    """One session at work: what was read, what turns up on the way, and how every channel is cleaned.

    Turning up: flaws of channels, what is wrong with files, what the coach should know, files as they were read,
    names of sensors that a heartbeat was found in, in any file.
    """

    read: ReadSession
    findings: list[Finding] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    files: dict[str, Recording | FaultyInput] = field(default_factory=dict)
    with_heart: set[str] = field(default_factory=set)

    def recording(self, name: str) -> Recording:
        """Return a file's recording; each is read once, since several parts may lie in one. Raises FaultyInput."""
        read = self.read
        if name not in self.files:
            try:
                self.files[name] = read_recording(read.folder, name, read.session, read.quality)
            except FaultyInput as error:
                self.files[name] = error
        if isinstance(recording := self.files[name], FaultyInput):
            raise recording
        return recording

    def signals(self, sensor: Sensor, channel: Channel) -> tuple[Samples | None, Samples]:
        """Return the cleaned signal, None where a ready envelope was recorded, and the amplitude over time."""
        if self.read.session.session.signal == "envelope":
            return None, channel.values
        heart = sensor.name in self.with_heart
        cleaned = clean(channel.values, channel.rate_hz, self.read.settings, heartbeat=heart)
        return cleaned, envelope(cleaned, channel.rate_hz, self.read.settings)

    def level(self, sensor: Sensor, part: Loaded[Any]) -> tuple[ReferenceLevel, Samples | None]:
        """Return what a part gives for a sensor's reference, left out where its channel failed; cleaned beside it."""
        channel, test = part.channels[sensor.name], getattr(part.part, "test", "")
        cleaned, shaped = self.signals(sensor, channel)
        level = level_of(part.file, test, shaped, channel.rate_hz, self.read.settings)
        return replace(level, left_out=said(part.findings[sensor.name]) or level.left_out), cleaned


def load(bench: Bench, parts: Iterable[AnyPart]) -> list[Loaded[AnyPart]]:
    """Read the parts' files and check every sensor's channel."""
    loaded = []
    for number, part in enumerate(parts, 1):
        try:
            recording = bench.recording(part.file).between(part.start, part.stop)
        except FaultyInput as error:
            bench.faults.extend(error.faults)
        else:
            loaded.append(_checked(bench, Loaded(number, part, recording, {}, {})))
    return loaded


def _checked(bench: Bench, loaded: Loaded[AnyPart]) -> Loaded[AnyPart]:
    read, channels = bench.read, {}
    raw, mains_hz = read.session.session.signal == "raw", read.session.session.mains_hz
    for sensor in read.session.sensor:
        if getattr(loaded.part, "side", None) in (None, sensor.side):
            try:
                channels[sensor.name] = _channel(read, loaded.recording, sensor)
            except FaultyInput as error:
                bench.faults.extend(error.faults)
    loaded = replace(loaded, channels=channels)
    loaded = _trimmed(bench, loaded) if raw else loaded
    findings, rules = {}, (read.quality, read.settings)
    for name, channel in loaded.channels.items():
        flaws = check_channel(loaded.file, channel, *rules, raw=raw, mains_hz=mains_hz)
        bench.findings.extend(flaws)
        bench.with_heart.update({name} if any(f.check == "heartbeat" for f in flaws) else ())
        findings[name] = flaws
    return replace(loaded, findings=findings)


def _channel(read: ReadSession, recording: Recording, sensor: Sensor) -> Channel:
    """Return a sensor's channel in mV; the stated unit counts where the file names none. Raises FaultyInput."""
    channel = recording.channel(sensor.channel)
    channel = replace(channel, unit=channel.unit or sensor.unit or "").in_millivolts()
    if read.session.session.signal == "raw":
        check_rate(recording.file, channel, read.settings)
    elif (below := channel.values < 0).any():
        where = f'channel "{channel.label}", second {int(below.argmax()) / channel.rate_hz:.3f}'
        words = f"an envelope is never negative, read {float(channel.values.min()):g}"
        remedy = 'Write signal = "raw" in [session], or export the envelope'
        raise refuse(recording.file, where, words, remedy)
    return channel


def _trimmed(bench: Bench, loaded: Loaded[AnyPart]) -> Loaded[AnyPart]:
    """Cut off the unchanging seconds that all channels have at the ends, and say so; stated seconds move along."""
    part, recording, channels = loaded.part, loaded.recording, loaded.channels
    ends = [both for channel in channels.values() if (both := constant_ends(channel, bench.read.quality))]
    start, end = (min((both[n] for both in ends), default=0.0) for n in (0, 1))
    listed = getattr(part, "repetitions", None)
    if isinstance(listed, tuple) and listed:  # what is stated is never cut off
        start, end = min(start, listed[0][0]), min(end, max(0.0, recording.seconds - listed[-1][1]))
    if not (start or end):
        return loaded
    stop = recording.seconds - end
    words = " and ".join(f"{s:.2f} s at the {name}" for s, name in ((start, "start"), (end, "end")) if s)
    bench.warnings.append(f"{loaded.file}: samples do not change for {words}: cut off")
    begin = part.start or 0.0
    update: dict[str, Any] = {"start": begin + start or None, "stop": begin + stop if end else part.stop}
    if isinstance(listed, tuple):
        update["repetitions"] = tuple(tuple(second - start for second in seconds) for seconds in listed)
    cut = replace(recording.between(start, stop), file=part_name(recording.file, start))
    channels = {name: channel.between(start, stop) for name, channel in channels.items()}
    return replace(loaded, part=part.model_copy(update=update), recording=cut, channels=channels)


def references_of(
    bench: Bench, references: list[Loaded[Reference]], trials: list[Loaded[Trial]]
) -> dict[Key, SensorReference]:
    """Choose every sensor's reference; without reference trials that count, the session's highest exercise."""
    chosen: dict[Key, SensorReference] = {}
    for sensor in bench.read.session.sensor:
        name = sensor.name
        for placement in sorted({trial.part.placement for trial in trials} or {1}):
            tests = [r for r in references if r.part.placement == placement and name in r.channels]
            sets = [t for t in trials if t.part.placement == placement and name in t.channels]
            best = _contraction(bench, sensor, placement, tests) if tests else None
            levels = (bench.level(sensor, part)[0] for part in sets if not said(part.findings[name]))
            if best := best or session_highest(name, placement, levels):
                chosen[name, placement] = best
    return chosen


def _contraction(
    bench: Bench, sensor: Sensor, placement: int, tests: list[Loaded[Reference]]
) -> SensorReference | None:
    read = bench.read
    measured = [bench.level(sensor, part) for part in tests]
    highest = max((level.level for level, _ in measured if not level.left_out), default=0.0)
    kept = []
    for part, (level, cleaned) in zip(tests, measured, strict=True):
        channel, noise = part.channels[sensor.name], []
        if cleaned is not None and not level.left_out:
            place, peaks = (part.file, channel.label), (level.level, highest)
            noise = rest_noise(place, cleaned, peaks, channel.rate_hz, read.settings, read.quality)
        bench.findings.extend(noise)
        kept.append(replace(level, left_out=said(noise) or level.left_out))
    chosen = choose_reference(sensor.name, sensor.muscle, placement, kept, read.settings)
    corner = min(high_corner(part.channels[sensor.name].rate_hz, read.settings) for part in tests)
    return chosen and replace(chosen, corner_hz=corner)
