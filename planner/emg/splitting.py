"""Which repetitions a trial has: the coach's own list, else motion, else marks, else the envelope's bursts.

Marks are EDF+ annotations, C3D events, or a marker channel (1 lift, 2 hold, 3 lower).
"""

from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median

from library.errors import Fault, nearest
from planner.emg.loading import Cleaner, Loaded
from planner.emg.readers import read_recording
from planner.emg.recording import Channel, Mark, Recording, Samples, Span
from planner.emg.repetitions import (
    Course,
    Repetition,
    count_bursts,
    course_of,
    from_course,
    from_list,
    with_tempo,
)
from planner.emg.session import MarkWords, ReadSession, Trial
from planner.files.text import refuse

PHASES = ("lift", "hold", "lower")


@dataclass(frozen=True)
class Split:
    """A trial's repetitions, the course they were found in (None: no motion), what is stated wrongly, what to know."""

    repetitions: list[Repetition]
    course: Course | None
    faults: list[Fault]
    warnings: list[str]


def split_trial(cleaner: Cleaner, loaded: Loaded[Trial]) -> Split:
    """Find a trial's repetitions. Raises FaultyInput where they cannot be found as stated."""
    trial, recording, read = loaded.part, loaded.recording, cleaner.read
    assert recording is not None
    course = _course(read, trial, recording)
    if isinstance(trial.repetitions, tuple):
        repetitions = from_list(trial.repetitions)
        _refuse_outside(loaded.file, repetitions, recording.seconds)
    else:
        repetitions = _searched(cleaner, loaded, course)
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
    if optional and any(label not in source.channels for label in motion.channels):
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


def _searched(cleaner: Cleaner, loaded: Loaded[Trial], course: Course | None) -> list[Repetition]:
    trial, recording, read = loaded.part, loaded.recording, cleaner.read
    assert recording is not None
    if course is not None and trial.split in (None, "motion"):
        return from_course(course, read.settings)
    if trial.split in (None, "marks"):
        marks = marks_of(recording, read.session.marks)
        if marks or trial.split == "marks":
            return from_marks(marks, read.session.marks, recording.seconds)
    if trial.split == "motion":
        remedy = "Add [motion], or choose another split"
        raise refuse(loaded.file, "split", "there is no motion channel", remedy)
    if trial.stated_count is None:
        read_ = "has no motion channel, no marks and no stated count"
        remedy = "State repetitions = N, or repetitions = [[start, stop, turn], ...] in its [[trial]]"
        raise refuse(loaded.file, "repetitions", read_, remedy)
    summed = _summed(cleaner, loaded)
    count, repetitions = count_bursts(summed, read.settings.burst_rate_hz, read.settings)
    return repetitions if count else []


def _summed(cleaner: Cleaner, loaded: Loaded[Trial]) -> Samples:
    """Return the sum of all channels' envelopes, each in parts of its own largest, at `burst_rate_hz`."""
    import numpy as np

    read = cleaner.read
    assert loaded.recording is not None
    grid = np.arange(0, loaded.recording.seconds, 1 / read.settings.burst_rate_hz)
    summed = np.zeros(len(grid))
    for sensor in read.session.sensor:
        channel = loaded.channels.get(sensor.name)
        if channel is None or any(f.spoils_all for f in loaded.findings[sensor.name]):
            continue
        _, envelope = cleaner.signals(sensor, channel)
        seconds = np.arange(len(envelope)) / channel.rate_hz
        summed += np.interp(grid, seconds, envelope) / max(float(envelope.max()), 1e-12)
    return summed


def _refuse_outside(file: str, repetitions: list[Repetition], seconds: float) -> None:
    if repetitions and repetitions[-1].stop > seconds + 1e-6:
        read = f"a stated repetition ends at {repetitions[-1].stop:g} s, the recording at {seconds:.2f} s"
        raise refuse(file, "repetitions", read, "Mend the list in its [[trial]]")


def _refuse_count(file: str, stated: int | None, repetitions: list[Repetition]) -> None:
    count = len(repetitions)
    if count and stated in (None, count):
        return
    source = repetitions[0].source if repetitions else "recording"
    listed = ", ".join(f"{r.start:.1f}-{r.stop:.1f}" for r in repetitions[:12])
    said = f"{stated} repetitions are stated, " if stated is not None else ""
    read = f"{said}{count} were found in the {source}" + (f" (seconds {listed})" if listed else "")
    remedy = "Mend the count, or write the list repetitions = [[start, stop, turn], ...]"
    where = f"repetitions, second {repetitions[0].start:.1f}" if repetitions else "repetitions"
    raise refuse(file, where, read, remedy)


