"""Checks of the converter's range: flat channel, few codes, clipping (emg_method §7)."""

from __future__ import annotations

from planner.emg.quality.finding import PERCENT, Finding, Level, runs
from planner.emg.recording import Channel
from planner.emg.settings import QualitySettings

LOOKED_AT = 20_000  # samples that show most channels to have codes enough


def flat(file: str, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name a channel whose samples are all the same."""
    import numpy as np

    if float(np.ptp(channel.values)) > 0:
        return []
    return [
        Finding(
            "flat channel",
            "fail",
            file,
            channel.label,
            0.0,
            1.0,
            float(limits.codes_fail),
            "codes",
            f"all samples are {float(channel.values[0]):g}",
            "The sensor was off or unplugged: plug it in and record again",
        )
    ]


def poor_range(file: str, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name a channel that uses few of its converter's codes: the gain was too low."""
    import numpy as np

    if len(np.unique(channel.values[:LOOKED_AT])) >= limits.codes_warn:
        return []  # sorting an hour to count further would take longer than cleaning it
    codes = len(np.unique(channel.values))
    if codes >= limits.codes_warn or codes == 1:
        return []
    level: Level = "fail" if codes < limits.codes_fail else "warn"
    limit = limits.codes_fail if level == "fail" else limits.codes_warn
    return [
        Finding(
            "poor range",
            level,
            file,
            channel.label,
            None,
            float(codes),
            float(limit),
            "codes",
            f"only {codes} different values in the whole file",
            "Raise the gain and record again",
        )
    ]


def clipping(file: str, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name samples at the converter's ends, or two or more in a row at the extremes the file reaches."""
    import numpy as np

    values = channel.values
    lowest, highest = float(values.min()), float(values.max())
    if lowest == highest or len(np.unique(values[:LOOKED_AT])) < limits.codes_fail:
        return []
    counts = []
    clipped = np.zeros(len(values), dtype=bool)
    for name, extreme, end in (("lowest", lowest, 0), ("highest", highest, 1)):
        at = values == extreme
        is_end = channel.ends is not None and np.isclose(extreme, channel.ends[end], rtol=1e-9, atol=0)
        count = int(at.sum())
        in_row = count >= limits.clip_least and bool(runs(at, channel.rate_hz, 2))
        if in_row or count >= limits.clip_repeats or (is_end and count > 1):
            clipped |= at
            counts.append(f"{count} at the {name} value")
    if not counts:
        return []
    share = float(clipped.mean())
    level: Level = "fail" if share > limits.clip_fail else "warn"
    spans = tuple(runs(clipped, channel.rate_hz, 1))
    return [
        Finding(
            "clipping",
            level,
            file,
            channel.label,
            spans[0][0],
            share * PERCENT,
            limits.clip_fail * PERCENT,
            "% of samples",
            f"samples are cut: {' and '.join(counts)} ({share * PERCENT:.2f} %)",
            "Lower the gain and record again; the peaks are too small by an unknown amount",
            spans,
        )
    ]
