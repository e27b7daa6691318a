"""Measuring one session folder: read all, check all, choose references, then figures trial by trial."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from library.errors import Fault, FaultyInput
from planner.measure.clean import high_corner
from planner.measure.crosstalk import crosstalk_words
from planner.measure.figures import SetFigures, repetition_figures
from planner.measure.loaded import Cleaner, Loaded, load, sensors_with_heart
from planner.measure.quality.finding import Finding, spoiled
from planner.measure.quality.level import high_level, rest_noise
from planner.measure.recording import Channel, Recording, Samples
from planner.measure.reference import SensorReference
from planner.measure.references_of import References, references_of
from planner.measure.repetitions import Repetition
from planner.measure.results import ChannelResult, MeasuredSession, Picture, TrialResult
from planner.measure.session import Reference, Sensor, Trial
from planner.measure.session_read import ReadSession
from planner.measure.splitting import Split, split_trial
from planner.measure.windows import Amplitude

PICTURE_POINTS = 400  # points of a printed curve: more than a page's width can show


def measure_session(read: ReadSession) -> MeasuredSession:
    """Measure every trial that can be measured; what cannot is named in `faults`, with file and remedy."""
    cache: dict[str, Recording | FaultyInput] = {}
    references: list[Loaded[Reference]] = [load(read, part, cache) for part in read.session.reference]
    trials: list[Loaded[Trial]] = [load(read, part, cache) for part in read.session.trial]
    heart = sensors_with_heart(references) | sensors_with_heart(trials)
    cleaner = Cleaner(read.session, read.settings, frozenset(heart))
    found = references_of(read, cleaner, references, trials)
    parts: list[Loaded[Any]] = [*references, *trials]
    findings = [f for part in parts for listed in part.findings.values() for f in listed]
    findings += found.findings
    faults = [fault for part in parts for fault in part.faults]
    results = []
    for number, loaded in enumerate(trials, 1):
        result = _trial(read, cleaner, loaded, found, number, findings, faults)
        if result is not None:
            results.append(result)
    return MeasuredSession(
        read=read,
        references=found.by_sensor,
        trials=tuple(results),
        findings=tuple(findings),
        faults=tuple(faults),
        warnings=(*_warnings(read, found.by_sensor.values(), parts), *crosstalk_words(read, results)),
        with_heart=tuple(sorted(heart)),
        rates_hz=tuple(sorted({c.rate_hz for part in parts for c in part.channels.values()})),
    )


def _trial(
    read: ReadSession,
    cleaner: Cleaner,
    loaded: Loaded[Trial],
    references: References,
    number: int,
    findings: list[Finding],
    faults: list[Fault],
) -> TrialResult | None:
    """Measure one trial; a trial without a sound channel or without repetitions gives None and a fault."""
    if loaded.recording is None or not loaded.channels:
        return None
    try:
        split = split_trial(read, cleaner, loaded)
    except FaultyInput as error:
        faults += error.faults
        return None
    faults += split.faults
    channels = {}
    for sensor in read.session.sensor:
        if sensor.name in loaded.channels:
            try:
                channels[sensor.name] = _channel(read, cleaner, loaded, split, sensor, references, findings)
            except FaultyInput as error:
                faults += error.faults
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
    findings: list[Finding],
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
    findings += later
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
        reasons = dict.fromkeys(r.left_out for r in figures.repetitions)
        return f"no repetition counts ({'; '.join(reasons)})"
    return ""


def thinned(values: Samples, rate_hz: float) -> Picture:
    """Return a curve with at most `PICTURE_POINTS` points: means of equal steps, so that a page stays small."""
    import numpy as np

    step = max(1, -(-len(values) // PICTURE_POINTS))
    starts = np.arange(0, len(values), step)
    counts = np.minimum(starts + step, len(values)) - starts
    return Picture((starts + counts / 2) / rate_hz, np.add.reduceat(values, starts) / counts)


def _warnings(
    read: ReadSession,
    references: Iterable[SensorReference],
    parts: list[Loaded[Any]],
) -> list[str]:
    """Say what the coach should know of the session as a whole."""
    warnings = [words for reference in references for words in reference.warnings]
    counts: dict[str, int] = {}
    for part in read.session.reference:
        counts[part.test] = counts.get(part.test, 0) + 1
    wanted = read.settings.trials_per_test
    few = [f"{read.known.tests[test].name} ({count})" for test, count in counts.items() if count < wanted]
    if few:
        warnings.append(f"fewer than {wanted} trials of: {'; '.join(few)}")
    slow = {
        channel.rate_hz
        for part in parts
        for channel in part.channels.values()
        if channel.rate_hz < read.settings.low_rate_hz
    }
    if slow and read.session.session.signal == "raw":
        rates = ", ".join(f"{rate:g} Hz" for rate in sorted(slow))
        warnings.append(
            f"sampled at {rates}: the band is cut at {read.settings.band_high_share:g} of the rate; "
            f"record at {read.settings.low_rate_hz:g} Hz or more"
        )
    return warnings
