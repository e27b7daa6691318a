"""Repetitions and their phases: from the arm's course by bands, from the coach's own list, from bursts of the envelope.

All times are seconds from the recording's start. Phases are never guessed from EMG.
"""

from collections import Counter
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from library.schema import Tempo
from planner.emg.cleaning import low_pass
from planner.emg.recording import Recording, Samples, Span, joined, runs
from planner.emg.session import Motion
from planner.emg.settings import MeasureSettings

Source = Literal["motion", "marks", "stated list", "envelope"]
DIGITS = 9  # of a threshold: no more than its spacing by floating point spoils


@dataclass(frozen=True)
class Course:
    """The smoothed motion: rises in lifting. `unit` is degrees for a tilt, else the channel's own."""

    values: Samples
    rate_hz: float
    unit: str


def course_of(recording: Recording, motion: Motion, settings: MeasureSettings, *, falling: bool) -> Course:
    """Return the smoothed course (emg_method §3, step 6); `falling` turns its sign.

    Raises FaultyInput for an unknown channel.
    """
    import numpy as np

    channels = [recording.channel(label) for label in motion.channels]
    rate, unit = channels[0].rate_hz, channels[0].unit
    if motion.kind == "accelerometer":
        corner, unit = settings.tilt_low_pass_hz, "deg"
        along, across = (low_pass(c.values, c.rate_hz, corner, settings.motion_order) for c in channels)
        length = min(len(along), len(across))
        # the arm's own direction of gravity turns from one axis to the other: +180° steps must not tear it
        values = np.degrees(np.unwrap(np.arctan2(along[:length], across[:length])))
    else:
        values = low_pass(channels[0].values, rate, settings.motion_low_pass_hz, settings.motion_order)
    return Course(-values if falling else values, rate, unit)


@dataclass(frozen=True)
class Repetition:
    """One repetition; phases are None where nothing tells them, `assumed` where only the stated tempo does."""

    start: float
    stop: float
    source: Source
    lift: Span | None = None
    hold: Span | None = None
    lower: Span | None = None
    assumed: bool = False
    cut_off: str = ""  # "at the start", "at the end": the file does not hold all of it

    @property
    def whole(self) -> bool:
        """Tell whether the file holds all of it."""
        return not self.cut_off


def from_course(course: Course, settings: MeasureSettings) -> list[Repetition]:
    """Find repetitions as peaks of the course that stand out by `prominence`, and part each by bands."""
    import numpy as np
    from scipy.signal import find_peaks

    values = course.values
    spread = float(np.ptp(values))
    if spread == 0:
        return []
    # a file that begins or ends with the arm up holds a part of a repetition: a low sample at each end shows it
    padded = np.concatenate(([values.min()], values, [values.min()]))
    peaks, _ = find_peaks(padded, prominence=settings.prominence * spread)
    peaks = np.clip(peaks - 1, 0, len(values) - 1)
    if len(peaks) == 0:
        return []
    bottoms = [int(values[: peaks[0] + 1].argmin())]
    bottoms += [int(a + values[a : b + 1].argmin()) for a, b in pairwise(peaks)]
    bottoms += [int(peaks[-1] + values[peaks[-1] :].argmin())]
    last = len(peaks) - 1
    return [
        _by_bands(
            course, (bottoms[n] if n else 0, int(peak), bottoms[n + 1] if n < last else len(values) - 1),
            (float(values[bottoms[n]]), float(values[bottoms[n + 1]])), settings,
        )
        for n, peak in enumerate(peaks)
    ]  # fmt: skip


def _by_bands(
    course: Course, places: tuple[int, int, int], bottoms: tuple[float, float], settings: MeasureSettings
) -> Repetition:
    """Part one repetition: `places` are first sample, top and last sample, `bottoms` the lowest values beside."""
    first, top, last = places
    values, rate = course.values, course.rate_hz
    low, high = min(bottoms), float(values[top])
    band = settings.phase_band * (high - low)
    before, after = values[first : top + 1], values[top : last + 1]
    floor_before = low + band if bottoms[0] <= low + band else bottoms[0] + band
    floor_after = low + band if bottoms[1] <= low + band else bottoms[1] + band
    lift_start = first + _last(before <= floor_before)
    lift_stop = lift_start + _first(values[lift_start : top + 1] >= high - band)
    lower_start = top + _last(after >= high - band)
    lower_stop = lower_start + _first(values[lower_start : last + 1] <= floor_after)
    cut = _cut(course, places, (low + band, high - low), settings)
    times = [place / rate for place in (lift_start, lift_stop, lower_start, lower_stop)]
    if cut == "at the end":
        times[3] = last / rate
    return Repetition(
        times[0], times[3], "motion",
        lift=(times[0], times[1]), hold=(times[1], times[2]), lower=(times[2], times[3]), cut_off=cut,
    )  # fmt: skip


