"""All recordings of a session with the findings of every sensor, read and checked before anything is cleaned. A
heartbeat found in one file of a sensor is filtered out of all its files, so all are looked at first. Then the
reference of every sensor in every placement."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, partial
from typing import Any, Generic, TypeAlias, TypeVar

import numpy as np

from library.errors import Fault, FaultyInput, refuse
from library.files import attempt
from planner.emg import signals
from planner.emg.figures import ReferenceLevel, SensorReference, choose_reference, highest_set, level_of
from planner.emg.quality import Finding, check_channel, judged
from planner.emg.readers import read_recording
from planner.emg.session import Placed, ReadSession, Reference, Sensor, Trial
from planner.emg.signals import Amplitude, Channel, Recording, Samples, clean, envelope, high_corner
from planner.method import MeasureSettings, QualitySettings

AnyPart = TypeVar("AnyPart", bound=Placed)
Key = tuple[str, int]  # sensor name, placement
Tests: TypeAlias = "list[Loaded[Reference]]"
Sets: TypeAlias = "list[Loaded[Trial]]"


@dataclass
class Signal:
    """One sensor's channel in one file or part of it, in mV, with its findings; cleaned once, when it is asked for."""

    read: ReadSession
    with_heart: set[str]  # names of sensors that a heartbeat was found in, in any file
    sensor: Sensor
    file: str
    channel: Channel
    findings: list[Finding] = field(default_factory=list)

    @cached_property
    def cleaned(self) -> Samples | None:
        """The cleaned signal, None where a ready envelope was recorded."""
        if not self.read.raw:
            return None
        heart = self.sensor.name in self.with_heart
        return clean(self.channel.values, self.channel.rate_hz, self.read.settings, heartbeat=heart)

    @cached_property
    def amplitude(self) -> Amplitude:
        """The amplitude over time, in the channel's unit."""
        values, rate = self.channel.values, self.channel.rate_hz
        shaped = values if self.cleaned is None else envelope(self.cleaned, rate, self.read.settings)
        return Amplitude(shaped, rate)

    @property
    def failed(self) -> str:
        """Say the first failed finding; an empty text where none failed."""
        for finding in self.findings:
            if finding.level == "fail":
                where = "" if finding.second is None else f" at second {finding.second:.1f}"
                return f"{finding.check}{where}: {finding.words}"
        return ""

    def level(self, test: str = "") -> ReferenceLevel:
        """Return what it gives for a sensor's reference, left out where it failed."""
        level = level_of(self.file, test, self.amplitude, self.read.settings)
        return replace(level, left_out=self.failed or level.left_out)

    def noise(self, own_peak: float, reference: float) -> list[Finding]:
        """Name noise in the quietest stretch against a reference; without rest (against its own peak) none."""
        if self.cleaned is None:
            return []
        window, rate, limits = self.read.settings.window_seconds, self.channel.rate_hz, self.read.quality
        power = Amplitude(np.square(self.cleaned), rate).window_means(window)
        quietest = int(power.argmin())
        noise = float(np.sqrt(max(0.0, power[quietest])))
        if reference <= 0 or noise > limits.rest_judged * own_peak or noise <= limits.rest_warn * reference:
            return []
        fails, second = noise > limits.rest_fail * reference, quietest / rate + window / 2
        place, share = (self.file, self.channel.label), 100 * noise / reference
        return [judged(place, "noise at rest", fails, second, window=window, share=share)]


@dataclass(frozen=True)
class Loaded(Generic[AnyPart]):
    """One reference or trial: its recording and the sound channels of its sensors, by sensor name."""

    number: int  # its place in session.toml, from 1
    part: AnyPart
    recording: Recording
    signals: dict[str, Signal] = field(default_factory=dict)


