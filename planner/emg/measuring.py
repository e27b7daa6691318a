"""Measuring one session folder: read all, check all, choose references, then figures trial by trial."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from library.errors import Fault, FaultyInput
from planner.emg.cleaning import Amplitude, high_corner
from planner.emg.figures import (
    ChannelResult,
    MeasuredSession,
    Picture,
    SetFigures,
    TrialResult,
    repetition_figures,
)
from planner.emg.loading import Cleaner, Loaded, load, references_of, sensors_with_heart
from planner.emg.quality import Finding, Judge, high_level, rest_noise, spoiled
from planner.emg.recording import Channel, Recording, Samples
from planner.emg.references import SensorReference, missing_tests, swapped_sensors
from planner.emg.repetitions import Repetition
from planner.emg.session import NAME, ReadSession, Reference, Sensor, Trial
from planner.emg.splitting import Split, split_trial
from planner.files.text import listed, refuse

ReferenceOf = Mapping[tuple[str, int], SensorReference]  # by sensor name and placement
PICTURE_POINTS = 400  # points of a printed curve: more than a page's width can show


@dataclass(frozen=True)
class Notebook:
    """What turns up on the way: flaws of channels, what is wrong with files, what the coach should know."""

    findings: list[Finding] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


def measure_session(read: ReadSession) -> MeasuredSession:
    """Measure every trial that can be measured; what cannot is named in `faults`, with file and remedy.

    Raises FaultyInput where the [method] of session.toml is one that nothing can be measured with.
    """
    try:
        return _measured(read)
    except (ValueError, ArithmeticError, LookupError) as error:
        if not read.session.method:
            raise
        words = f"nothing can be measured with {listed(read.changes())} ({error})"
        raise refuse(read.folder / NAME, "method", words, "Take them out, one at a time") from None


def _measured(read: ReadSession) -> MeasuredSession:
    cache: dict[str, Recording | FaultyInput] = {}
    references: list[Loaded[Reference]] = [load(read, part, cache) for part in read.session.reference]
    trials: list[Loaded[Trial]] = [load(read, part, cache) for part in read.session.trial]
    parts: list[Loaded[Any]] = [*references, *trials]
    cleaner = Cleaner(read, sensors_with_heart(parts))
    chosen, doubts = references_of(cleaner, references, trials)
    notes = Notebook(
        findings=[f for part in parts for several in part.findings.values() for f in several] + doubts,
        faults=[fault for part in parts for fault in part.faults],
        warnings=_warnings(read, chosen.values(), parts),
    )
    measured = [measure_trial(cleaner, part, chosen, number, notes) for number, part in enumerate(trials, 1)]
    results = tuple(result for result in measured if result is not None)
    return MeasuredSession(
        read=read,
        references=chosen,
        trials=results,
        findings=tuple(notes.findings),
        faults=tuple(notes.faults),
        warnings=(*notes.warnings, *_unit_words(results, read), *_crosstalk_words(results, read)),
        with_heart=tuple(sorted(cleaner.with_heart)),
        rates_hz=tuple(sorted({c.rate_hz for part in parts for c in part.channels.values()})),
    )


def _warnings(
    read: ReadSession, references: Iterable[SensorReference], parts: list[Loaded[Any]]
) -> list[str]:
    """Say what the coach should know of the session as a whole."""
    settings, sensors = read.settings, {s.name: (s.muscle, s.side) for s in read.session.sensor}
    counts = Counter(part.test for part in read.session.reference)
    warnings = []
    if counts and (missing := missing_tests(counts)):
        warnings.append(f"the set of reference tests is short, missing: {'; '.join(missing)}")
    warnings += swapped_sensors(references, sensors)
    warnings += [words for reference in references for words in reference.warnings]
    wanted = settings.trials_per_test
    if few := [f"{read.known.tests[test].name} ({n})" for test, n in counts.items() if n < wanted]:
        warnings.append(f"fewer than {wanted} trials of: {'; '.join(few)}")
    rates = {channel.rate_hz for part in parts for channel in part.channels.values()}
    slow = ", ".join(f"{rate:g} Hz" for rate in sorted(rates) if rate < settings.low_rate_hz)
    if slow and read.session.session.signal == "raw":
        warnings.append(
            f"sampled at {slow}: the band is cut at {settings.band_high_share:g} of the rate; "
            f"record at {settings.low_rate_hz:g} Hz or more"
        )
    return warnings + [part.trimmed for part in parts if part.trimmed]


def _contraction_means(trial: TrialResult) -> dict[Sensor, float]:
    """Return the mean activation of every sensor of a trial that can be used, in % of a reference contraction."""
    return {
        channel.sensor: value
        for channel in trial.channels.values()
        if channel.unit == "percent_MVIC" and (value := channel.figures.mean_of("mean")) is not None
    }


def _unit_words(trials: Iterable[TrialResult], read: ReadSession) -> list[str]:
    """Name the sensors whose every set is far too low or high: tests and sets are probably in different units."""
    means: dict[str, list[float]] = {}
    for trial in trials:
        for sensor, value in _contraction_means(trial).items():
            means.setdefault(sensor.name, []).append(value)
    low, high = read.settings.unit_low, read.settings.unit_high
    return [
        f"{name} reads {min(values):.3g} to {max(values):.3g} %MVIC in all sets: tests and sets are probably in "
        "different units (µV and mV?); state unit in [[sensor]] or mend the files"
        for name, values in means.items()
        if max(values) < low or min(values) > high
    ]


def _crosstalk_words(trials: Iterable[TrialResult], read: ReadSession) -> list[str]:
    """Name heads whose signal a strong neighbour could have made (emg_method §1): reported, never corrected."""
    settings, words = read.settings, []
    for trial in trials:
        means = {s: v for s, v in _contraction_means(trial).items() if not trial.channels[s.name].untrusted}
        for sensor, value in means.items():
            beside = max((v for other, v in means.items() if other.side == sensor.side), default=0.0)
            if value < settings.crosstalk_low and beside > settings.crosstalk_neighbour:
                words.append(
                    f"{trial.label}: {sensor.name} reads {value:.0f} %MVIC beside {beside:.0f} %MVIC: at or below "
                    "what its neighbour's signal could make"
                )
    return words


def measure_trial(
    cleaner: Cleaner, loaded: Loaded[Trial], references: ReferenceOf, number: int, notes: Notebook
) -> TrialResult | None:
    """Measure one trial; a trial without a sound channel or without repetitions gives None and a fault."""
    if loaded.recording is None or not loaded.channels:
        return None
    read = cleaner.read
    try:
        split = split_trial(cleaner, loaded)
    except FaultyInput as error:
        notes.faults.extend(error.faults)
        return None
    notes.faults.extend(split.faults)
    notes.warnings.extend(split.warnings)
    channels = {}
    for sensor in read.session.sensor:
        if sensor.name in loaded.channels:
            try:
                channels[sensor.name] = _channel(cleaner, loaded, split, sensor, references, notes)
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
    cleaner: Cleaner,
    loaded: Loaded[Trial],
    split: Split,
    sensor: Sensor,
    references: ReferenceOf,
    notes: Notebook,
) -> ChannelResult:
    """Measure one sensor of one trial. Raises FaultyInput where it has no reference or another band."""
    channel, read = loaded.channels[sensor.name], cleaner.read
    reference = _reference(read, loaded, sensor, channel, references)
    cleaned, shaped = cleaner.signals(sensor, channel)
    if cleaned is None:
        shaped = shaped.copy()  # the recording's own is not changed
    shaped *= 100.0 / reference.level
    activation = Amplitude(shaped, channel.rate_hz)
    judge = Judge(loaded.file, channel.label)
    later = high_level(judge, activation, read.settings, read.quality)
    if cleaned is not None:
        peaks = (activation.peak(read.settings.window_seconds) * reference.level / 100, reference.level)
        later += rest_noise(judge, cleaned, peaks, channel.rate_hz, read.settings, read.quality)
    notes.findings.extend(later)
    findings = [*loaded.findings[sensor.name], *later]
    figures = SetFigures(
        tuple(
            repetition_figures(n, one, activation, cleaned, read.settings, _left_out(findings, one))
            for n, one in enumerate(split.repetitions, 1)
        )
    )
    picture = thinned(activation.values, channel.rate_hz)
    return ChannelResult(sensor, reference.unit, figures, picture, _untrusted(findings, figures))


def _reference(
    read: ReadSession, loaded: Loaded[Trial], sensor: Sensor, channel: Channel, references: ReferenceOf
) -> SensorReference:
    key = (sensor.name, loaded.part.placement)
    where = f'channel "{channel.label}"'
    reference = references.get(key)
    if reference is None:
        words = f"{sensor.name} has nothing to be compared with"
        remedy = "Record the reference tests, or an exercise without these flaws, in this placement"
        raise refuse(loaded.file, where, words, remedy)
    corner = high_corner(channel.rate_hz, read.settings)
    needed = reference.corner_hz or corner
    if read.session.session.signal == "raw" and corner != needed:
        words = f"its rate of {channel.rate_hz:g} Hz allows {corner:g} Hz, its reference was filtered to {needed:g} Hz"
        remedy = f"State band_high_hz = {min(corner, needed):g} in [method], so that both are cleaned alike"
        raise refuse(loaded.file, where, words, remedy)
    return reference


def _left_out(findings: list[Finding], repetition: Repetition) -> str:
    failed = spoiled(findings, repetition.start, repetition.stop)
    if failed is None:
        return ""
    touching = (a for a, b in failed.spans if a < repetition.stop and b > repetition.start)
    return f"{failed.check} at second {max(repetition.start, next(touching)):.1f}"


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
