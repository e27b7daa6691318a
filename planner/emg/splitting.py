"""Which repetitions a trial has: the coach's own list, else motion, else marks, else the envelope's bursts."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median

from library.errors import Fault, FaultyInput, nearest
from planner.emg.bursts import count_bursts
from planner.emg.loaded import Cleaner, Loaded
from planner.emg.marks import from_marks, marks_of
from planner.emg.motion import Course, course_of
from planner.emg.read import read_recording
from planner.emg.recording import Recording, Samples
from planner.emg.repetitions import Repetition, from_course, from_list, with_tempo
from planner.emg.session import Motion, Trial
from planner.emg.session_read import ReadSession


@dataclass(frozen=True)
class Split:
    """A trial's repetitions, the course they were found in (None: no motion), what is stated wrongly, what to know."""

    repetitions: list[Repetition]
    course: Course | None
    faults: list[Fault]
    warnings: list[str]


def split_trial(read: ReadSession, cleaner: Cleaner, loaded: Loaded[Trial]) -> Split:
    """Find a trial's repetitions. Raises FaultyInput where they cannot be found as stated."""
    trial, recording = loaded.part, loaded.recording
    assert recording is not None
    course = _course(read, trial, recording)
    if isinstance(trial.repetitions, tuple):
        repetitions = from_list(trial.repetitions)
        _refuse_outside(loaded.file, repetitions, recording.seconds)
    else:
        repetitions = _found(read, cleaner, loaded, course)
        _refuse_count(loaded.file, trial.stated_count, repetitions)
    repetitions, faults = _with_tempo(loaded.file, trial, repetitions, read)
    if not any(repetition.whole for repetition in repetitions):
        cut = repetitions[-1].cut_off
        second = repetitions[-1].stop if cut == "at the end" else repetitions[-1].start
        read_ = f"holds no whole repetition: the only one is cut off {cut} of the file"
        remedy = "Record until the arm is back at rest"
        faults.append(Fault(loaded.file, f"second {second:.2f}", read_, remedy))
    return Split(repetitions, course, faults, _warnings(read, loaded, course, repetitions))


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
    if optional and not _has(source, motion):
        return None
    return course_of(source, motion, read.settings, falling=trial.lift == "falling")


def _warnings(
    read: ReadSession, loaded: Loaded[Trial], course: Course | None, repetitions: list[Repetition]
) -> list[str]:
    """Say it where the session names a motion channel that this file lacks."""
    motion = read.session.motion
    if course is not None or motion is None or loaded.recording is None:
        return []
    missing = [label for label in motion.channels if label not in loaded.recording.channels]
    if not missing:
        return []
    near = nearest(missing[0], loaded.recording.channels)
    source = repetitions[0].source
    return [f'{loaded.file}: no motion channel "{missing[0]}", so repetitions come from the {source}{near}']


def _has(recording: Recording, motion: Motion) -> bool:
    return all(label in recording.channels for label in motion.channels)


def _found(
    read: ReadSession, cleaner: Cleaner, loaded: Loaded[Trial], course: Course | None
) -> list[Repetition]:
    trial, recording = loaded.part, loaded.recording
    assert recording is not None
    if course is not None and trial.split in (None, "motion"):
        return from_course(course, read.settings)
    if trial.split in (None, "marks"):
        marks = marks_of(recording, read.session.marks)
        if marks or trial.split == "marks":
            return from_marks(marks, read.session.marks, recording.seconds)
    if trial.split == "motion":
        remedy = "Add [motion], or choose another split"
        raise FaultyInput([Fault(loaded.file, "split", "there is no motion channel", remedy)])
    if trial.stated_count is None:
        read_ = "has no motion channel, no marks and no stated count"
        remedy = "State repetitions = N, or repetitions = [[start, stop, turn], ...] in its [[trial]]"
        raise FaultyInput([Fault(loaded.file, "repetitions", read_, remedy)])
    summed = _summed(read, cleaner, loaded)
    count, repetitions = count_bursts(summed, read.settings.burst_rate_hz, read.settings)
    return repetitions if count else []