def _cut(
    course: Course, places: tuple[int, int, int], band: tuple[float, float], settings: MeasureSettings
) -> str:
    """Tell at which end of the file the arm is still on its way; `band` is the bottom band's edge and the range."""
    first, top, last = places
    values = course.values
    near = max(1, round(settings.still_seconds * course.rate_hz))
    edge, spread = band
    limit, allowed = settings.still_share * spread, edge + settings.return_share * spread
    if last == len(values) - 1 and float(values[top:].min()) > edge:
        moving = abs(float(values[-1] - values[max(top, last - near)])) > limit
        if top == last or moving or float(values[-1]) > allowed:
            return "at the end"
    if first == 0 and float(values[: top + 1].min()) > edge:
        moving = abs(float(values[min(top, near)] - values[0])) > limit
        if top == 0 or moving or float(values[0]) > allowed:
            return "at the start"
    return ""


def _first(inside: Samples) -> int:
    return int(inside.argmax()) if inside.any() else len(inside) - 1


def _last(inside: Samples) -> int:
    return int(len(inside) - 1 - inside[::-1].argmax()) if inside.any() else 0


def from_list(entries: tuple[tuple[float, ...], ...]) -> list[Repetition]:
    """Take the coach's own [start, stop, turn]; without a turn a repetition has no phases."""
    repetitions = []
    for start, stop, *turn in entries:
        repetition = Repetition(start, stop, "stated list")
        if turn:
            repetition = replace(
                repetition, lift=(start, turn[0]), hold=(turn[0], turn[0]), lower=(turn[0], stop)
            )
        repetitions.append(repetition)
    return repetitions


def with_tempo(repetition: Repetition, tempo: Tempo) -> Repetition:
    """Part a repetition in the stated tempo's proportions (lift, top, lower) and mark the parts as assumed."""
    moving = tempo.lift + tempo.top + tempo.lower
    if moving == 0:
        return repetition
    length = repetition.stop - repetition.start
    first = repetition.start + length * tempo.lift / moving
    second = first + length * tempo.top / moving
    return replace(
        repetition,
        lift=(repetition.start, first),
        hold=(first, second),
        lower=(second, repetition.stop),
        assumed=True,
    )


def count_bursts(
    envelope: Samples, rate_hz: float, settings: MeasureSettings
) -> tuple[int, list[Repetition]]:
    """Return how many bursts the envelope holds and where.

    Bursts of the smoothed envelope are counted at several thresholds; the count that most of them give is the count.
    Where each begins and ends is then looked for in the envelope itself.
    """
    import numpy as np

    smooth = low_pass(envelope, rate_hz, settings.burst_low_pass_hz, settings.burst_order)
    top = float(np.quantile(smooth, settings.burst_top_quantile))
    levels = np.linspace(settings.burst_level_low, settings.burst_level_high, settings.burst_levels)
    tried = [_bursts(smooth > level * top, rate_hz, settings) for level in levels.round(DIGITS)]
    counts = Counter(len(bursts) for bursts in tried if bursts)
    if not counts:
        return 0, []
    count = max(counts, key=lambda number: (counts[number], number))
    fitting = [bursts for bursts in tried if len(bursts) == count]
    spans = fitting[len(fitting) // 4]  # the lowest thresholds may take noise at rest for a burst
    return count, [Repetition(*span, "envelope") for span in _edges(envelope, rate_hz, spans, settings)]


def _bursts(above: Samples, rate_hz: float, settings: MeasureSettings) -> list[Span]:
    """Return stretches above a threshold, joined over short gaps, without the short ones."""
    whole = joined(runs(above, rate_hz, 1), settings.burst_gap_seconds)
    return [(start, stop) for start, stop in whole if stop - start >= settings.burst_seconds]


def _edges(envelope: Samples, rate_hz: float, spans: list[Span], settings: MeasureSettings) -> list[Span]:
    """Return the bursts from where they leave the rest beside them to where they come back to it.

    Smoothing that shows how many there are also widens them, and a mean over rest reads low. On a log scale a moving
    RMS steps half its window early, and comes back as much too late.
    """
    import numpy as np

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
    import numpy as np

    if len(values) < 2:
        return 0
    count, sums = np.arange(1, len(values)), np.cumsum(values)
    before, after = sums[:-1] / count, (sums[-1] - sums[:-1]) / count[::-1]
    return 1 + int((count * count[::-1] * np.square(np.maximum(after - before, 0))).argmax())
