"""Repetitions and phases: from the arm's course by bands, the coach's own list, marks, or bursts of the envelope. All
times are seconds from the recording's start. Phases are never guessed from EMG."""

from collections import Counter
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
from scipy.signal import find_peaks

from library.schema import Tempo
from planner.emg.session import MarkWords, Motion
from planner.emg.signals import Channel, Mark, Recording, Samples, Span, joined, low_pass, runs
from planner.method import MeasureSettings

DIGITS = 9  # of a threshold: no more than its spacing by floating point spoils
PHASES = ("lift", "hold", "lower")


@dataclass(frozen=True)
class Repetition:
    """One repetition; phases are None where nothing tells them, `assumed` where only the stated tempo does."""

    start: float
    stop: float
    source: Literal["motion", "marks", "stated list", "envelope"]
    lift: Span | None = None
    hold: Span | None = None
    lower: Span | None = None
    assumed: bool = False
    cut_off: str = ""  # "at the start", "at the end": the file does not hold all of it

    def with_tempo(self, tempo: Tempo) -> "Repetition":
        """Part it in the stated tempo's proportions (lift, top, lower) and mark the parts as assumed."""
        moving = tempo.lift + tempo.top + tempo.lower
        if moving == 0:
            return self
        first = self.start + (self.stop - self.start) * tempo.lift / moving
        second = first + (self.stop - self.start) * tempo.top / moving
        lift, hold, lower = (self.start, first), (first, second), (second, self.stop)
        return replace(self, lift=lift, hold=hold, lower=lower, assumed=True)


def course_of(recording: Recording, motion: Motion, settings: MeasureSettings, *, falling: bool) -> Channel:
    """Return the smoothed motion, which rises in lifting (emg_method §3, step 6). Raises FaultyInput: no such channel."""
    tilt = motion.kind == "accelerometer"
    corner = settings.tilt_low_pass_hz if tilt else settings.motion_low_pass_hz
    channels = [recording.channel(label) for label in motion.channels]
    values, *across = (low_pass(c.values, c.rate_hz, corner, settings.motion_order) for c in channels)
    if tilt:
        length = min(len(values), len(across[0]))
        # the arm's own direction of gravity turns from one axis to the other: +180° steps must not tear it
        values = np.degrees(np.unwrap(np.arctan2(values[:length], across[0][:length])))
    unit, values = "deg" if tilt else channels[0].unit, -values if falling else values
    return Channel("arm", channels[0].rate_hz, values, unit)


def from_course(course: Channel, settings: MeasureSettings) -> list[Repetition]:
    """Find repetitions as peaks of the course that stand out by `prominence`, and part each by bands."""
    values = course.values
    spread = float(np.ptp(values))
    if spread == 0:
        return []
    # a file that begins or ends with the arm up holds a part of a repetition: a low sample at each end shows it
    padded = np.concatenate(([values.min()], values, [values.min()]))
    peaks, _ = find_peaks(padded, prominence=settings.prominence * spread)
    peaks = np.clip(peaks - 1, 0, len(values) - 1)
    ends = [0, *(int(a + values[a : b + 1].argmin()) for a, b in pairwise(peaks)), len(values) - 1]
    places = zip(peaks, pairwise(ends), strict=True) if len(peaks) else ()
    return [_by_bands(course, (first, int(top), last), settings) for top, (first, last) in places]


def _by_bands(course: Channel, places: tuple[int, int, int], settings: MeasureSettings) -> Repetition:
    """Part one repetition, given as first sample, top and last sample, by its own range."""
    (first, top, last), values, rate = places, course.values, course.rate_hz
    before, after, high = values[first : top + 1], values[top : last + 1], float(values[top])
    lowest = float(before.min()), float(after.min())
    low = min(lowest)
    band = settings.phase_band * (high - low)
    floors = [low + band if bottom <= low + band else bottom + band for bottom in lowest]
    lift_start = first + _last(before <= floors[0])
    lift_stop = lift_start + _first(values[lift_start : top + 1] >= high - band)
    lower_start = top + _last(after >= high - band)
    lower_stop = lower_start + _first(values[lower_start : last + 1] <= floors[1])
    cut = _cut(course, places, (low + band, high - low), settings)
    stops = (lift_start, lift_stop, lower_start, last if cut == "at the end" else lower_stop)
    a, b, c, d = (place / rate for place in stops)
    return Repetition(a, d, "motion", (a, b), (b, c), (c, d), cut_off=cut)


def _cut(course: Channel, places: tuple[int, int, int], band: Span, settings: MeasureSettings) -> str:
    """Tell at which end of the file the arm is still on its way; `band` is the bottom band's edge and the range."""
    (first, top, last), values, (edge, spread) = places, course.values, band
    near = max(1, round(settings.still_seconds * course.rate_hz))
    limit, allowed = settings.still_share * spread, edge + settings.return_share * spread

    def on_its_way(end: int, inner: int, side: Samples) -> bool:
        moving = abs(float(values[end] - values[inner])) > limit
        up = moving or end == top or float(values[end]) > allowed
        return float(side.min()) > edge and up

    if last == len(values) - 1 and on_its_way(last, max(top, last - near), values[top:]):
        return "at the end"
    if first == 0 and on_its_way(0, min(top, near), values[: top + 1]):
        return "at the start"
    return ""


def _first(inside: Samples) -> int:
    return int(inside.argmax()) if inside.any() else len(inside) - 1


def _last(inside: Samples) -> int:
    return int(len(inside) - 1 - inside[::-1].argmax()) if inside.any() else 0


