"""Measuring one session folder: read all, check all, choose references; then repetitions and figures trial by trial.
Repetitions come from the coach's own list, else motion, else marks (annotations, a marker channel), else bursts."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from functools import partial
from typing import Any

import numpy as np

from library.errors import Fault, listed, nearest, refuse
from library.files import attempt
from planner.athlete.folder import OwnEvidence
from planner.emg import figures, quality
from planner.emg.evidence import Added
from planner.emg.figures import ChannelResult, MeasuredSession, SensorReference, TrialResult, thinned
from planner.emg.loading import Bench, Loaded, Signal, load, references_of
from planner.emg.repetitions import Repetition, course_of, find_bursts, from_course, from_marks
from planner.emg.report import Ranking, method_sentence
from planner.emg.session import NAME, ReadSession, Trial, read_tests
from planner.emg.signals import Amplitude, Channel, Samples, high_corner
from planner.method import MeasureSettings, QualitySettings

ReferenceOf = Mapping[tuple[str, int], SensorReference]  # by sensor name and placement
References = Iterable[SensorReference]
Splits = list[Repetition]
VERSION = 1  # of the document
METRICS = ("mean", "peak", "total")
CANNOT = (ValueError, ArithmeticError, LookupError)


def measure_session(read: ReadSession) -> MeasuredSession:
    """Measure every trial that can be measured; what cannot is named in `faults`, with file and remedy. Raises
    FaultyInput where the [method] of session.toml is one that nothing can be measured with."""
    try:
        return _measured(read)
    except CANNOT as error:
        try:
            _measured(replace(read, settings=MeasureSettings(), quality=QualitySettings()))
        except CANNOT:  # with the defaults too: a fault of ours
            raise error from None
        words = f"nothing can be measured with {listed(read.changes())} ({error})"
        raise refuse(read.folder / NAME, "method", words, "Take them out, one at a time") from None


def _measured(read: ReadSession) -> MeasuredSession:
    bench = Bench(read)
    references, trials = load(bench, read.session.reference), load(bench, read.session.trial)
    parts: list[Loaded[Any]] = [*references, *trials]
    rates = tuple(sorted({signal.channel.rate_hz for part in parts for signal in part.signals.values()}))
    chosen = references_of(bench, references, trials)
    for part in references:  # as large as the trials, and done with
        part.signals.clear()
    bench.warnings[:0] = _session_words(read, chosen.values(), rates)
    results = tuple(result for part in trials if (result := measure_trial(bench, part, chosen)) is not None)
    bench.warnings.extend(_level_words(results, read.settings))
    lists = (tuple(bench.findings), tuple(bench.faults), tuple(bench.warnings))
    return MeasuredSession(read, chosen, results, *lists, tuple(sorted(bench.with_heart)), rates)


def _session_words(read: ReadSession, references: References, rates: Iterable[float]) -> Iterator[str]:
    """Say what the coach should know of the session as a whole."""
    settings, sensors = read.settings, {s.name: (s.muscle, s.side) for s in read.session.sensor}
    counts = Counter(part.test for part in read.session.reference)
    if counts and (missing := figures.missing_tests(counts)):
        yield f"the set of reference tests is short, missing: {'; '.join(missing)}"
    yield from figures.swapped(references, sensors)
    yield from (words for reference in references for words in reference.warnings)
    wanted = settings.trials_per_test
    if few := [f"{read_tests()[test].name} ({n})" for test, n in counts.items() if n < wanted]:
        yield f"fewer than {wanted} trials of: {'; '.join(few)}"
    slow = ", ".join(f"{rate:g} Hz" for rate in rates if rate < settings.low_rate_hz)
    if slow and read.raw:
        cut = f"the band is cut at {settings.band_high_share:g} of the rate"
        yield f"sampled at {slow}: {cut}; record at {settings.low_rate_hz:g} Hz or more"


def _level_words(trials: Iterable[TrialResult], settings: MeasureSettings) -> Iterator[str]:
    """Name sensors whose every set is far too low or high: reported, never corrected."""
    of_sensor: dict[str, list[float]] = {}
    for channel in (channel for trial in trials for channel in trial.channels.values()):
        if channel.unit == "percent_MVIC" and channel.counted:
            of_sensor.setdefault(channel.sensor.name, []).append(channel.mean_of("mean") or 0.0)
    for name, values in of_sensor.items():
        if max(values) < settings.unit_low or min(values) > settings.unit_high:
            units = "tests and sets are probably in different units (µV and mV?)"
            reads = f"{name} reads {min(values):.3g} to {max(values):.3g} %MVIC in all sets"
            yield f"{reads}: {units}; state unit in [[sensor]] or mend the files"


def measure_trial(bench: Bench, loaded: Loaded[Trial], references: ReferenceOf) -> TrialResult | None:
    """Measure one trial; a trial without a sound channel or without repetitions gives None and a fault."""
    if not loaded.signals:
        return None
    if (split := attempt(lambda: split_trial(bench, loaded), bench.faults)) is None:
        return None
    (repetitions, course), channels, trial = split, {}, loaded.part
    for name, signal in loaded.signals.items():
        reference = references.get((name, trial.placement))
        if of_one := attempt(partial(_channel, bench, signal, repetitions, reference), bench.faults):
            channels[name] = of_one
    loaded.signals.clear()  # an hour of cleaned channels is large
    name, seconds = bench.read.library.exercises[trial.exercise].name, loaded.recording.seconds
    picture, unit = (thinned(course.values, course.rate_hz), course.unit) if course else (None, "")
    return TrialResult(loaded.number, trial, name, tuple(repetitions), channels, picture, unit, seconds)


def _reference(signal: Signal, reference: SensorReference | None) -> SensorReference:
    """Return what a sensor of a trial is compared with. Raises FaultyInput where it has none, or in another band."""
    channel, read, where = signal.channel, signal.read, f'channel "{signal.channel.label}"'
    if reference is None:
        words = f"{signal.sensor.name} has nothing to be compared with"
        remedy = "Record the reference tests, or an exercise without these flaws, in this placement"
        raise refuse(signal.file, where, words, remedy)
    corner = high_corner(channel.rate_hz, read.settings)
    needed = reference.corner_hz or corner
    if read.raw and corner != needed:
        words = f"its rate of {channel.rate_hz:g} Hz allows {corner:g} Hz, its reference was filtered to {needed:g} Hz"
        remedy = f"State band_high_hz = {min(corner, needed):g} in [method], so that both are cleaned alike"
        raise refuse(signal.file, where, words, remedy)
    return reference


def _channel(bench: Bench, signal: Signal, splits: Splits, given: SensorReference | None) -> ChannelResult:
    """Measure one sensor of one trial. Raises FaultyInput where nothing fits it to be compared with."""
    of = _reference(signal, given)
    rate, settings, level = signal.channel.rate_hz, signal.read.settings, of.level
    activation = Amplitude(signal.amplitude.values * (100.0 / level), rate)
    place = (signal.file, signal.channel.label)
    later = quality.high_level(place, activation, settings.window_seconds, signal.read.quality)
    later += signal.noise(activation.peak(settings.window_seconds) * level / 100, level)
    bench.findings.extend(later)
    findings = [*signal.findings, *later]
    out = (quality.spoiled(findings, r.start, r.stop) for r in splits)
    known = zip(range(1, len(splits) + 1), splits, out, strict=True)
    each = tuple(figures.repetition_figures(n, r, activation, settings, why) for n, r, why in known)
    untrusted = next((f"{f.check}: {f.words}" for f in findings if f.spoils_all), "")
    if not untrusted and all(r.left_out for r in each):
        reasons = dict.fromkeys(r.left_out.split(" at second")[0] for r in each)
        untrusted = f"no repetition counts ({'; '.join(reasons)})"
    return ChannelResult(signal.sensor, of.unit, each, thinned(activation.values, rate), untrusted)


def split_trial(bench: Bench, loaded: Loaded[Trial]) -> tuple[Splits, Channel | None]:
    """Find a trial's repetitions and their course (None: no motion). Raises FaultyInput where they cannot be found as stated."""
    trial, recording, motion = loaded.part, loaded.recording, bench.read.session.motion
    course = _course(bench, loaded)
    if isinstance(trial.repetitions, tuple):
        repetitions = []
        for start, stop, *turns in trial.repetitions:  # without a turn a repetition has no phases
            phases = [((start, turn), (turn, turn), (turn, stop)) for turn in turns]
            repetitions.append(Repetition(start, stop, "stated list", *(phases[0] if phases else ())))
        if repetitions and repetitions[-1].stop > recording.seconds + 1e-6:
            words = f"a stated repetition ends at {repetitions[-1].stop:g} s, the recording at {recording.seconds:.2f} s"
            raise refuse(loaded.part.told, "repetitions", words, "Mend the list in its [[trial]]")
    else:
        repetitions = _searched(bench.read, loaded, course)
        _refuse_count(loaded.part.told, trial.repetitions, repetitions)
    if tempo := trial.tempo:
        repetitions = [r if r.lift and r.lower else r.with_tempo(tempo) for r in repetitions]
    if all(repetition.cut_off for repetition in repetitions):
        last, remedy = repetitions[-1], "Record until the arm is back at rest"
        second = last.stop if last.cut_off == "at the end" else last.start
        words = f"holds no whole repetition: the only one is cut off {last.cut_off} of the file"
        bench.faults.append(Fault(loaded.part.told, f"second {second:.2f}", words, remedy))
    named = motion.channels if course is None and motion else ()
    if missing := [label for label in named if label not in recording.channels]:
        source, near = repetitions[0].source, nearest(missing[0], recording.channels)
        words = f'no motion channel "{missing[0]}", so repetitions come from the {source}{near}'
        bench.warnings.append(f"{loaded.part.told}: {words}")
    return repetitions, course