@dataclass(frozen=True)
class Bench:
    """One session at work: what was read, and what turns up on the way; each file is read once."""

    read: ReadSession
    findings: list[Finding] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    with_heart: set[str] = field(default_factory=set)

    @cached_property
    def recording(self) -> Callable[[str], Recording]:
        """Reads a file by its name, once, since several parts may lie in one. Raises FaultyInput."""
        read = self.read
        return cache(lambda name: read_recording(read.folder, name, read.session, read.quality))


def load(bench: Bench, parts: Iterable[AnyPart]) -> list[Loaded[AnyPart]]:
    """Read the parts' files and check every sensor's channel."""
    loaded = []
    for number, part in enumerate(parts, 1):
        if whole := attempt(partial(bench.recording, part.file), bench.faults):
            recording = attempt(partial(whole.between, part.start, part.stop), bench.faults)
            loaded += [_checked(bench, number, part, recording)] if recording else []
    return loaded


def _checked(bench: Bench, number: int, part: AnyPart, recording: Recording) -> Loaded[AnyPart]:
    read, channels = bench.read, {}
    for sensor in read.session.sensor:
        there = getattr(part, "side", None) in (None, sensor.side)
        if there and (channel := attempt(partial(_channel, read, recording, sensor), bench.faults)):
            channels[sensor.name] = channel
    if read.raw:
        part, recording, channels = _trimmed(bench, part, recording, channels)
    signals, mains = {}, read.session.session.mains_hz
    for sensor in (sensor for sensor in read.session.sensor if sensor.name in channels):
        channel = channels[sensor.name]
        flaws = check_channel(part.told, channel, read.quality, read.settings, raw=read.raw, mains_hz=mains)
        bench.findings.extend(flaws)
        bench.with_heart.update({sensor.name} if any(f.check == "heartbeat" for f in flaws) else ())
        signals[sensor.name] = Signal(read, bench.with_heart, sensor, part.told, channel, flaws)
    return Loaded(number, part, recording, signals)


def _channel(read: ReadSession, recording: Recording, sensor: Sensor) -> Channel:
    """Return a sensor's channel in mV; the stated unit counts where the file names none. Raises FaultyInput."""
    channel = recording.channel(sensor.channel)
    unit = channel.unit or sensor.unit or ""
    if (factor := signals.MILLIVOLTS.get(unit, 1.0)) != 1:
        ends = channel.ends and (channel.ends[0] * factor, channel.ends[1] * factor)
        channel, unit = replace(channel, values=channel.values * factor, ends=ends), "mV"
    channel = replace(channel, unit=unit)
    if read.raw:
        check_rate(recording.file, channel, read.settings)
    elif (below := channel.values < 0).any():
        where = f'channel "{channel.label}", second {int(below.argmax()) / channel.rate_hz:.3f}'
        words = f"an envelope is never negative, read {float(channel.values.min()):g}"
        remedy = 'Write signal = "raw" in [session], or export the envelope'
        raise refuse(recording.file, where, words, remedy)
    return channel


def check_rate(file: str, channel: Channel, settings: MeasureSettings) -> None:
    """Refuse a rate below the least, a corner above half the rate and a signal too short to filter."""
    rate, wrong = channel.rate_hz, []
    corners = {"band_low_hz": settings.band_low_hz, "band_high_hz": high_corner(rate, settings)}
    corners |= {"mains_hz": settings.mains_hz} if settings.notch else {}
    if rate < settings.lowest_rate_hz:
        remedy = f"Record at {settings.low_rate_hz:g} Hz or more (2,000 Hz preferred)"
        wrong.append((f"raw EMG at {rate:g} Hz cannot be measured", remedy))
    for name, corner in corners.items():
        if corner >= rate / 2:
            words = f"{name} = {corner:g} Hz is not below half the rate ({rate / 2:g} Hz)"
            wrong.append((words, f"State a lower {name} in [method]"))
    if channel.seconds < settings.window_seconds:
        words = f"{channel.seconds:.2f} s are shorter than the window of {settings.window_seconds:g} s"
        wrong.append((words, "Record the whole set"))
    if wrong:
        raise FaultyInput([Fault(file, f'channel "{channel.label}"', *words) for words in wrong])


