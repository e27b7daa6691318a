"""Measuring one session folder: read all, check all, choose references, then figures trial by trial."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from library.errors import FaultyInput
from planner.emg.figures import ChannelResult, MeasuredSession, Picture, TrialResult, repetition_figures
from planner.emg.loading import Cache, Cleaner, Loaded, Notebook, load, references_of
from planner.emg.quality import Finding, high_level, rest_noise, spoiled
from planner.emg.references import SensorReference, missing_tests, read_tests, swapped_sensors
from planner.emg.repetitions import Repetition
from planner.emg.session import NAME, ReadSession, Sensor, Trial
from planner.emg.signals import Amplitude, Channel, Samples, high_corner
from planner.emg.splitting import split_trial
from planner.files.text import listed, refuse

ReferenceOf = Mapping[tuple[str, int], SensorReference]  # by sensor name and placement
PICTURE_POINTS = 400  # points of a printed curve: more than a page's width can show


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
    cache: Cache = {}
    notes = Notebook()
    references = load(read, read.session.reference, cache, notes)
    trials = load(read, read.session.trial, cache, notes)
    parts: list[Loaded[Any]] = [*references, *trials]
    cleaner = Cleaner(
        read,
        frozenset(
            name
            for part in parts
            for name in part.findings
            if any(f.check == "heartbeat" for f in part.findings[name])
        ),
    )
    chosen = references_of(cleaner, references, trials, notes)
    rates = tuple(sorted({channel.rate_hz for part in parts for channel in part.channels.values()}))
    notes.warnings[:0] = _warnings(read, chosen.values(), rates)
    results = [
        result for part in trials if (result := measure_trial(cleaner, part, chosen, notes)) is not None
    ]
    notes.warnings.extend(_level_words(results, read))
    lists = (tuple(notes.findings), tuple(notes.faults), tuple(notes.warnings))
    return MeasuredSession(read, chosen, tuple(results), *lists, tuple(sorted(cleaner.with_heart)), rates)


def _warnings(
    read: ReadSession, references: Iterable[SensorReference], rates: Iterable[float]
) -> Iterable[str]:
    """Say what the coach should know of the session as a whole."""
    settings, sensors = read.settings, {s.name: (s.muscle, s.side) for s in read.session.sensor}
    counts = Counter(part.test for part in read.session.reference)
    if counts and (missing := missing_tests(counts)):
        yield f"the set of reference tests is short, missing: {'; '.join(missing)}"
    yield from swapped_sensors(references, sensors)
    yield from (words for reference in references for words in reference.warnings)
    wanted = settings.trials_per_test
    if few := [f"{read_tests()[test].name} ({n})" for test, n in counts.items() if n < wanted]:
        yield f"fewer than {wanted} trials of: {'; '.join(few)}"
    slow = ", ".join(f"{rate:g} Hz" for rate in rates if rate < settings.low_rate_hz)
    if slow and read.session.session.signal == "raw":
        cut = f"the band is cut at {settings.band_high_share:g} of the rate"
        yield f"sampled at {slow}: {cut}; record at {settings.low_rate_hz:g} Hz or more"


def _level_words(trials: Iterable[TrialResult], read: ReadSession) -> Iterable[str]:
    """Name sensors whose every set is far too low or high, then heads that a strong neighbour's signal could have made.

    Crosstalk (emg_method §1) is reported, never corrected.
    """
    settings, neighbours = read.settings, []
    of_sensor: dict[str, list[float]] = {}
    for trial in trials:
        channels = [c for c in trial.channels.values() if c.unit == "percent_MVIC" and c.counted]
        means = [(channel, channel.mean_of("mean") or 0.0) for channel in channels]
        for channel, value in means:
            of_sensor.setdefault(channel.sensor.name, []).append(value)
            trusted = [v for c, v in means if not c.untrusted and c.sensor.side == channel.sensor.side]
            beside = max(trusted, default=0.0)
            if (
                not channel.untrusted
                and value < settings.crosstalk_low
                and beside > settings.crosstalk_neighbour
            ):
                neighbours.append(
                    f"{trial.label}: {channel.sensor.name} reads {value:.0f} %MVIC beside {beside:.0f} %MVIC: at or "
                    "below what its neighbour's signal could make"
                )
    for name, values in of_sensor.items():
        if max(values) < settings.unit_low or min(values) > settings.unit_high:
            yield (
                f"{name} reads {min(values):.3g} to {max(values):.3g} %MVIC in all sets: tests and sets are probably in "
                "different units (µV and mV?); state unit in [[sensor]] or mend the files"
            )
    yield from neighbours


def measure_trial(
    cleaner: Cleaner, loaded: Loaded[Trial], references: ReferenceOf, notes: Notebook
) -> TrialResult | None:
    """Measure one trial; a trial without a sound channel or without repetitions gives None and a fault."""
    if not loaded.channels:
        return None
    channels = {}
    try:
        repetitions, course = split_trial(cleaner, loaded, notes)
    except FaultyInput as error:
        notes.faults.extend(error.faults)
        return None
    for sensor in cleaner.read.session.sensor:
        if sensor.name in loaded.channels:
            try:
                channels[sensor.name] = _channel(cleaner, loaded, repetitions, sensor, references, notes)
            except FaultyInput as error:
                notes.faults.extend(error.faults)
    return TrialResult(
        number=loaded.number,
        trial=loaded.part,
        name=cleaner.read.library.exercises[loaded.part.exercise].name,
        repetitions=tuple(repetitions),
        channels=channels,
        course=thinned(course.values, course.rate_hz) if course else None,
        course_unit=course.unit if course else "",
        seconds=loaded.recording.seconds,
    )


def _channel(
    cleaner: Cleaner, loaded: Loaded[Trial], repetitions: list[Repetition], sensor: Sensor, references: ReferenceOf,
    notes: Notebook,
) -> ChannelResult:  # fmt: skip
    """Measure one sensor of one trial. Raises FaultyInput where it has no reference or another band."""
    channel, read = loaded.channels[sensor.name], cleaner.read
    reference = _reference(read, loaded, sensor, channel, references)
    cleaned, shaped = cleaner.signals(sensor, channel)
    activation = Amplitude(shaped * (100.0 / reference.level), channel.rate_hz)
    place = (loaded.file, channel.label)
    later = high_level(place, activation, read.settings, read.quality)
    if cleaned is not None:
        peaks = (activation.peak(read.settings.window_seconds) * reference.level / 100, reference.level)
        later += rest_noise(place, cleaned, peaks, channel.rate_hz, read.settings, read.quality)
    notes.findings.extend(later)
    findings = [*loaded.findings[sensor.name], *later]
    figures = tuple(
        repetition_figures(n, r, activation, cleaned, read.settings, _left_out(findings, r))
        for n, r in enumerate(repetitions, 1)
    )
    untrusted = next((f"{f.check}: {f.words}" for f in findings if f.spoils_all), "")
    if not untrusted and all(r.left_out for r in figures):
        untrusted = f"no repetition counts ({'; '.join(dict.fromkeys(r.left_out.split(' at second')[0] for r in figures))})"
    return ChannelResult(
        sensor, reference.unit, figures, thinned(activation.values, channel.rate_hz), untrusted
    )


def _reference(
    read: ReadSession, loaded: Loaded[Trial], sensor: Sensor, channel: Channel, references: ReferenceOf
) -> SensorReference:
    where = f'channel "{channel.label}"'
    reference = references.get((sensor.name, loaded.part.placement))
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
    first = next(a for a, b in failed.spans if a < repetition.stop and b > repetition.start)
    return f"{failed.check} at second {max(repetition.start, first):.1f}"


def thinned(values: Samples, rate_hz: float) -> Picture:
    """Return a curve with at most `PICTURE_POINTS` points: means of equal steps, so that a page stays small."""
    import numpy as np

    step = max(1, -(-len(values) // PICTURE_POINTS))
    starts = np.arange(0, len(values), step)
    counts = np.minimum(starts + step, len(values)) - starts
    return Picture((starts + counts / 2) / rate_hz, np.add.reduceat(values, starts) / counts)