def find_bursts(envelope: Samples, rate_hz: float, settings: MeasureSettings) -> list[Repetition]:
    """Return the bursts that the envelope holds. Bursts of the smoothed envelope are counted at several thresholds;
    the commonest count is the count. Where each begins and ends is then looked for in the envelope itself."""
    smooth = low_pass(envelope, rate_hz, settings.burst_low_pass_hz, settings.burst_order)
    top = float(np.quantile(smooth, settings.burst_top_quantile))
    levels = np.linspace(settings.burst_level_low, settings.burst_level_high, settings.burst_levels)
    gap, least = settings.burst_gap_seconds, settings.burst_seconds
    above = [joined(runs(smooth > level * top, rate_hz, 1), gap) for level in levels.round(DIGITS)]
    tried = [[(a, b) for a, b in spans if b - a >= least] for spans in above]
    counts = Counter(len(bursts) for bursts in tried if bursts)
    if not counts:
        return []
    count = max(counts, key=lambda number: (counts[number], number))
    fitting = [bursts for bursts in tried if len(bursts) == count]
    spans = fitting[len(fitting) // 4]  # the lowest thresholds may take noise at rest for a burst
    return [Repetition(*span, "envelope") for span in _edges(envelope, rate_hz, spans, settings)]


def _edges(envelope: Samples, rate_hz: float, spans: list[Span], settings: MeasureSettings) -> list[Span]:
    """Return the bursts from where they leave the rest beside them to where they come back to it. Smoothing that
    shows how many there are also widens them, and a mean over rest reads low. On a log scale a moving RMS steps half
    its window early, and comes back as much too late."""
    logs = np.log(np.maximum(envelope, float(envelope.max()) * settings.burst_least))
    near, early = round(settings.burst_edge_seconds * rate_hz), round(settings.rms_seconds / 2 * rate_hz)
    places = [(round(start * rate_hz), round(stop * rate_hz)) for start, stop in spans]
    ends = [0, *((a[1] + b[0]) // 2 for a, b in pairwise(places)), len(logs)]
    refined = []
    for (start, stop), (first, last) in zip(places, pairwise(ends), strict=True):
        inside = min(near, (stop - start) // 2)
        low, high = max(first, start - near), min(last, stop + near)
        left = low + _step(logs[low : start + inside])
        right = high - _step(logs[stop - inside : high][::-1])
        refined.append(((left + early) / rate_hz, (right - early) / rate_hz))
    return refined


def _step(values: Samples) -> int:
    """Return where a curve steps up: the place that parts it into the two levels that fit best by least squares."""
    if len(values) < 2:
        return 0
    count, sums = np.arange(1, len(values)), np.cumsum(values)
    before, after = sums[:-1] / count, (sums[-1] - sums[:-1]) / count[::-1]
    return 1 + int((count * count[::-1] * np.square(np.maximum(after - before, 0))).argmax())


def from_marks(recording: Recording, words: MarkWords) -> list[Repetition]:
    """Join marks to repetitions of at most one lift, hold and lower; a mark without duration lasts until the next."""
    marks = sorted(recording.marks, key=lambda mark: mark.onset)
    if words.channel is not None:
        channel, names = recording.channel(words.channel), dict(enumerate(PHASES, 1))
        codes, rate = np.rint(channel.values).astype(int), channel.rate_hz
        edges = [0, *(np.flatnonzero(np.diff(codes)) + 1).tolist(), len(codes)]
        spans = [(a, b, names.get(int(codes[a]))) for a, b in pairwise(edges)]
        marks = [Mark(a / rate, (b - a) / rate, getattr(words, name)[0]) for a, b, name in spans if name]
    ends = [mark.onset for mark in marks[1:]] + [recording.seconds] * bool(marks)
    filled = [replace(m, duration=m.duration or end - m.onset) for m, end in zip(marks, ends, strict=True)]
    begin = {kind: tuple(map(str.casefold, getattr(words, kind))) for kind in (*PHASES, "repetition")}
    said = [(mark.text.strip().casefold(), mark) for mark in filled]
    kinds = [(next((k for k in begin if text.startswith(begin[k])), ""), mark) for text, mark in said]
    marked = [(kind, mark) for kind, mark in kinds if kind]
    groups: list[dict[str, Mark]] = []
    for kind, mark in marked:
        if kind in PHASES:
            if not groups or kind in groups[-1] or {"lift", "lower"} <= groups[-1].keys():
                groups.append({})
            groups[-1][kind] = mark
    groups = groups or [{kind: mark} for kind, mark in marked]
    return [_of_phases(group, words, recording.seconds) for group in groups]


def _of_phases(group: dict[str, Mark], words: MarkWords, seconds: float) -> Repetition:
    spans = {kind: (mark.onset, min(mark.onset + mark.duration, seconds)) for kind, mark in group.items()}
    start, stop = min(span[0] for span in spans.values()), max(span[1] for span in spans.values())
    said = any(word in mark.text.casefold() for mark in group.values() for word in words.cut_off)
    cut = "at the end" if said else ""
    if not said and "repetition" not in group and not {"lift", "lower"} <= group.keys():
        cut = "at the start" if "lift" not in group and start < seconds / 2 else "at the end"
    lift, hold, lower = (spans.get(kind) for kind in PHASES)
    if hold is None and lift and lower:
        hold = (lift[1], max(lift[1], lower[0]))
    return Repetition(start, stop, "marks", lift, hold, lower, cut_off=cut)
