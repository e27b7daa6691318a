"""One recording as it was read: channels with their own rates on an even grid, and the file's marks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeAlias

from library.errors import nearest
from planner.emg.settings import QualitySettings
from planner.files.text import refuse

if TYPE_CHECKING:
    from numpy.typing import NDArray

Samples: TypeAlias = "NDArray[Any]"  # one-dimensional, float64
Span = tuple[float, float]  # from, to; seconds from the recording's start

MOST_DECIMALS = 9  # decimals of a written time that are looked for
LOOKED_AT = 2000  # samples from which the written decimals are found
MILLIVOLTS = {"V": 1e3, "mV": 1.0, "uV": 1e-3, "µV": 1e-3, "μV": 1e-3, "nV": 1e-6}


@dataclass(frozen=True)
class Mark:
    """An event of the file: onset and duration in seconds (0: an instant) and its text."""

    onset: float
    duration: float
    text: str


@dataclass(frozen=True)
class Channel:
    """One channel: samples evenly spaced at `rate_hz`; `ends` are the converter's ends in the same unit."""

    label: str
    rate_hz: float
    values: Samples
    unit: str = ""
    ends: tuple[float, float] | None = None
    gaps: tuple[Span, ...] = ()  # where samples were lost and the line was drawn through
    uneven: Span | None = None  # the first place where the time column's steps are uneven

    @property
    def seconds(self) -> float:
        """Length in seconds."""
        return len(self.values) / self.rate_hz

    def in_millivolts(self) -> Channel:
        """Return the channel in mV where its unit is a voltage; otherwise as it is."""
        factor = MILLIVOLTS.get(self.unit, 1.0)
        if factor == 1.0:
            return self
        ends = (self.ends[0] * factor, self.ends[1] * factor) if self.ends else None
        return replace(self, values=self.values * factor, unit="mV", ends=ends)

    def between(self, start: float, stop: float) -> Channel:
        """Return the part from `start` to `stop` seconds; its own time begins at 0."""
        first, last = round(start * self.rate_hz), round(stop * self.rate_hz)
        gaps = tuple((max(a, start) - start, b - start) for a, b in self.gaps if b > start and a < stop)
        return replace(self, values=self.values[first:last], gaps=gaps)


@dataclass(frozen=True)
class Recording:
    """One file: its channels by label and its marks."""

    file: str
    channels: Mapping[str, Channel]
    marks: tuple[Mark, ...] = ()

    @property
    def seconds(self) -> float:
        """Length of the longest channel in seconds."""
        return max((channel.seconds for channel in self.channels.values()), default=0.0)

    def channel(self, label: str) -> Channel:
        """Return a channel by its label; refused where the file has none or its samples are no numbers."""
        if label in self.channels:
            return _without_nan(self.file, self.channels[label])
        has = ", ".join(self.channels)
        remedy = f"Write one of the file's channels ({has}){nearest(label, self.channels)}"
        raise refuse(self.file, f'channel "{label}"', "the file has no such channel", remedy)

    def between(self, start: float | None, stop: float | None) -> Recording:
        """Return the part from `start` to `stop` seconds (None: the file's own end)."""
        if start is None and stop is None:
            return self
        begin, end = start or 0.0, self.seconds if stop is None else stop
        if not 0 <= begin < end <= self.seconds + 1e-6:
            read = f"the part {begin:g}-{end:g} s does not lie in its {self.seconds:.2f} s"
            raise refuse(self.file, "start, stop", read, "State seconds inside the file")
        channels = {label: channel.between(begin, end) for label, channel in self.channels.items()}
        marks = tuple(replace(m, onset=m.onset - begin) for m in self.marks if begin <= m.onset < end)
        return replace(self, file=part_name(self.file, start), channels=channels, marks=marks)


def part_name(file: str, start: float | None) -> str:
    """Return the name by which a part of a file is told: seconds count from its beginning."""
    return f"{file} from {start:g} s" if start else file


def _without_nan(file: str, channel: Channel) -> Channel:
    import numpy as np

    missing = ~np.isfinite(channel.values)
    if not missing.any():
        return channel
    where = f'channel "{channel.label}", second {int(missing.argmax()) / channel.rate_hz:.3f}'
    read = f"{int(missing.sum())} samples are no number (NaN)"
    remedy = "Export it again, or state start and stop of a part without them"
    raise refuse(file, where, read, remedy)


