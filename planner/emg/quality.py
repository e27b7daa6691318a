"""Quality checks of a channel in the order in which a coach would mend things: time, range, spectrum, level.

Limits are those of [quality] in method.toml (emg_method §7).
"""

from collections.abc import Iterator

from library.errors import Fault, FaultyInput
from planner.emg.signals import Amplitude, Channel, Samples, high_corner, runs
from planner.emg.spectrum import NEVER, PERCENT, Finding, Place, check_spectrum, judged
from planner.files.text import refuse
from planner.method import MeasureSettings, QualitySettings

LOOKED_AT = 20_000  # samples that show most channels to have codes enough
TIMES_LOOKED_AT = 2000  # first times of a column, to find with how many decimals it is written
MOST_DECIMALS = 9  # looked for


def spoiled(findings: list[Finding], start: float, stop: float) -> str:
    """Say which failed finding touches the stretch from `start` to `stop` seconds, and where; empty: none."""
    for finding in findings:
        for first, last in finding.spans if finding.level == "fail" else ():
            if first < stop and last > start:
                return f"{finding.check} at second {max(start, first):.1f}"
    return ""


def check_channel(
    file: str, channel: Channel, limits: QualitySettings, settings: MeasureSettings, *,
    raw: bool = True, mains_hz: float | None = None,
) -> list[Finding]:  # fmt: skip
    """Run every check on one channel of one file; a ready envelope may rest at 0 and has no spectrum."""
    import numpy as np

    place, values = (file, channel.label), channel.values
    if float(np.ptp(values)) == 0:
        words = (
            f"all samples are {float(values[0]):g}",
            "The sensor was off or unplugged: plug it in and record again",
        )
        return [judged(place, "flat channel", (1.0, "codes"), (0, 0), words, 0.0)]
    findings = [*_uneven_time(place, channel, limits)]
    if not raw:
        return findings
    some = len(np.unique(values[:LOOKED_AT]))
    if some >= limits.codes_fail:
        findings += _clipping(place, channel, limits)
    findings += _dropouts(place, channel, limits)
    # sorting an hour to count further would take longer than cleaning it
    if some < limits.codes_warn and (codes := len(np.unique(values))) < limits.codes_warn:
        fails = codes < limits.codes_fail
        words = f"only {codes} different values in the whole file", "Raise the gain and record again"
        limit = float(limits.codes_fail if fails else limits.codes_warn)
        of = (*place, None, float(codes), limit, "codes")
        findings.append(Finding("poor range", "fail" if fails else "warn", *of, *words))
        if fails:
            return findings  # a handful of codes has no spectrum to judge
    return [*findings, *check_spectrum(place, channel, limits, mains_hz, mains=not settings.notch)]


def _clipping(place: Place, channel: Channel, limits: QualitySettings) -> Iterator[Finding]:
    """Name samples at the converter's ends, or two or more in a row at the extremes the file reaches."""
    import numpy as np

    values, counts = channel.values, []
    clipped = np.zeros(len(values), dtype=bool)
    for end, (name, extreme) in enumerate((("lowest", values.min()), ("highest", values.max()))):
        there = values == extreme
        count = int(there.sum())
        is_end = channel.ends is not None and np.isclose(extreme, channel.ends[end], rtol=1e-9, atol=0)
        in_row = count >= limits.clip_least and bool(runs(there, channel.rate_hz, 2))
        if in_row or count >= limits.clip_repeats or (is_end and count > 1):
            clipped |= there
            counts.append(f"{count} at the {name} value")
    if counts:
        share, fail = float(clipped.mean()) * PERCENT, limits.clip_fail * PERCENT
        spans = tuple(runs(clipped, channel.rate_hz, 1))
        remedy = "Lower the gain and record again; the peaks are too small by an unknown amount"
        words = f"samples are cut: {' and '.join(counts)} ({share:.2f} %)", remedy
        yield judged(place, "clipping", (share, "% of samples"), (fail, fail), words, spans[0][0], spans)


