"""Means, totals and largest windows of one channel's amplitude, each from a single running sum."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from planner.emg.recording import Samples, Span


@dataclass(frozen=True)
class Amplitude:
    """An envelope (any unit, one value a sample at `rate_hz`) that answers for any stretch of it."""

    values: Samples
    rate_hz: float

    @cached_property
    def _sums(self) -> Samples:
        import numpy as np

        sums = np.empty(len(self.values) + 1)
        sums[0] = 0.0
        np.cumsum(self.values, out=sums[1:])
        return sums

    def _places(self, span: Span | None) -> tuple[int, int]:
        if span is None:
            return 0, len(self.values)
        first, last = round(span[0] * self.rate_hz), round(span[1] * self.rate_hz)
        return max(0, first), min(len(self.values), last)

    def total(self, span: Span | None = None) -> float:
        """Integral over the stretch: unit times seconds."""
        first, last = self._places(span)
        return float(self._sums[last] - self._sums[first]) / self.rate_hz if last > first else 0.0

    def mean(self, span: Span | None = None) -> float:
        """Mean over the stretch; 0 for an empty one."""
        first, last = self._places(span)
        return float(self._sums[last] - self._sums[first]) / (last - first) if last > first else 0.0

    def window_means(self, seconds: float, span: Span | None = None) -> Samples:
        """Means of all windows that lie in the stretch, by first sample; one mean where it is shorter."""
        import numpy as np

        first, last = self._places(span)
        samples = min(max(1, round(seconds * self.rate_hz)), last - first)
        if samples < 1:
            return np.zeros(1)
        sums = self._sums[first : last + 1]
        means: Samples = (sums[samples:] - sums[:-samples]) / samples
        return means

    def peak(self, seconds: float, span: Span | None = None) -> float:
        """Largest mean over a window of so many seconds inside the stretch."""
        return float(self.window_means(seconds, span).max())

    def peak_second(self, seconds: float, span: Span | None = None) -> float:
        """Second of the middle of that window."""
        first, _ = self._places(span)
        return (first + int(self.window_means(seconds, span).argmax())) / self.rate_hz + seconds / 2
