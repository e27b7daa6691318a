"""Repetitions from the envelope when nothing else tells them: bursts, against the stated count."""

from __future__ import annotations

from collections import Counter

from planner.emg.clean import low_pass
from planner.emg.quality.finding import runs
from planner.emg.recording import Samples, Span
from planner.emg.repetitions import Repetition
from planner.emg.settings import MeasureSettings

DIGITS = 9  # of a threshold: no more than its spacing by floating point spoils


def count_bursts(
    envelope: Samples, rate_hz: float, settings: MeasureSettings
) -> tuple[int, list[Repetition]]:
    """Return how many bursts the envelope holds and where.

    Bursts are counted at several thresholds; the count that most of them give is the count, and the lowest
    threshold that gives it says where the bursts begin and end.
    """
    import numpy as np

    smooth = low_pass(envelope, rate_hz, settings.burst_low_pass_hz, settings.burst_order)
    top = float(np.quantile(smooth, settings.burst_top_quantile))
    levels = np.linspace(settings.burst_level_low, settings.burst_level_high, settings.burst_levels)
    tried = [_bursts(smooth > level * top, rate_hz, settings) for level in levels.round(DIGITS)]
    counts = Counter(len(found) for found in tried if found)
    if not counts:
        return 0, []
    count = max(counts, key=lambda number: (counts[number], number))
    spans = next(found for found in tried if len(found) == count)
    return count, [Repetition(start, stop, "envelope") for start, stop in spans]


def _bursts(above: Samples, rate_hz: float, settings: MeasureSettings) -> list[Span]:
    """Return stretches above a threshold, joined over short gaps, without the short ones."""
    joined: list[Span] = []
    for start, stop in runs(above, rate_hz, 1):
        if joined and start - joined[-1][1] < settings.burst_gap_seconds:
            joined[-1] = (joined[-1][0], stop)
        else:
            joined.append((start, stop))
    return [(start, stop) for start, stop in joined if stop - start >= settings.burst_seconds]