def _dropouts(place: Place, channel: Channel, limits: QualitySettings) -> Iterator[Finding]:
    """Name stretches of identical samples: the sensor or its radio link was silent."""
    import numpy as np

    values, step = channel.values, 1 / channel.rate_hz
    least = max(2, int(np.ceil(limits.dropout_seconds * channel.rate_hz)))
    same = np.concatenate(([False], values[1:] == values[:-1]))
    spans = tuple((max(0.0, a - step), b) for a, b in runs(same, channel.rate_hz, least - 1))
    if spans:
        share, fail = PERCENT * sum(b - a for a, b in spans) / channel.seconds, limits.dropout_fail * PERCENT
        seen = f"{len(spans)} silent stretch{'es' if len(spans) > 1 else ''}, {share:.2f} % of the time"
        words = seen, "Check the battery, the radio distance and the plug"
        yield judged(place, "drop-out", (share, "% of the time"), (fail, fail), words, spans[0][0], spans)


def timed_channel(
    place: tuple[str, str], values: Samples, time: "Samples | None", rate_hz: float | None, unit: str,
    limits: QualitySettings,
) -> Channel:  # fmt: skip
    """Return one channel on an even grid; `place` is file and label, `time` in seconds, or None and `rate_hz`.

    A step wider than `gap_steps` is a gap, one that is off by more than `uneven_warn` is uneven (emg_method §7).
    Raises FaultyInput where there are no samples or time is missing or runs backwards.
    """
    import numpy as np

    (file, label), where = place, f'channel "{place[1]}"'
    filled = ~np.isnan(values if time is None else time)  # without the empty cells below a shorter column
    length = int(len(filled) - filled[::-1].argmax()) if filled.any() else 0
    values = values[:length]
    if length < 2:
        raise refuse(file, where, "has no samples", "Record or export it again")
    if time is None:
        assert rate_hz is not None
        return Channel(label, rate_hz, values, unit)
    time = time[:length]
    _refuse_backwards(file, where, time)
    steps, smallest, whole = np.diff(time), _resolution(time), float(time[-1] - time[0])
    regular = (steps < limits.gap_steps * np.median(steps)) | (np.median(steps) <= 0)
    usual = float(steps[regular].mean()) if regular.any() else 0.0  # rounding spoils single steps
    rate = 1.0 / usual if usual > 0 else 0.0
    if rate * whole > limits.gaps_most * length:
        read = f"its times leave room for {rate * whole:g} samples, {length} are there"
        raise refuse(file, where, read, "Export each part as a file of its own")
    if not rate * whole > 0:
        raise refuse(file, where, "its time stands still", "Export it with the time of every row")
    rate = float(round(rate)) if abs(rate - round(rate)) < 1e-4 * rate else rate
    wide = (steps > limits.gap_steps / rate + smallest).nonzero()[0]
    odd = (np.abs(steps - 1.0 / rate) > limits.uneven_warn / rate + 1.01 * smallest).nonzero()[0]
    spans = [(float(time[n] - time[0]), float(time[n + 1] - time[0])) for n in (*wide, *odd[:1])]
    gaps, uneven = tuple(spans[: len(wide)]), spans[-1] if len(odd) else None
    if gaps:
        grid = np.arange(round(whole * rate) + 1) / rate + time[0]
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
        last = int(back.argmax())
        read = f"time runs backwards, from {time[last]:.4f} to {time[last + 1]:.4f} s"
        raise refuse(file, f"{where}, second {time[last]:.3f}", read, "Export it again in order of time")


def _resolution(time: Samples) -> float:
    """Return the smallest step that the written times can show."""
    import numpy as np

    for decimals in range(MOST_DECIMALS):
        scaled = time[:TIMES_LOOKED_AT] * 10**decimals
        if np.allclose(scaled, np.round(scaled), rtol=0, atol=1e-4):
            return float(10.0**-decimals)
    return float(10.0**-MOST_DECIMALS)


def _uneven_time(place: Place, channel: Channel, limits: QualitySettings) -> Iterator[Finding]:
    """Name lost samples, else uneven steps of the time column."""
    remedy = "Export it again with every sample; a straight line was drawn through the gaps"
    gaps, uneven = channel.gaps, channel.uneven
    if gaps:
        lost = (sum(b - a for a, b in gaps) - len(gaps) / channel.rate_hz) / channel.seconds
        many = "s" if len(gaps) > 1 else ""
        words = f"samples are missing in {len(gaps)} place{many} ({lost * PERCENT:.2f} %)", remedy
        bounds = (limits.lost_fail, limits.lost_fail)
        yield judged(place, "rate", (lost, "of the samples"), bounds, words, gaps[0][0], gaps)
    elif uneven is not None:
        step = (uneven[1] - uneven[0]) * channel.rate_hz
        words = f"steps of the time column are uneven (one is {step:.2f} of the usual)", remedy
        yield judged(
            place, "rate", (abs(step - 1), "of the spacing"), (limits.uneven_warn, NEVER), words, uneven[0]
        )