def _course(bench: Bench, loaded: Loaded[Trial]) -> Channel | None:
    """Return the motion's course; a session-wide motion channel may be missing in a file, a trial's own may not."""
    trial, source = loaded.part, loaded.recording
    motion = trial.motion or bench.read.session.motion
    if motion is None:
        return None
    if trial.motion_file is not None:
        source = bench.recording(trial.motion_file).between(trial.start, trial.stop)
    optional = trial.motion is None and trial.motion_file is None and trial.split != "motion"
    if optional and any(label not in source.channels for label in motion.channels):
        return None
    return course_of(source, motion, bench.read.settings, falling=trial.lift == "falling")


def _searched(read: ReadSession, loaded: Loaded[Trial], course: Channel | None) -> Splits:
    trial, settings = loaded.part, read.settings
    if course is not None and trial.split in (None, "motion"):
        return from_course(course, settings)
    if trial.split in (None, "marks"):
        marked = from_marks(loaded.recording, read.session.marks)
        if marked or trial.split == "marks":
            return marked
    if trial.split == "motion":
        remedy = "Add [motion], or choose another split"
        raise refuse(loaded.part.told, "split", "there is no motion channel", remedy)
    if trial.repetitions is None:
        words = "has no motion channel, no marks and no stated count"
        remedy = "State repetitions = N, or repetitions = [[start, stop, turn], ...] in its [[trial]]"
        raise refuse(loaded.part.told, "repetitions", words, remedy)
    return find_bursts(_summed(loaded, settings.burst_rate_hz), settings.burst_rate_hz, settings)