def _summed(read: ReadSession, cleaner: Cleaner, loaded: Loaded[Trial]) -> Samples:
    """Return the sum of all channels' envelopes, each in parts of its own largest, at `burst_rate_hz`."""
    import numpy as np

    assert loaded.recording is not None
    grid = np.arange(0, loaded.recording.seconds, 1 / read.settings.burst_rate_hz)
    summed = np.zeros(len(grid))
    for sensor in read.session.sensor:
        channel = loaded.channels.get(sensor.name)
        if channel is None or any(f.spoils_all for f in loaded.findings[sensor.name]):
            continue
        envelope = cleaner.envelope(channel, cleaner.cleaned(sensor, channel))
        seconds = np.arange(len(envelope)) / channel.rate_hz
        summed += np.interp(grid, seconds, envelope) / max(float(envelope.max()), 1e-12)
    return summed


def _refuse_outside(file: str, repetitions: list[Repetition], seconds: float) -> None:
    if repetitions and repetitions[-1].stop > seconds + 1e-6:
        read = f"a stated repetition ends at {repetitions[-1].stop:g} s, the recording at {seconds:.2f} s"
        raise FaultyInput([Fault(file, "repetitions", read, "Mend the list in its [[trial]]")])


def _refuse_count(file: str, stated: int | None, repetitions: list[Repetition]) -> None:
    found = len(repetitions)
    if found and stated in (None, found):
        return
    source = repetitions[0].source if repetitions else "recording"
    listed = ", ".join(f"{r.start:.1f}-{r.stop:.1f}" for r in repetitions[:12])
    said = f"{stated} repetitions are stated, " if stated is not None else ""
    read = f"{said}{found} were found in the {source}" + (f" (seconds {listed})" if listed else "")
    remedy = "Mend the count, or write the list repetitions = [[start, stop, turn], ...]"
    where = f"repetitions, second {repetitions[0].start:.1f}" if repetitions else "repetitions"
    raise FaultyInput([Fault(file, where, read, remedy)])


def _with_tempo(
    file: str, trial: Trial, repetitions: list[Repetition], read: ReadSession
) -> tuple[list[Repetition], list[Fault]]:
    """Check the stated tempo against the repetitions, and part them by it where nothing else tells the phases."""
    tempo, whole = trial.tempo, [r for r in repetitions if r.whole]
    if tempo is None or not whole:
        return repetitions, []
    by_bands = whole[0].source == "motion"
    shortened = (
        1 - 2 * read.settings.phase_band if by_bands else 1.0
    )  # bands keep the ends out of both phases
    moved = median(r.stop - r.start for r in whole) / shortened
    stated = [tempo.lift + tempo.top + tempo.lower, tempo.seconds_per_repetition]
    share = read.settings.tempo_share
    phased = all(r.lift is not None and r.lower is not None for r in whole)
    wrong = not (1 - share) * min(stated) <= moved <= (1 + share) * max(stated)
    words = f"the repetitions take {moved:.1f} s, the stated tempo {stated[0]} s"
    if not wrong and phased:
        lift, lower = (_median_length(whole, name) / shortened for name in ("lift", "lower"))
        wrong = (tempo.lift - tempo.lower) * (lift - lower) < 0 and _far(lift, lower, share)
        words = f"lifting takes {lift:.1f} s and lowering {lower:.1f} s, stated are {tempo.lift} and {tempo.lower} s"
    if not wrong:
        return [r if phased else with_tempo(r, tempo) for r in repetitions], []
    kept = "The phases measured are used" if phased else "The phases are left empty"
    remedy = f"{kept}; mend tempo in its [[trial]]"
    return repetitions, [Fault(file, f"tempo, second {whole[0].start:.1f}", words, remedy)]


def _median_length(repetitions: list[Repetition], phase: str) -> float:
    spans = [getattr(r, phase) for r in repetitions]
    return float(median(stop - start for start, stop in spans))


def _far(one: float, other: float, share: float) -> bool:
    return abs(one - other) > share * max(one, other)
