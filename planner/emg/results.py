"""What measuring a session gives: per trial and sensor the figures, with all that was found on the way."""

from __future__ import annotations

from dataclasses import dataclass

from library.errors import Fault
from planner.emg.figures import SetFigures
from planner.emg.quality.finding import Finding
from planner.emg.recording import Samples
from planner.emg.reference import SensorReference, Unit
from planner.emg.repetitions import Repetition
from planner.emg.session import Sensor, Side, Trial
from planner.emg.session_read import ReadSession


@dataclass(frozen=True)
class Picture:
    """A curve thinned for print: seconds and values, and where sampling allows the largest value of each step."""

    seconds: Samples
    values: Samples


@dataclass(frozen=True)
class ChannelResult:
    """One sensor in one trial; `untrusted` says why it is not ranked or kept as evidence (empty: it is)."""

    sensor: Sensor
    unit: Unit
    figures: SetFigures
    picture: Picture
    untrusted: str = ""


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
        trial, tempo = self.trial, self.trial.tempo
        parts = [f"set {trial.order} of the session"] if trial.order is not None else []
        if trial.rir is not None:
            parts.append(f"{trial.rir:g} in reserve")
        if tempo is not None:
            phases = [
                ("lift", tempo.lift),
                ("top", tempo.top),
                ("lower", tempo.lower),
                ("bottom", tempo.bottom),
            ]
            parts.append(" ".join(f"{name} {seconds} s" for name, seconds in phases if seconds))
        return ", ".join([*parts, trial.notes] if trial.notes else parts)

    @property
    def assumed(self) -> bool:
        """Tell whether the phases are assumed from the stated tempo."""
        return any(repetition.assumed for repetition in self.repetitions)

    @property
    def most_counted(self) -> int:
        """The largest number of repetitions that count in any channel."""
        return max((len(c.figures.counted) for c in self.channels.values()), default=0)

    def watched_share(self, head: str, side: str, trained: set[str]) -> float | None:
        """Part of a watched head in the summed mean activation of it and the trained heads of its side.

        Only where all that were recorded can be used and are in % of a reference contraction; fractions of one.
        """
        here = {
            c.sensor.muscle: c
            for c in self.channels.values()
            if c.sensor.side == side and c.sensor.muscle in trained | {head}
        }
        if head not in here or len(here) < 2:
            return None
        if any(c.untrusted or c.unit != "percent_MVIC" for c in here.values()):
            return None
        means = {muscle: c.figures.mean_of("mean") for muscle, c in here.items()}
        total = sum(value for value in means.values() if value is not None)
        own = means[head]
        return own / total if own is not None and total > 0 else None


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

    def side_of(self, name: str) -> Side:
        """Return the body side of a sensor by its name."""
        return next(sensor.side for sensor in self.read.session.sensor if sensor.name == name)

    @property
    def trained(self) -> list[str]:
        """Heads that are trained, in library order."""
        return [key for key, head in self.read.known.heads.items() if head.role == "trained"]

    @property
    def watched(self) -> list[str]:
        """Heads that are only watched."""
        return [key for key, head in self.read.known.heads.items() if head.role == "watched"]
