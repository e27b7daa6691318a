"""Which repetitions a trial has: the coach's own list, else motion, else marks, else the envelope's bursts.

Marks are EDF+ annotations, C3D events, or a marker channel (1 lift, 2 hold, 3 lower).
"""

from statistics import median

from library.errors import Fault, nearest
from planner.emg.loading import Cleaner, Loaded, Notebook
from planner.emg.readers import read_recording
from planner.emg.repetitions import (
    Course,
    Repetition,
    count_bursts,
    course_of,
    from_course,
    from_list,
    from_marks,
    marks_of,
    with_tempo,
)
from planner.emg.session import ReadSession, Trial
from planner.emg.signals import Recording, Samples
from planner.files.text import refuse


def split_trial(
    cleaner: Cleaner, loaded: Loaded[Trial], notes: Notebook
) -> tuple[list[Repetition], Course | None]:
    """Find a trial's repetitions and the course they were found in (None: no motion).

    What is stated wrongly goes into `notes`. Raises FaultyInput where they cannot be found as stated.
    """
    trial, recording, read = loaded.part, loaded.recording, cleaner.read
    course = _course(read, trial, recording)
    if isinstance(trial.repetitions, tuple):
        repetitions = from_list(trial.repetitions)
        if repetitions and repetitions[-1].stop > recording.seconds + 1e-6:
            words = f"a stated repetition ends at {repetitions[-1].stop:g} s, the recording at {recording.seconds:.2f} s"
            raise refuse(loaded.file, "repetitions", words, "Mend the list in its [[trial]]")
    else:
        repetitions = _searched(cleaner, loaded, course)
        _refuse_count(loaded.file, trial.stated_count, repetitions)
    repetitions = _with_tempo(loaded.file, trial, repetitions, read, notes)
    if not any(repetition.whole for repetition in repetitions):
        cut = repetitions[-1].cut_off
        second = repetitions[-1].stop if cut == "at the end" else repetitions[-1].start
        words = f"holds no whole repetition: the only one is cut off {cut} of the file"
        notes.faults.append(
            Fault(loaded.file, f"second {second:.2f}", words, "Record until the arm is back at rest")
        )
    named = read.session.motion.channels if course is None and read.session.motion else ()
    if missing := [label for label in named if label not in recording.channels]:
        source, near = repetitions[0].source, nearest(missing[0], recording.channels)
        words = f'no motion channel "{missing[0]}", so repetitions come from the {source}{near}'
        notes.warnings.append(f"{loaded.file}: {words}")
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


def _searched(cleaner: Cleaner, loaded: Loaded[Trial], course: Course | None) -> list[Repetition]:
    trial, read = loaded.part, cleaner.read
    if course is not None and trial.split in (None, "motion"):
        return from_course(course, read.settings)
    if trial.split in (None, "marks"):
        marks = marks_of(loaded.recording, read.session.marks)
        if marks or trial.split == "marks":
            return from_marks(marks, read.session.marks, loaded.recording.seconds)
    if trial.split == "motion":
        remedy = "Add [motion], or choose another split"
        raise refuse(loaded.file, "split", "there is no motion channel", remedy)
    if trial.stated_count is None:
        words = "has no motion channel, no marks and no stated count"
        remedy = "State repetitions = N, or repetitions = [[start, stop, turn], ...] in its [[trial]]"
        raise refuse(loaded.file, "repetitions", words, remedy)
    return count_bursts(_summed(cleaner, loaded), read.settings.burst_rate_hz, read.settings)[1]


def _summed(cleaner: Cleaner, loaded: Loaded[Trial]) -> Samples:
    """Return the sum of all channels' envelopes, each in parts of its own largest, at `burst_rate_hz`."""
    import numpy as np

    grid = np.arange(0, loaded.recording.seconds, 1 / cleaner.read.settings.burst_rate_hz)
    summed = np.zeros(len(grid))
    for sensor in cleaner.read.session.sensor:
        channel = loaded.channels.get(sensor.name)
        if channel is None or any(f.spoils_all for f in loaded.findings[sensor.name]):
            continue
        _, envelope = cleaner.signals(sensor, channel)
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


def _with_tempo(
    file: str, trial: Trial, repetitions: list[Repetition], read: ReadSession, notes: Notebook
) -> list[Repetition]:
    """Check the stated tempo against the repetitions, and part them by it where nothing else tells the phases."""
    tempo, whole = trial.tempo, [r for r in repetitions if r.whole]
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
        return repetitions if phased else [with_tempo(r, tempo) for r in repetitions]
    kept = "The phases measured are used" if phased else "The phases are left empty"
    remedy = f"{kept}; mend tempo in its [[trial]]"
    notes.faults.append(Fault(file, f"tempo, second {whole[0].start:.1f}", words, remedy))
    return repetitions
