"""One recording as it was read: channels with their own rates, and the marks that the file carries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeAlias

from library.errors import Fault, FaultyInput, nearest

if TYPE_CHECKING:
    from numpy.typing import NDArray

Samples: TypeAlias = "NDArray[Any]"  # one-dimensional, float64
Span = tuple[float, float]  # from, to; seconds from the recording's start

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
    """One file: its channels by label and its marks in order of time."""

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
        raise FaultyInput([Fault(self.file, f'channel "{label}"', "the file has no such channel", remedy)])

    def between(self, start: float | None, stop: float | None) -> Recording:
        """Return the part from `start` to `stop` seconds (None: the file's own end)."""
        if start is None and stop is None:
            return self
        begin, end = start or 0.0, self.seconds if stop is None else stop
        if not 0 <= begin < end <= self.seconds + 1e-6:
            read = f"the part {begin:g}-{end:g} s does not lie in its {self.seconds:.2f} s"
            raise FaultyInput([Fault(self.file, "start, stop", read, "State seconds inside the file")])
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
    raise FaultyInput([Fault(file, where, read, remedy)])
