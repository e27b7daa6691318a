"""Measuring one session folder: read all, check all, choose references; then repetitions and figures trial by trial.

Repetitions come from the coach's own list, else motion, else marks (EDF+ annotations, C3D events, a marker channel),
else the envelope's bursts.
"""

from collections.abc import Iterable, Mapping
from statistics import median
from typing import Any

from library.errors import Fault, FaultyInput, nearest
from planner.emg.figures import ChannelResult, MeasuredSession, TrialResult, repetition_figures, thinned
from planner.emg.loading import Bench, Loaded, load, references_of
from planner.emg.quality import high_level, rest_noise, spoiled
from planner.emg.readers import read_recording
from planner.emg.references import SensorReference, session_warnings
from planner.emg.repetitions import Course, Repetition, count_bursts, course_of, from_course, from_marks
from planner.emg.session import NAME, ReadSession, Sensor, Trial
from planner.emg.signals import Amplitude, Recording, Samples, high_corner
from planner.files.text import listed, refuse

ReferenceOf = Mapping[tuple[str, int], SensorReference]  # by sensor name and placement


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
    bench = Bench(read)
    references, trials = load(bench, read.session.reference), load(bench, read.session.trial)
    parts: list[Loaded[Any]] = [*references, *trials]
    chosen = references_of(bench, references, trials)
    rates = tuple(sorted({channel.rate_hz for part in parts for channel in part.channels.values()}))
    bench.warnings[:0] = session_warnings(read, chosen.values(), rates)
    results = [result for part in trials if (result := measure_trial(bench, part, chosen)) is not None]
    bench.warnings.extend(_level_words(results, read))
    lists = (tuple(bench.findings), tuple(bench.faults), tuple(bench.warnings))
    return MeasuredSession(read, chosen, tuple(results), *lists, tuple(sorted(bench.with_heart)), rates)


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


def measure_trial(bench: Bench, loaded: Loaded[Trial], references: ReferenceOf) -> TrialResult | None:
    """Measure one trial; a trial without a sound channel or without repetitions gives None and a fault."""
    if not loaded.channels:
        return None
    channels = {}
    try:
        repetitions, course = split_trial(bench, loaded)
    except FaultyInput as error:
        bench.faults.extend(error.faults)
        return None
    for sensor in bench.read.session.sensor:
        if sensor.name in loaded.channels:
            try:
                reference = _reference(bench.read, loaded, sensor, references)
                channels[sensor.name] = _channel(bench, loaded, repetitions, sensor, reference)
            except FaultyInput as error:
                bench.faults.extend(error.faults)
    trial, name = loaded.part, bench.read.library.exercises[loaded.part.exercise].name
    picture, unit = (thinned(course.values, course.rate_hz), course.unit) if course else (None, "")
    seconds = loaded.recording.seconds
    return TrialResult(loaded.number, trial, name, tuple(repetitions), channels, picture, unit, seconds)


def _reference(
    read: ReadSession, loaded: Loaded[Trial], sensor: Sensor, references: ReferenceOf
) -> SensorReference:
    """Return what a sensor of a trial is compared with. Raises FaultyInput where it has none, or in another band."""
    channel, reference = loaded.channels[sensor.name], references.get((sensor.name, loaded.part.placement))
    where = f'channel "{channel.label}"'
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


def _channel(
    bench: Bench, loaded: Loaded[Trial], splits: list[Repetition], sensor: Sensor, reference: SensorReference
) -> ChannelResult:
    """Measure one sensor of one trial."""
    channel, read = loaded.channels[sensor.name], bench.read
    cleaned, shaped = bench.signals(sensor, channel)
    activation = Amplitude(shaped * (100.0 / reference.level), channel.rate_hz)
    place = (loaded.file, channel.label)
    later = high_level(place, activation, read.settings, read.quality)
    if cleaned is not None:
        peaks = (activation.peak(read.settings.window_seconds) * reference.level / 100, reference.level)
        later += rest_noise(place, cleaned, peaks, channel.rate_hz, read.settings, read.quality)
    bench.findings.extend(later)
    findings = [*loaded.findings[sensor.name], *later]
    out = [spoiled(findings, r.start, r.stop) for r in splits]
    known = enumerate(zip(splits, out, strict=True), 1)
    figures = tuple(repetition_figures(n, r, activation, cleaned, read.settings, o) for n, (r, o) in known)
    untrusted = next((f"{f.check}: {f.words}" for f in findings if f.spoils_all), "")
    if not untrusted and all(r.left_out for r in figures):
        reasons = dict.fromkeys(r.left_out.split(" at second")[0] for r in figures)
        untrusted = f"no repetition counts ({'; '.join(reasons)})"
    return ChannelResult(
        sensor, reference.unit, figures, thinned(activation.values, channel.rate_hz), untrusted
    )


def split_trial(bench: Bench, loaded: Loaded[Trial]) -> tuple[list[Repetition], Course | None]:
    """Find a trial's repetitions and the course they were found in (None: no motion).

    What is stated wrongly goes into the bench's faults and warnings. Raises FaultyInput where they cannot be found as stated.
    """
    trial, recording, read = loaded.part, loaded.recording, bench.read
    course = _course(read, trial, recording)
    if isinstance(trial.repetitions, tuple):
        repetitions = [Repetition.stated(*entry) for entry in trial.repetitions]
        if repetitions and repetitions[-1].stop > recording.seconds + 1e-6:
            words = f"a stated repetition ends at {repetitions[-1].stop:g} s, the recording at {recording.seconds:.2f} s"
            raise refuse(loaded.file, "repetitions", words, "Mend the list in its [[trial]]")
    else:
        repetitions = _searched(bench, loaded, course)
        _refuse_count(loaded.file, trial.stated_count, repetitions)
    repetitions = _with_tempo(bench, loaded, repetitions)
    if not any(repetition.whole for repetition in repetitions):
        cut = repetitions[-1].cut_off
        second = repetitions[-1].stop if cut == "at the end" else repetitions[-1].start
        words = f"holds no whole repetition: the only one is cut off {cut} of the file"
        bench.faults.append(
            Fault(loaded.file, f"second {second:.2f}", words, "Record until the arm is back at rest")
        )
    named = read.session.motion.channels if course is None and read.session.motion else ()
    if missing := [label for label in named if label not in recording.channels]:
        source, near = repetitions[0].source, nearest(missing[0], recording.channels)
        words = f'no motion channel "{missing[0]}", so repetitions come from the {source}{near}'
        bench.warnings.append(f"{loaded.file}: {words}")
    return repetitions, course


