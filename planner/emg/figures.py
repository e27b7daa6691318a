"""What a recording is compared with, and what it gives. The maximal tests (reference_tests.toml) and the reference of
each sensor (emg_method §4): 100 % is the largest window mean over all trials of all tests. The largest of many windows
of noise lies above the level that was held; by how much is told, and `reference_level = "held"` takes the held level.
Figures of a repetition are in the reference's per cent (total: times seconds); SD is over repetitions with n - 1."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from statistics import mean, stdev
from typing import Literal, NamedTuple

import numpy as np

from library.errors import Fault
from planner.emg.quality import Finding
from planner.emg.repetitions import Repetition
from planner.emg.session import ReadSession, Sensor, Trial, read_tests, tables
from planner.emg.signals import Amplitude, Samples
from planner.method import MeasureSettings

Unit = Literal["percent_MVIC", "percent_session_max"]
UNIT_WORDS: dict[Unit, str] = {"percent_MVIC": "%MVIC", "percent_session_max": "% of session's highest"}
PICTURE_POINTS = 400  # points of a printed curve: more than a page's width can show


def reach(recorded: Collection[str], head: str) -> tuple[str, int] | None:
    """Return by which test or known set, and how much in %, what was recorded reaches of a head's own maximum."""
    for known in sorted(tables()["set"], key=lambda known: -len(known["tests"])):
        if set(known["tests"]) <= set(recorded) and head in known["reaches"]:
            return known["name"], known["reaches"][head]
    tests = [read_tests()[key] for key in recorded]
    share, name = max(((t.alone[head], t.name) for t in tests if head in t.alone), default=(0, ""))
    return (f"{name}, alone", share) if name else None


def missing_tests(recorded: Collection[str]) -> list[str]:
    """Return the printed names of the default set's tests that were not recorded."""
    return [read_tests()[key].name for key in tables()["wanted"] if key not in recorded]


@dataclass(frozen=True)
class ReferenceLevel:
    """What one trial gives for one sensor: level in the signal's unit, its second, and why it may not count."""

    file: str
    test: str
    level: float
    second: float
    spike: float  # largest over median of the envelope in the hold
    lifted: float = 1.0  # largest window mean over the median one of the hold
    held: float | None = None  # seconds; None: the trial holds no rest to tell it by
    left_out: str = ""


@dataclass(frozen=True)
class SensorReference:
    """The reference of one sensor in one placement; `trials` are all its levels, `warnings` what to know of it."""

    sensor: str
    placement: int
    level: float
    unit: Unit
    file: str
    second_best: float | None = None
    lifted: float = 1.0
    trials: tuple[ReferenceLevel, ...] = ()
    warnings: tuple[str, ...] = ()
    corner_hz: float | None = None  # high corner of the band it was cleaned with; None: no contraction


def level_of(file: str, test: str, amplitude: Amplitude, settings: MeasureSettings) -> ReferenceLevel:
    """Return the level of one trial, left out where a spike made it."""
    rate, window = amplitude.rate_hz, settings.window_seconds
    means = amplitude.window_means(window)
    largest = float(means.max())
    inside = np.flatnonzero(means >= settings.hold_share * largest)
    first, last = int(inside[0]), int(inside[-1])
    hold = amplitude.values[first : last + round(window * rate)]
    steady, median = float(np.median(means[inside])), float(np.median(hold))
    spike, reason = float(hold.max() / median) if median > 0 else float("inf"), ""
    if spike > settings.spike_ratio:
        second = (first + int(hold.argmax())) / rate
        reason = f"a spike at second {second:.1f} ({spike:.1f} times the hold's median)"
    level = steady if settings.reference_level == "held" else largest
    held = (last - first) / rate if first > 0 and last < len(means) - 1 else None
    lifted = largest / steady if steady > 0 else 1.0
    return ReferenceLevel(file, test, level, amplitude.peak_second(window), spike, lifted, held, reason)


