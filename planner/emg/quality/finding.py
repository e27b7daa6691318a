"""What a quality check says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.emg.recording import Span

Level = Literal["warn", "fail"]
PERCENT = 100.0  # shares are said in per cent


@dataclass(frozen=True)
class Finding:
    """One flaw of one channel in one file.

    `second` is where it happens (from the recording's start; None: all through), `value` and `limit` share `unit`,
    `spans` are the stretches it spoils: a failed finding without spans spoils the whole channel of that file.
    """

    check: str
    level: Level
    file: str
    channel: str
    second: float | None
    value: float
    limit: float
    unit: str
    words: str
    remedy: str
    spans: tuple[Span, ...] = ()

    @property
    def spoils_all(self) -> bool:
        """Tell whether nothing of this channel in this file can be used."""
        return self.level == "fail" and not self.spans

    def __str__(self) -> str:
        where = "" if self.second is None else f", second {self.second:.1f}"
        return f'{self.file}: channel "{self.channel}"{where}: {self.check}: {self.words}. {self.remedy}'


def spoiled(findings: list[Finding], start: float, stop: float) -> Finding | None:
    """Return the first failed finding that touches the stretch from `start` to `stop` seconds."""
    for finding in findings:
        if finding.level == "fail" and any(a < stop and b > start for a, b in finding.spans):
            return finding
    return None


def runs(inside: object, rate_hz: float, least: int) -> list[Span]:
    """Return the stretches, in seconds, where a boolean array is true for at least `least` samples in a row."""
    import numpy as np

    edges = np.diff(np.concatenate(([0], np.asarray(inside).view(np.int8), [0])))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    long = stops - starts >= least
    return [(float(a / rate_hz), float(b / rate_hz)) for a, b in zip(starts[long], stops[long], strict=True)]