def _trimmed(
    bench: Bench, part: AnyPart, recording: Recording, channels: dict[str, Channel]
) -> tuple[AnyPart, Recording, dict[str, Channel]]:
    """Cut off the unchanging seconds that all channels have at the ends, and say so; stated seconds move along."""
    ends = [_constant_ends(channel, bench.read.quality) for channel in channels.values()]
    start, end = (min((both[n] for both in ends if both), default=0.0) for n in (0, 1))
    listed = getattr(part, "repetitions", None)
    if isinstance(listed, tuple) and listed:  # what is stated is never cut off
        start, end = min(start, listed[0][0]), min(end, max(0.0, recording.seconds - listed[-1][1]))
    if not (start or end):
        return part, recording, channels
    stop, begin = recording.seconds - end, part.start or 0.0
    words = " and ".join(f"{s:.2f} s at the {name}" for s, name in ((start, "start"), (end, "end")) if s)
    bench.warnings.append(f"{part.told}: samples do not change for {words}: cut off")
    update: dict[str, Any] = {"start": begin + start or None, "stop": begin + stop if end else part.stop}
    if isinstance(listed, tuple):
        update["repetitions"] = tuple(tuple(second - start for second in seconds) for seconds in listed)
    channels = {name: channel.between(start, stop) for name, channel in channels.items()}
    return part.model_copy(update=update), recording.between(start, stop), channels


def _constant_ends(channel: Channel, limits: QualitySettings) -> tuple[float, float] | None:
    """Return the seconds of unchanging samples, as a file is filled up, at both ends; None: a flat channel."""
    changes = np.flatnonzero(np.diff(channel.values))
    if len(changes) == 0:
        return None
    least, most = limits.dropout_seconds, limits.ends_most * channel.seconds
    ends = (float(changes[0]) + 1, float(len(channel.values) - 1 - changes[-1]))
    start, stop = (second if least <= (second := n / channel.rate_hz) <= most else 0.0 for n in ends)
    return start, stop


def references_of(bench: Bench, references: Tests, trials: Sets) -> dict[Key, SensorReference]:
    """Choose every sensor's reference; without reference trials that count, the session's highest exercise."""
    chosen: dict[Key, SensorReference] = {}
    for sensor in bench.read.session.sensor:
        name = sensor.name
        for placement in sorted({trial.part.placement for trial in trials} or {1}):
            tests = [r for r in references if r.part.placement == placement and name in r.signals]
            sets = [t.signals[name] for t in trials if t.part.placement == placement and name in t.signals]
            best = _contraction(bench, sensor, placement, tests) if tests else None
            # a copy: nothing that is cleaned is kept
            levels = (replace(signal).level() for signal in sets if not signal.failed)
            if best := best or highest_set(name, placement, levels):
                chosen[name, placement] = best
    return chosen


def _contraction(bench: Bench, sensor: Sensor, placement: int, tests: Tests) -> SensorReference | None:
    signals, settings, kept = [part.signals[sensor.name] for part in tests], bench.read.settings, []
    levels = [signal.level(part.part.test) for signal, part in zip(signals, tests, strict=True)]
    highest = max((level.level for level in levels if not level.left_out), default=0.0)
    for signal, level in zip(signals, levels, strict=True):
        noise = [] if level.left_out else signal.noise(level.level, highest)
        bench.findings.extend(noise)
        signal.findings += noise
        kept.append(replace(level, left_out=signal.failed or level.left_out))
    chosen = choose_reference(sensor.name, sensor.muscle, placement, kept, settings)
    corner = min(high_corner(signal.channel.rate_hz, settings) for signal in signals)
    return chosen and replace(chosen, corner_hz=corner)