def _summed(loaded: Loaded[Trial], rate_hz: float) -> Samples:
    """Return the sum of all channels' envelopes, each in parts of its own largest."""
    grid = np.arange(0, loaded.recording.seconds, 1 / rate_hz)
    summed = np.zeros(len(grid))
    for signal in loaded.signals.values():
        if not any(f.spoils_all for f in signal.findings):
            values = signal.amplitude.values
            seconds = np.arange(len(values)) / signal.channel.rate_hz
            summed += np.interp(grid, seconds, values) / max(float(values.max()), 1e-12)
    return summed


def _refuse_count(file: str, stated: int | None, repetitions: Splits) -> None:
    count = len(repetitions)
    if count and stated in (None, count):
        return
    source = repetitions[0].source if repetitions else "recording"
    seconds = ", ".join(f"{r.start:.1f}-{r.stop:.1f}" for r in repetitions[:12])
    said = f"{stated} repetitions are stated, " if stated is not None else ""
    words = f"{said}{count} were found in the {source}" + (f" (seconds {seconds})" if seconds else "")
    remedy = "Mend the count, or write the list repetitions = [[start, stop, turn], ...]"
    where = f"repetitions, second {repetitions[0].start:.1f}" if repetitions else "repetitions"
    raise refuse(file, where, words, remedy)


def document_of(
    measured: MeasuredSession, rankings: Sequence[Ranking], rows: Sequence[OwnEvidence], added: Added | None
) -> dict[str, Any]:
    """Return everything that was measured, ready for JSON; what moved only where rows were added to an athlete."""
    card, settings = measured.read.session.session, measured.read.used_settings()
    document: dict[str, Any] = {
        "version": VERSION, "session": measured.read.id, "athlete": card.athlete, "date": card.date.isoformat(),
        "method": method_sentence(measured), "settings": {row.name: row.value for row in settings},
        "references": [*map(asdict, measured.references.values())],
        "trials": [*map(_trial_document, measured.trials)], "rankings": [*map(_ranking_document, rankings)],
        "rows": [row.model_dump(mode="json") for row in rows],
        "findings": [*map(asdict, measured.findings)],
        "faults": [{**asdict(fault), "file": str(fault.file)} for fault in measured.faults],
        "warnings": list(measured.warnings),
    }  # fmt: skip
    return document | ({"moved": [*map(asdict, added.moves)]} if added else {})


def _trial_document(trial: TrialResult) -> dict[str, Any]:
    left_out = {"start", "stop", "repetitions", "side", "split", "motion", "motion_file", "lift"}
    stated = trial.trial.model_dump(mode="json", exclude=left_out)
    about = {"number": trial.number, "name": trial.name, **stated, "phases_assumed": trial.assumed}
    channels = [
        {"head": of.sensor.muscle, "side": of.sensor.side, "unit": of.unit, "untrusted": of.untrusted}
        | {metric: of.mean_of(metric) for metric in (*METRICS, "eccentric_share")}
        | {f"{metric}_sd": of.sd_of(metric) for metric in METRICS}
        | {"repetitions": [asdict(repetition) for repetition in of.repetitions]}
        for of in trial.channels.values()
    ]
    return {**about, "repetitions": [*map(asdict, trial.repetitions)], "channels": channels}


def _ranking_document(ranking: Ranking) -> dict[str, Any]:
    shown = asdict(ranking)
    about = {"by": "mean", "first_repetitions": shown.pop("k"), "mdc95": ranking.error.change()}
    about |= shown.pop("error")
    for entry, of_entry in zip(shown["entries"], ranking.entries, strict=True):
        close = [other.label for other in ranking.close_to(of_entry)]
        entry |= {"rank": ranking.rank(of_entry), "value": of_entry.mean, "sd": of_entry.sd}
        entry |= {"too_close_to_call_with": close}
    return shown | about
