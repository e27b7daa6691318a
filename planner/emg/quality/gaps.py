"""Checks of time: drop-outs, lost samples, uneven steps (emg_method §7)."""

from __future__ import annotations

from planner.emg.quality.finding import PERCENT, Finding, Level, runs
from planner.emg.recording import Channel
from planner.emg.settings import QualitySettings


def dropouts(file: str, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name stretches of identical samples: the sensor or its radio link was silent."""
    import numpy as np

    values = channel.values
    least = max(2, int(np.ceil(limits.dropout_seconds * channel.rate_hz)))
    same = np.concatenate(([False], values[1:] == values[:-1]))
    spans = [(a - 1 / channel.rate_hz, b) for a, b in runs(same, channel.rate_hz, least - 1)]
    if not spans or float(np.ptp(values)) == 0:
        return []
    share = sum(b - a for a, b in spans) / channel.seconds
    level: Level = "fail" if share > limits.dropout_fail else "warn"
    return [
        Finding(
            "drop-out",
            level,
            file,
            channel.label,
            max(0.0, spans[0][0]),
            share * PERCENT,
            limits.dropout_fail * PERCENT,
            "% of the time",
            f"{len(spans)} silent stretch{'es' if len(spans) > 1 else ''}, {share * PERCENT:.2f} % of the time",
            "Check the battery, the radio distance and the plug",
            tuple(spans),
        )
    ]


def uneven_time(file: str, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name lost samples, else uneven steps of the time column."""
    if not channel.gaps:
        if channel.uneven is None:
            return []
        step = (channel.uneven[1] - channel.uneven[0]) * channel.rate_hz
        words = f"steps of the time column are uneven (one is {step:.2f} of the usual)"
        level: Level = "warn"
        value, second = abs(step - 1), channel.uneven[0]
        limit, unit = limits.uneven_warn, "of the spacing"
    else:
        lost = sum(b - a for a, b in channel.gaps) - len(channel.gaps) / channel.rate_hz
        value = lost / channel.seconds
        level = "fail" if value > limits.lost_fail else "warn"
        places = f"{len(channel.gaps)} place{'s' if len(channel.gaps) > 1 else ''}"
        words = f"samples are missing in {places} ({value * PERCENT:.2f} %)"
        second, limit, unit = channel.gaps[0][0], limits.lost_fail, "of the samples"
    remedy = "Export it again with every sample; a straight line was drawn through the gaps"
    return [
        Finding("rate", level, file, channel.label, second, value, limit, unit, words, remedy, channel.gaps)
    ]
