"""What measuring gives: figures per repetition and set (emg_method §3, steps 10 to 12), trials, the session.
Activation is in % of the reference (`unit`: percent_MVIC or percent_session_max), totals in that % times seconds. SD
is over repetitions with n - 1."""

from dataclasses import dataclass
from statistics import mean, stdev
from typing import NamedTuple

import numpy as np

from library.errors import Fault
from planner.emg.quality import Finding
from planner.emg.references import SensorReference, Unit
from planner.emg.repetitions import Repetition
from planner.emg.session import ReadSession, Sensor, Trial
from planner.emg.signals import Amplitude, Samples
from planner.method import MeasureSettings

PICTURE_POINTS = 400  # points of a printed curve: more than a page's width can show


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
    def conditions(self) -> str:
        """How the set was done, as far as it is stated."""
        trial = self.trial
        order = "" if trial.order is None else f"set {trial.order} of the session"
        reserve = "" if trial.rir is None else f"{trial.rir:g} in reserve"
        tempo = " ".join(f"{name} {seconds} s" for name, seconds in trial.tempo or () if seconds)
        return ", ".join(filter(None, (order, reserve, tempo, trial.notes)))

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