def choose_reference(
    sensor: str, head: str, placement: int, levels: Collection[ReferenceLevel], settings: MeasureSettings
) -> SensorReference | None:
    """Return the sensor's reference from the trials that count; None where none does."""
    counted = sorted((t for t in levels if not t.left_out), key=lambda t: -t.level)
    if not counted or counted[0].level <= 0:
        return None
    best, warnings = counted[0], []
    name = read_tests()[best.test].name
    second = next((t.level for t in counted[1:] if t.test == best.test), None)
    if second is None:
        warnings.append(f"one trial only of its best test ({name}): record {settings.trials_per_test}")
    elif best.level > (1 + settings.retest_share) * second:
        more = f"{100 * (best.level / second - 1):.0f} % above the second best: record another"
        warnings.append(f"the best trial of its best test ({name}) is {more}")
    if missing_tests(recorded := {t.test for t in counted}):  # what a set short of the default understates
        by, share = reach(recorded, head) or ("no recorded test is known to load this head", 0)
        high = f"so percentages read about {100 / share:.2f} times too high" if share else ""
        mean = f": {share} % of own maximum in the mean" + f", {high}" * (share < settings.long_set_per_cent)
        warnings.append(by + (mean if share else ", so its percentages are too high by an unknown amount"))
    left_out = [t for t in levels if t.left_out]
    warnings += [f"{t.file} ({t.test}) does not give the reference: {t.left_out}" for t in left_out]
    if best.held is not None and best.held < settings.hold_least_seconds:
        warnings.append(f"its best trial ({best.file}) was held for {best.held:.1f} s only: hold for 5 s")
    lifted = 1.0 if settings.reference_level == "held" else best.lifted
    about = (second, lifted, tuple(levels), tuple(f"{sensor}: {words}" for words in warnings))
    return SensorReference(sensor, placement, best.level, "percent_MVIC", best.file, *about)


def highest_set(sensor: str, placement: int, levels: Iterable[ReferenceLevel]) -> SensorReference | None:
    """Return the session's own highest exercise as the reference; ratios only."""
    best = max(levels, key=lambda trial: trial.level, default=None)
    if best is None or best.level <= 0:
        return None
    highest = f"in % of the session's highest exercise ({best.file}); these rows pool as ratios only"
    words = f"{sensor}: no reference contraction: {highest}"
    return SensorReference(sensor, placement, best.level, "percent_session_max", best.file, warnings=(words,))


def swapped(references: Iterable[SensorReference], sensors: Mapping[str, tuple[str, str]]) -> list[str]:
    """Name two sensors of a side that look exchanged: each is highest in a test known to load the other's head."""
    best, words = {}, []
    for reference in references:
        if counted := [t for t in reference.trials if not t.left_out]:
            test = read_tests()[max(counted, key=lambda t: t.level).test]
            best[reference.sensor, reference.placement] = (*sensors[reference.sensor], test)
    for ((name, placement), of_one), ((other, its_placement), of_other) in combinations(best.items(), 2):
        (head, side, test), (its_head, its_side, its_test) = of_one, of_other
        crossed = its_head in test.alone and head in its_test.alone
        owned = head in test.alone or its_head in its_test.alone
        if crossed and not owned and (placement, side) == (its_placement, its_side):
            highest = f"{name} is highest in the test of {other} ({test.name}), {other} in that of {name}"
            probably = "their cables or channels are probably swapped; mend [[sensor]]"
            words.append(f"{highest} ({its_test.name}): {probably}")
    return words


@dataclass(frozen=True)
class RepetitionFigures:
    """One repetition of one channel; phase totals and share are None where phases are not known."""

    number: int  # from 1, among all that were found
    start: float
    stop: float
    mean: float
    peak: float
    total: float
    lift: float | None
    hold: float | None
    lower: float | None
    eccentric_share: float | None
    left_out: str = ""  # why it does not count; empty: it counts


