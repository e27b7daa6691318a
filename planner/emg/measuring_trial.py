"""Measuring one trial: its repetitions, then each sensor's figures against its reference."""

from __future__ import annotations

from dataclasses import dataclass, field

from library.errors import Fault, FaultyInput
from planner.emg.clean import high_corner
from planner.emg.figures import SetFigures, repetition_figures
from planner.emg.loaded import Cleaner, Loaded
from planner.emg.quality.finding import Finding, spoiled
from planner.emg.quality.level import high_level, rest_noise
from planner.emg.recording import Channel, Samples
from planner.emg.reference import SensorReference
from planner.emg.references_of import References
from planner.emg.repetitions import Repetition
from planner.emg.results import ChannelResult, Picture, TrialResult
from planner.emg.session import Sensor, Trial
from planner.emg.session_read import ReadSession
from planner.emg.splitting import Split, split_trial
from planner.emg.windows import Amplitude

PICTURE_POINTS = 400  # points of a printed curve: more than a page's width can show


@dataclass(frozen=True)
class Notebook:
    """What is found on the way: flaws of channels, what is wrong with files, what the coach should know."""

    findings: list[Finding] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


def measure_trial(
    read: ReadSession,
    cleaner: Cleaner,
    loaded: Loaded[Trial],
    references: References,
    number: int,
    notes: Notebook,
) -> TrialResult | None:
    """Measure one trial; a trial without a sound channel or without repetitions gives None and a fault."""
    if loaded.recording is None or not loaded.channels:
        return None
    try:
        split = split_trial(read, cleaner, loaded)
    except FaultyInput as error:
        notes.faults.extend(error.faults)
        return None
    notes.faults.extend(split.faults)
    notes.warnings.extend(split.warnings)
    channels = {}
    for sensor in read.session.sensor:
        if sensor.name in loaded.channels:
            try:
                channels[sensor.name] = _channel(read, cleaner, loaded, split, sensor, references, notes)
            except FaultyInput as error:
                notes.faults.extend(error.faults)
    course = split.course
    return TrialResult(
        number=number,
        trial=loaded.part,
        name=read.known.exercises[loaded.part.exercise],
        repetitions=tuple(split.repetitions),
        channels=channels,
        course=thinned(course.values, course.rate_hz) if course else None,
        course_unit=course.unit if course else "",
        seconds=loaded.recording.seconds,
    )


def _channel(
    read: ReadSession,
    cleaner: Cleaner,
    loaded: Loaded[Trial],
    split: Split,
    sensor: Sensor,
    references: References,
    notes: Notebook,
) -> ChannelResult:
    """Measure one sensor of one trial. Raises FaultyInput where it has no reference or another band."""
    channel = loaded.channels[sensor.name]
    reference = _reference(read, loaded, sensor, channel, references)
    cleaned = cleaner.cleaned(sensor, channel)
    activation = Amplitude(_percent(cleaner, channel, cleaned, reference.level), channel.rate_hz)
    own = list(loaded.findings[sensor.name])
    later = high_level(loaded.file, channel.label, activation, read.settings, read.quality)
    if cleaned is not None:
        peak = activation.peak(read.settings.window_seconds) * reference.level / 100
        peaks = (peak, reference.level)
        later += rest_noise(
            loaded.file, channel.label, cleaned, peaks, channel.rate_hz, read.settings, read.quality
        )
    notes.findings.extend(later)
    own += later
    figures = SetFigures(
        tuple(
            repetition_figures(
                number, repetition, activation, cleaned, read.settings, _left_out(own, repetition)
            )
            for number, repetition in enumerate(split.repetitions, 1)
        )
    )
    return ChannelResult(
        sensor, reference.unit, figures, thinned(activation.values, channel.rate_hz), _untrusted(own, figures)
    )


def _percent(cleaner: Cleaner, channel: Channel, cleaned: Samples | None, level: float) -> Samples:
    """Return the envelope in % of the reference; a new array only where the recording's own would be changed."""
    envelope = cleaner.envelope(channel, cleaned)
    if cleaned is None:
        return envelope * (100.0 / level)
    envelope *= 100.0 / level
    return envelope


def _reference(
    read: ReadSession, loaded: Loaded[Trial], sensor: Sensor, channel: Channel, references: References
) -> SensorReference:
    key = (sensor.name, loaded.part.placement)
    where = f'channel "{channel.label}"'
    reference = references.by_sensor.get(key)
    if reference is None:
        remedy = "Record the reference tests, or an exercise without these flaws, in this placement"
        raise FaultyInput(
            [Fault(loaded.file, where, f"{sensor.name} has nothing to be compared with", remedy)]
        )
    corner = high_corner(channel.rate_hz, read.settings)
    needed = references.corners_hz.get(key, corner)
    if read.session.session.signal == "raw" and corner != needed:
        words = f"its rate of {channel.rate_hz:g} Hz allows {corner:g} Hz, its reference was filtered to {needed:g} Hz"
        remedy = f"State band_high_hz = {min(corner, needed):g} in [method], so that both are cleaned alike"
        raise FaultyInput([Fault(loaded.file, where, words, remedy)])
    return reference


def _left_out(findings: list[Finding], repetition: Repetition) -> str:
    failed = spoiled(findings, repetition.start, repetition.stop)
    return f"{failed.check} at second {_inside(failed, repetition):.1f}" if failed else ""


def _inside(finding: Finding, repetition: Repetition) -> float:
    touching = (a for a, b in finding.spans if a < repetition.stop and b > repetition.start)
    return max(repetition.start, next(touching))


def _untrusted(findings: list[Finding], figures: SetFigures) -> str:
    failed = next((f for f in findings if f.spoils_all), None)
    if failed is not None:
        return f"{failed.check}: {failed.words}"
    if not figures.counted:
        reasons = dict.fromkeys(r.left_out.split(" at second")[0] for r in figures.repetitions)
        return f"no repetition counts ({'; '.join(reasons)})"
    return ""


def thinned(values: Samples, rate_hz: float) -> Picture:
    """Return a curve with at most `PICTURE_POINTS` points: means of equal steps, so that a page stays small."""
    import numpy as np

    step = max(1, -(-len(values) // PICTURE_POINTS))
    starts = np.arange(0, len(values), step)
    counts = np.minimum(starts + step, len(values)) - starts
    return Picture((starts + counts / 2) / rate_hz, np.add.reduceat(values, starts) / counts)
