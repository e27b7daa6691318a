"""From a time column to evenly spaced samples: rate, gaps, uneven steps, time that runs backwards."""

from __future__ import annotations

from library.errors import Fault, FaultyInput
from planner.emg.recording import Channel, Samples, Span
from planner.emg.settings import QualitySettings

MOST_DECIMALS = 9  # decimals of a written time that are looked for
LOOKED_AT = 2000  # samples from which the written decimals are found


def timed_channel(
    file: str,
    label: str,
    values: Samples,
    time: Samples | None,
    rate_hz: float | None,
    unit: str,
    limits: QualitySettings,
) -> Channel:
    """Return one channel on an even grid; `time` in seconds, or None and `rate_hz`. Raises FaultyInput.

    A step wider than `gap_steps` is a gap, one that is off by more than `uneven_warn` is uneven (emg_method §7).
    """
    import numpy as np

    where = f'channel "{label}"'
    length = _length(values, time)
    values = values[:length]
    if length < 2:
        raise FaultyInput([Fault(file, where, "has no samples", "Record or export it again")])
    if time is None:
        assert rate_hz is not None
        return Channel(label, rate_hz, values, unit)
    time = time[:length]
    steps = np.diff(time)
    _refuse_backwards(file, where, time, steps)
    rate = (
        float(1.0 / np.median(steps)) if np.median(steps) > 0 else float((length - 1) / (time[-1] - time[0]))
    )
    rate = _rounded_rate(rate, time, limits)
    gaps = _gaps(time, steps, rate, limits)
    uneven = _uneven(time, steps, rate, limits)
    if gaps:
        grid = np.arange(round((time[-1] - time[0]) * rate) + 1) / rate + time[0]
        values = np.interp(grid, time, values)
    return Channel(label, rate, values, unit, gaps=gaps, uneven=uneven)


def _length(values: Samples, time: Samples | None) -> int:
    """Return the length without the empty cells below a column that ends before the others."""
    import numpy as np

    filled = ~np.isnan(values if time is None else time)
    return int(len(filled) - filled[::-1].argmax()) if filled.any() else 0


def _refuse_backwards(file: str, where: str, time: Samples, steps: Samples) -> None:
    import numpy as np

    if np.isnan(time).any():
        row = int(np.isnan(time).argmax())
        fault = Fault(file, f"{where}, row {row + 1}", "its time is missing", "Write the time of every row")
        raise FaultyInput([fault])
    if (steps < 0).any():
        at = int((steps < 0).argmax())
        read = f"time runs backwards, from {time[at]:.4f} to {time[at + 1]:.4f} s"
        raise FaultyInput(
            [Fault(file, f"{where}, second {time[at]:.3f}", read, "Export it again in order of time")]
        )


def _resolution(time: Samples) -> float:
    """Return the smallest step that the written times can show."""
    import numpy as np

    for decimals in range(MOST_DECIMALS):
        scaled = time[:LOOKED_AT] * 10**decimals
        if np.allclose(scaled, np.round(scaled), rtol=0, atol=1e-4):
            return float(10.0**-decimals)
    return float(10.0**-MOST_DECIMALS)


def _rounded_rate(rate: float, time: Samples, limits: QualitySettings) -> float:
    """Return the rate over the whole file where the rounding of single steps would spoil it."""
    import numpy as np

    steps = np.diff(time)
    regular = steps < limits.gap_steps * np.median(steps) if np.median(steps) > 0 else steps >= 0
    mean = float(steps[regular].mean()) if regular.any() else 1.0 / rate
    whole = 1.0 / mean
    return float(round(whole)) if abs(whole - round(whole)) < 1e-4 * whole else whole


def _gaps(time: Samples, steps: Samples, rate: float, limits: QualitySettings) -> tuple[Span, ...]:
    limit = limits.gap_steps / rate + _resolution(time)
    return tuple(
        (float(time[i] - time[0]), float(time[i + 1] - time[0])) for i in (steps > limit).nonzero()[0]
    )


def _uneven(time: Samples, steps: Samples, rate: float, limits: QualitySettings) -> Span | None:
    import numpy as np

    off = np.abs(steps - 1.0 / rate) > limits.uneven_warn / rate + 1.01 * _resolution(time)
    if not off.any():
        return None
    at = int(off.argmax())
    return float(time[at] - time[0]), float(time[at + 1] - time[0])