def constant_ends(channel: Channel, limits: QualitySettings) -> tuple[float, float] | None:
    """Return the seconds of unchanging samples at the beginning and at the end; None for a flat channel.

    A file is often filled up so; shorter than `dropout_seconds` counts as none, longer than `ends_most` as a fault.
    """
    import numpy as np

    changes = np.flatnonzero(np.diff(channel.values))
    if len(changes) == 0:
        return None
    ends = (float(changes[0]) + 1, float(len(channel.values) - 1 - changes[-1]))
    least, most = limits.dropout_seconds, limits.ends_most * channel.seconds
    seconds = [samples / channel.rate_hz for samples in ends]
    start, stop = (second if least <= second <= most else 0.0 for second in seconds)
    return start, stop


def rest_noise(
    place: Place, cleaned: Samples, peaks: tuple[float, float], rate_hz: float,
    settings: MeasureSettings, limits: QualitySettings,
) -> list[Finding]:  # fmt: skip
    """Name noise in the quietest stretch; `peaks` are the trial's own peak and what noise is compared with.

    A trial whose quietest stretch is not much quieter than its peak holds no rest and is not judged.
    """
    import numpy as np

    own_peak, reference = peaks
    power = Amplitude(np.square(cleaned), rate_hz).window_means(settings.window_seconds)
    quietest = int(power.argmin())
    noise = float(np.sqrt(max(0.0, power[quietest])))
    if reference <= 0 or noise > limits.rest_judged * own_peak or noise <= limits.rest_warn * reference:
        return []
    share = PERCENT * noise / reference
    words = f"the quietest {settings.window_seconds:g} s still read {share:.0f} % of the reference"
    remedy = "Let the arm hang loose before the set; renew skin preparation if it stays"
    bounds = (limits.rest_warn * PERCENT, limits.rest_fail * PERCENT)
    second = quietest / rate_hz + settings.window_seconds / 2
    return [judged(place, "noise at rest", (share, "% of the reference"), bounds, (words, remedy), second)]


def high_level(
    place: Place, percent: Amplitude, settings: MeasureSettings, limits: QualitySettings
) -> list[Finding]:
    """Flag activation above the reference; it is kept as it is, never cut."""
    peak = percent.peak(settings.window_seconds)
    if peak <= limits.level_warn * (1 + 1e-9):
        return []
    doubtful = "so the reference itself is doubtful" if peak > limits.level_fail else "kept as measured"
    words = f"the largest {settings.window_seconds:g} s reach {peak:.0f} % of the reference, {doubtful}"
    remedy = (
        "Record the reference tests again with full effort; a moving muscle may exceed a held one a little"
    )
    bounds, second = (limits.level_warn, limits.level_fail), percent.peak_second(settings.window_seconds)
    return [judged(place, "above 100 %", (peak, "% of the reference"), bounds, (words, remedy), second)]


def check_rate(file: str, channel: Channel, settings: MeasureSettings) -> None:
    """Refuse a rate below the least, a corner above half the rate and a signal too short to filter."""
    rate, wrong = channel.rate_hz, []
    corners = {"band_low_hz": settings.band_low_hz, "band_high_hz": high_corner(rate, settings)}
    corners |= {"mains_hz": settings.mains_hz} if settings.notch else {}
    corners |= {"linear_hz": settings.linear_hz} if settings.envelope == "linear" else {}
    if rate < settings.lowest_rate_hz:
        remedy = f"Record at {settings.low_rate_hz:g} Hz or more (2,000 Hz preferred)"
        wrong.append((f"raw EMG at {rate:g} Hz cannot be measured", remedy))
    for name, corner in corners.items():
        if corner >= rate / 2:
            words = f"{name} = {corner:g} Hz is not below half the rate ({rate / 2:g} Hz)"
            wrong.append((words, f"State a lower {name} in [method]"))
    if channel.seconds < settings.window_seconds:
        words = f"{channel.seconds:.2f} s are shorter than the window of {settings.window_seconds:g} s"
        wrong.append((words, "Record the whole set"))
    if wrong:
        raise FaultyInput([Fault(file, f'channel "{channel.label}"', *words) for words in wrong])