def _course(read: ReadSession, trial: Trial, recording: Recording) -> Course | None:
    """Return the motion's course; a session-wide motion channel may be missing in a file, a trial's own may not."""
    motion = trial.motion or read.session.motion
    if motion is None:
        return None
    source = recording
    if trial.motion_file is not None:
        source = read_recording(read.folder, trial.motion_file, read.session, read.quality)
        source = source.between(trial.start, trial.stop)
    optional = trial.motion is None and trial.motion_file is None and trial.split != "motion"
    if optional and any(label not in source.channels for label in motion.channels):
        return None
    return course_of(source, motion, read.settings, falling=trial.lift == "falling")


def _searched(bench: Bench, loaded: Loaded[Trial], course: Course | None) -> list[Repetition]:
    trial, read = loaded.part, bench.read
    if course is not None and trial.split in (None, "motion"):
        return from_course(course, read.settings)
    if trial.split in (None, "marks"):
        marked = from_marks(loaded.recording, read.session.marks)
        if marked or trial.split == "marks":
            return marked
    if trial.split == "motion":
        remedy = "Add [motion], or choose another split"
        raise refuse(loaded.file, "split", "there is no motion channel", remedy)
    if trial.stated_count is None:
        words = "has no motion channel, no marks and no stated count"
        remedy = "State repetitions = N, or repetitions = [[start, stop, turn], ...] in its [[trial]]"
        raise refuse(loaded.file, "repetitions", words, remedy)
    return count_bursts(_summed(bench, loaded), read.settings.burst_rate_hz, read.settings)[1]


def _summed(bench: Bench, loaded: Loaded[Trial]) -> Samples:
    """Return the sum of all channels' envelopes, each in parts of its own largest, at `burst_rate_hz`."""
    import numpy as np

    grid = np.arange(0, loaded.recording.seconds, 1 / bench.read.settings.burst_rate_hz)
    summed = np.zeros(len(grid))
    for sensor in bench.read.session.sensor:
        channel = loaded.channels.get(sensor.name)
        if channel is None or any(f.spoils_all for f in loaded.findings[sensor.name]):
            continue
        _, envelope = bench.signals(sensor, channel)
        seconds = np.arange(len(envelope)) / channel.rate_hz
        summed += np.interp(grid, seconds, envelope) / max(float(envelope.max()), 1e-12)
    return summed


def _refuse_count(file: str, stated: int | None, repetitions: list[Repetition]) -> None:
    count = len(repetitions)
    if count and stated in (None, count):
        return
    source = repetitions[0].source if repetitions else "recording"
    listed = ", ".join(f"{r.start:.1f}-{r.stop:.1f}" for r in repetitions[:12])
    said = f"{stated} repetitions are stated, " if stated is not None else ""
    words = f"{said}{count} were found in the {source}" + (f" (seconds {listed})" if listed else "")
    remedy = "Mend the count, or write the list repetitions = [[start, stop, turn], ...]"
    where = f"repetitions, second {repetitions[0].start:.1f}" if repetitions else "repetitions"
    raise refuse(file, where, words, remedy)


def _with_tempo(bench: Bench, loaded: Loaded[Trial], repetitions: list[Repetition]) -> list[Repetition]:
    """Check the stated tempo against the repetitions, and part them by it where nothing else tells the phases."""
    read, tempo, whole = bench.read, loaded.part.tempo, [r for r in repetitions if r.whole]
    if tempo is None or not whole:
        return repetitions
    # bands keep the ends out of both phases
    shortened = 1 - 2 * read.settings.phase_band if whole[0].source == "motion" else 1.0
    moved = median(r.stop - r.start for r in whole) / shortened
    stated = [tempo.lift + tempo.top + tempo.lower, tempo.seconds_per_repetition]
    share = read.settings.tempo_share
    phased = all(r.lift is not None and r.lower is not None for r in whole)
    wrong = not (1 - share) * min(stated) <= moved <= (1 + share) * max(stated)
    words = f"the repetitions take {moved:.1f} s, the stated tempo {stated[0]} s"
    if not wrong and phased:
        spans = ([r.lift for r in whole if r.lift], [r.lower for r in whole if r.lower])
        lift, lower = (median(stop - start for start, stop in phase) / shortened for phase in spans)
        far = abs(lift - lower) > share * max(lift, lower)
        wrong = far and (tempo.lift - tempo.lower) * (lift - lower) < 0
        words = f"lifting takes {lift:.1f} s and lowering {lower:.1f} s, stated are {tempo.lift} and {tempo.lower} s"
    if not wrong:
        return [r if r.lift and r.lower else r.with_tempo(tempo) for r in repetitions]
    kept = "The phases measured are used" if phased else "The phases are left empty"
    remedy = f"{kept}; mend tempo in its [[trial]]"
    bench.faults.append(Fault(loaded.file, f"tempo, second {whole[0].start:.1f}", words, remedy))
    return repetitions