def _with_tempo(
    file: str, trial: Trial, repetitions: list[Repetition], read: ReadSession
) -> tuple[list[Repetition], list[Fault]]:
    """Check the stated tempo against the repetitions, and part them by it where nothing else tells the phases."""
    tempo, whole = trial.tempo, [r for r in repetitions if r.whole]
    if tempo is None or not whole:
        return repetitions, []
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
        return [r if phased else with_tempo(r, tempo) for r in repetitions], []
    kept = "The phases measured are used" if phased else "The phases are left empty"
    remedy = f"{kept}; mend tempo in its [[trial]]"
    return repetitions, [Fault(file, f"tempo, second {whole[0].start:.1f}", words, remedy)]


def marks_of(recording: Recording, words: MarkWords) -> list[tuple[str, Mark]]:
    """Return the marks that say something of a repetition, with their kind; zero durations are filled."""
    marks = list(recording.marks)
    if words.channel is not None:
        marks = _from_channel(recording.channel(words.channel), words)
    marks.sort(key=lambda mark: mark.onset)
    ends = [mark.onset for mark in marks[1:]] + [recording.seconds] * bool(marks)
    filled = [
        mark if mark.duration else replace(mark, duration=end - mark.onset)
        for mark, end in zip(marks, ends, strict=True)
    ]
    kinds = [(kind_of(mark.text, words), mark) for mark in filled]
    return [(kind, mark) for kind, mark in kinds if kind]


def kind_of(text: str, words: MarkWords) -> str:
    """Return lift, hold, lower or repetition by the words that a mark's text begins with, or an empty text."""
    said = text.strip().casefold()
    for kind in (*PHASES, "repetition"):
        if any(said.startswith(word.casefold()) for word in getattr(words, kind)):
            return kind
    return ""


def _from_channel(channel: Channel, words: MarkWords) -> list[Mark]:
    import numpy as np

    codes = np.rint(channel.values).astype(int)
    edges = [0, *(np.flatnonzero(np.diff(codes)) + 1).tolist(), len(codes)]
    names = {1: words.lift[0], 2: words.hold[0], 3: words.lower[0]}
    return [
        Mark(start / channel.rate_hz, (stop - start) / channel.rate_hz, names[int(codes[start])])
        for start, stop in pairwise(edges)
        if int(codes[start]) in names
    ]


def from_marks(marks: list[tuple[str, Mark]], words: MarkWords, seconds: float) -> list[Repetition]:
    """Join marks to repetitions: each holds at most one lift, hold and lower; phase marks win over bare ones."""
    if any(kind in PHASES for kind, _ in marks):
        groups: list[dict[str, Mark]] = []
        for kind, mark in marks:
            if kind not in PHASES:
                continue
            if not groups or kind in groups[-1] or {"lift", "lower"} <= groups[-1].keys():
                groups.append({})
            groups[-1][kind] = mark
        return [_of_phases(group, words, seconds) for group in groups]
    return [
        Repetition(m.onset, min(m.onset + m.duration, seconds), "marks", cut_off=_said_cut(m, words))
        for _, m in marks
    ]


def _of_phases(group: dict[str, Mark], words: MarkWords, seconds: float) -> Repetition:
    spans = {kind: _span(mark, seconds) for kind, mark in group.items()}
    start = min(span[0] for span in spans.values())
    stop = max(span[1] for span in spans.values())
    cut = next((said for mark in group.values() if (said := _said_cut(mark, words))), "")
    if not cut and not {"lift", "lower"} <= group.keys():
        cut = "at the start" if "lift" not in group and start < seconds / 2 else "at the end"
    lift, lower = spans.get("lift"), spans.get("lower")
    hold = spans.get("hold")
    if hold is None and lift and lower:
        hold = (lift[1], max(lift[1], lower[0]))
    return Repetition(start, stop, "marks", lift=lift, hold=hold, lower=lower, cut_off=cut)


def _span(mark: Mark, seconds: float) -> Span:
    return mark.onset, min(mark.onset + mark.duration, seconds)


def _said_cut(mark: Mark, words: MarkWords) -> str:
    return "at the end" if any(word in mark.text.casefold() for word in words.cut_off) else ""