def timed_channel(
    place: tuple[str, str],
    values: Samples,
    time: Samples | None,
    rate_hz: float | None,
    unit: str,
    limits: QualitySettings,
) -> Channel:
    """Return one channel on an even grid; `place` is file and label, `time` in seconds, or None and `rate_hz`.

    A step wider than `gap_steps` is a gap, one that is off by more than `uneven_warn` is uneven (emg_method §7).
    Raises FaultyInput where there are no samples or time is missing or runs backwards.
    """
    import numpy as np

    file, label = place
    filled = ~np.isnan(values if time is None else time)  # without the empty cells below a shorter column
    length = int(len(filled) - filled[::-1].argmax()) if filled.any() else 0
    values = values[:length]
    if length < 2:
        raise refuse(file, f'channel "{label}"', "has no samples", "Record or export it again")
    if time is None:
        assert rate_hz is not None
        return Channel(label, rate_hz, values, unit)
    time = time[:length]
    _refuse_backwards(file, f'channel "{label}"', time)
    steps, shown = np.diff(time), _resolution(time)
    regular = (steps < limits.gap_steps * np.median(steps)) | (np.median(steps) <= 0)
    # over the whole file: rounding spoils single steps
    usual = float(steps[regular].mean()) if regular.any() else 0.0
    rate = 1.0 / usual if usual > 0 else 0.0
    _refuse_length(file, f'channel "{label}"', rate * float(time[-1] - time[0]), length, limits)
    rate = float(round(rate)) if abs(rate - round(rate)) < 1e-4 * rate else rate
    wide = (steps > limits.gap_steps / rate + shown).nonzero()[0]
    gaps = tuple((float(time[i] - time[0]), float(time[i + 1] - time[0])) for i in wide)
    off = np.abs(steps - 1.0 / rate) > limits.uneven_warn / rate + 1.01 * shown
    at = int(off.argmax())
    uneven = (float(time[at] - time[0]), float(time[at + 1] - time[0])) if off.any() else None
    if gaps:
        grid = np.arange(round((time[-1] - time[0]) * rate) + 1) / rate + time[0]
        values = np.interp(grid, time, values)
    return Channel(label, rate, values, unit, gaps=gaps, uneven=uneven)


def _refuse_backwards(file: str, where: str, time: Samples) -> None:
    import numpy as np

    missing = ~np.isfinite(time)
    if missing.any():
        row = f"{where}, row {int(missing.argmax()) + 1}"
        raise refuse(file, row, "its time is missing", "Write the time of every row")
    back = time[1:] < time[:-1]
    if back.any():
        at = int(back.argmax())
        read = f"time runs backwards, from {time[at]:.4f} to {time[at + 1]:.4f} s"
        remedy = "Export it again in order of time"
        raise refuse(file, f"{where}, second {time[at]:.3f}", read, remedy)


def _refuse_length(file: str, where: str, samples: float, rows: int, limits: QualitySettings) -> None:
    """Refuse times that stand still, and gaps in which far more is lost than is there (`samples`: with the lost ones)."""
    if samples > limits.gaps_most * rows:
        read = f"its times leave room for {samples:g} samples, {rows} are there"
        raise refuse(file, where, read, "Export each part as a file of its own")
    if not samples > 0:
        raise refuse(file, where, "its time stands still", "Export it with the time of every row")


def _resolution(time: Samples) -> float:
    """Return the smallest step that the written times can show."""
    import numpy as np

    for decimals in range(MOST_DECIMALS):
        scaled = time[:LOOKED_AT] * 10**decimals
        if np.allclose(scaled, np.round(scaled), rtol=0, atol=1e-4):
            return float(10.0**-decimals)
    return float(10.0**-MOST_DECIMALS)


def runs(inside: object, rate_hz: float, least: int) -> list[Span]:
    """Return the stretches, in seconds, where a boolean array is true for at least `least` samples in a row."""
    import numpy as np

    edges = np.diff(np.concatenate(([0], np.asarray(inside).view(np.int8), [0])))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    long = stops - starts >= least
    return [(float(a / rate_hz), float(b / rate_hz)) for a, b in zip(starts[long], stops[long], strict=True)]


def joined(spans: Iterable[Span], gap_seconds: float) -> list[Span]:
    """Return stretches in order of time, those parted by less than `gap_seconds` joined."""
    whole: list[Span] = []
    for start, stop in spans:
        if whole and start - whole[-1][1] < gap_seconds:
            whole[-1] = (whole[-1][0], stop)
        else:
            whole.append((start, stop))
    return whole