def repetition_figures(
    number: int, repetition: Repetition, activation: Amplitude, settings: MeasureSettings, left_out: str = ""
) -> RepetitionFigures:
    """Take the figures of one repetition."""
    whole = (repetition.start, repetition.stop)
    phases = (repetition.lift, repetition.hold, repetition.lower)
    lift, hold, lower = (None if span is None else activation.total(span) for span in phases)
    means = activation.mean(whole), activation.peak(settings.window_seconds, whole), activation.total(whole)
    why = left_out or (f"cut off {repetition.cut_off} of the file" if repetition.cut_off else "")
    share = eccentric_share(lift, lower)
    return RepetitionFigures(number, *whole, *means, lift, hold, lower, share, why)


def eccentric_share(lift: float | None, lower: float | None) -> float | None:
    """Return lower / (lift + lower) of integrated activation; the hold is reported apart."""
    if lift is None or lower is None or lift + lower <= 0:
        return None
    return lower / (lift + lower)


class Picture(NamedTuple):
    """A curve thinned for print."""

    seconds: Samples
    values: Samples


def thinned(values: Samples, rate_hz: float) -> Picture:
    """Return a curve with at most `PICTURE_POINTS` points: means of equal steps, so that a page stays small."""
    step = max(1, -(-len(values) // PICTURE_POINTS))
    starts = np.arange(0, len(values), step)
    counts = np.minimum(starts + step, len(values)) - starts
    return Picture((starts + counts / 2) / rate_hz, np.add.reduceat(values, starts) / counts)


@dataclass(frozen=True)
class ChannelResult:
    """One sensor in one trial: figures are means over the repetitions that count."""

    sensor: Sensor
    unit: Unit
    repetitions: tuple[RepetitionFigures, ...]
    picture: Picture
    untrusted: str = ""  # why it is not ranked or kept as evidence; empty: it is

    @property
    def counted(self) -> tuple[RepetitionFigures, ...]:
        """The repetitions that count."""
        return tuple(r for r in self.repetitions if not r.left_out)

    def values(self, metric: str, first: int | None = None) -> list[float]:
        """Return one figure of the first repetitions that count (None: of all that have it)."""
        return [v for r in self.counted[:first] if (v := getattr(r, metric)) is not None]

    def mean_of(self, metric: str, first: int | None = None) -> float | None:
        """Mean of one figure over repetitions, None where there is none."""
        values = self.values(metric, first)
        return mean(values) if values else None

    def sd_of(self, metric: str) -> float | None:
        """SD of one figure over repetitions, None below two."""
        values = self.values(metric)
        return stdev(values) if len(values) > 1 else None


@dataclass(frozen=True)
class TrialResult:
    """One measured trial. `number` is its place in session.toml from 1; channels are by sensor name."""

    number: int
    trial: Trial
    name: str
    repetitions: tuple[Repetition, ...]
    channels: dict[str, ChannelResult]
    course: Picture | None
    course_unit: str
    seconds: float

    @property
    def label(self) -> str:
        """Exercise and load, as it is printed."""
        trial = self.trial
        return self.name if trial.load is None else f"{self.name}, {trial.load:g} {trial.load_unit}"

    @property
    def left_out(self) -> list[tuple[int, str, list[Sensor]]]:
        """Repetitions that do not count, why, and in which channels; none named where it holds for all that are used."""
        used = [channel for channel in self.channels.values() if not channel.untrusted]
        reasons: dict[tuple[int, str], list[Sensor]] = {}
        for channel in used:
            for one in (one for one in channel.repetitions if one.left_out):
                reasons.setdefault((one.number, one.left_out), []).append(channel.sensor)
        every = sorted(reasons.items(), key=lambda item: item[0])
        return [(*about, sensors if len(sensors) < len(used) else []) for about, sensors in every]

    @property
    def assumed(self) -> bool:
        """Tell whether the phases are assumed from the stated tempo."""
        return any(repetition.assumed for repetition in self.repetitions)


@dataclass(frozen=True)
class MeasuredSession:
    """Everything that `planner measure` prints, draws and keeps."""

    read: ReadSession
    references: dict[tuple[str, int], SensorReference]
    trials: tuple[TrialResult, ...]
    findings: tuple[Finding, ...]
    faults: tuple[Fault, ...]
    warnings: tuple[str, ...]
    with_heart: tuple[str, ...]
    rates_hz: tuple[float, ...]
