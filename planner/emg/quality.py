"""Quality checks of a channel: range, time, level, and all of them in the order in which a coach would mend things.

Limits are those of [quality] in method.toml (emg_method §7); checks of the spectrum are in spectrum.py.
"""

from dataclasses import dataclass
from typing import Literal

from planner.emg.cleaning import Amplitude
from planner.emg.recording import Channel, Samples, Span, runs
from planner.emg.settings import MeasureSettings, QualitySettings

Level = Literal["warn", "fail"]
PERCENT = 100.0  # shares are said in per cent
LOOKED_AT = 20_000  # samples that show most channels to have codes enough


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


@dataclass(frozen=True)
class Judge:
    """Makes the findings of one channel of one file."""

    file: str
    channel: str

    def finding(
        self,
        check: str,
        value: tuple[float, str],
        limits: tuple[float, float],
        words: tuple[str, str],
        second: float | None = None,
        spans: tuple[Span, ...] = (),
    ) -> Finding:
        """Return a finding: value and unit, what it warns at and fails above, what was found and what would do."""
        level: Level = "fail" if value[0] > limits[1] else "warn"
        limit = limits[level == "fail"]
        return Finding(
            check, level, self.file, self.channel, second, value[0], limit, value[1], *words, spans
        )


def spoiled(findings: list[Finding], start: float, stop: float) -> Finding | None:
    """Return the first failed finding that touches the stretch from `start` to `stop` seconds."""
    for finding in findings:
        if finding.level == "fail" and any(a < stop and b > start for a, b in finding.spans):
            return finding
    return None


def check_channel(
    file: str,
    channel: Channel,
    limits: QualitySettings,
    settings: MeasureSettings,
    *,
    raw: bool = True,
    mains_hz: float | None = None,
) -> list[Finding]:
    """Run every check on one channel of one file; a ready envelope may rest at 0 and has no spectrum."""
    from planner.emg.spectrum import check_spectrum

    judge = Judge(file, channel.label)
    if flat := _flat(judge, channel):
        return [flat]
    findings = _uneven_time(judge, channel, limits)
    if not raw:
        return findings
    findings += [*_clipping(judge, channel, limits), *_dropouts(judge, channel, limits)]
    findings += (poor := _poor_range(judge, channel, limits))
    if any(finding.level == "fail" for finding in poor):
        return findings  # a handful of codes has no spectrum to judge
    return findings + check_spectrum(judge, channel, limits, mains_hz, mains=not settings.notch)


def _flat(judge: Judge, channel: Channel) -> Finding | None:
    import numpy as np

    if float(np.ptp(channel.values)) > 0:
        return None
    words = f"all samples are {float(channel.values[0]):g}"
    remedy = "The sensor was off or unplugged: plug it in and record again"
    return judge.finding("flat channel", (1.0, "codes"), (0, 0), (words, remedy), 0.0)


def _poor_range(judge: Judge, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name a channel that uses few of its converter's codes: the gain was too low."""
    import numpy as np

    if len(np.unique(channel.values[:LOOKED_AT])) >= limits.codes_warn:
        return []  # sorting an hour to count further would take longer than cleaning it
    codes = len(np.unique(channel.values))
    if codes >= limits.codes_warn:
        return []
    level: Level = "fail" if codes < limits.codes_fail else "warn"
    limit = limits.codes_fail if level == "fail" else limits.codes_warn
    words = (f"only {codes} different values in the whole file", "Raise the gain and record again")
    place = (judge.file, judge.channel, None)
    return [Finding("poor range", level, *place, float(codes), float(limit), "codes", *words)]


def _clipping(judge: Judge, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name samples at the converter's ends, or two or more in a row at the extremes the file reaches."""
    import numpy as np

    values = channel.values
    if len(np.unique(values[:LOOKED_AT])) < limits.codes_fail:
        return []
    counts = []
    clipped = np.zeros(len(values), dtype=bool)
    for end, (name, extreme) in enumerate((("lowest", values.min()), ("highest", values.max()))):
        at = values == extreme
        count = int(at.sum())
        is_end = channel.ends is not None and np.isclose(extreme, channel.ends[end], rtol=1e-9, atol=0)
        in_row = count >= limits.clip_least and bool(runs(at, channel.rate_hz, 2))
        if in_row or count >= limits.clip_repeats or (is_end and count > 1):
            clipped |= at
            counts.append(f"{count} at the {name} value")
    if not counts:
        return []
    share, fail = float(clipped.mean()) * PERCENT, limits.clip_fail * PERCENT
    spans = tuple(runs(clipped, channel.rate_hz, 1))
    words = f"samples are cut: {' and '.join(counts)} ({share:.2f} %)"
    remedy = "Lower the gain and record again; the peaks are too small by an unknown amount"
    value = (share, "% of samples")
    return [judge.finding("clipping", value, (fail, fail), (words, remedy), spans[0][0], spans)]


def _dropouts(judge: Judge, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name stretches of identical samples: the sensor or its radio link was silent."""
    import numpy as np

    values, step = channel.values, 1 / channel.rate_hz
    least = max(2, int(np.ceil(limits.dropout_seconds * channel.rate_hz)))
    same = np.concatenate(([False], values[1:] == values[:-1]))
    spans = tuple((max(0.0, a - step), b) for a, b in runs(same, channel.rate_hz, least - 1))
    if not spans:
        return []
    share, fail = PERCENT * sum(b - a for a, b in spans) / channel.seconds, limits.dropout_fail * PERCENT
    words = f"{len(spans)} silent stretch{'es' if len(spans) > 1 else ''}, {share:.2f} % of the time"
    remedy = "Check the battery, the radio distance and the plug"
    value = (share, "% of the time")
    return [judge.finding("drop-out", value, (fail, fail), (words, remedy), spans[0][0], spans)]


def _uneven_time(judge: Judge, channel: Channel, limits: QualitySettings) -> list[Finding]:
    """Name lost samples, else uneven steps of the time column."""
    remedy = "Export it again with every sample; a straight line was drawn through the gaps"
    gaps, uneven = channel.gaps, channel.uneven
    if gaps:
        lost = (sum(b - a for a, b in gaps) - len(gaps) / channel.rate_hz) / channel.seconds
        words = (
            f"samples are missing in {len(gaps)} place{'s' if len(gaps) > 1 else ''} ({lost * PERCENT:.2f} %)"
        )
        value, fail = (lost, "of the samples"), limits.lost_fail
        return [judge.finding("rate", value, (fail, fail), (words, remedy), gaps[0][0], gaps)]
    if uneven is None:
        return []
    step = (uneven[1] - uneven[0]) * channel.rate_hz
    words = f"steps of the time column are uneven (one is {step:.2f} of the usual)"
    value, never = (abs(step - 1), "of the spacing"), float("inf")
    return [judge.finding("rate", value, (limits.uneven_warn, never), (words, remedy), uneven[0])]


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
    judge: Judge,
    cleaned: Samples,
    peaks: tuple[float, float],
    rate_hz: float,
    settings: MeasureSettings,
    limits: QualitySettings,
) -> list[Finding]:
    """Name noise in the quietest stretch; `peaks` are the trial's own peak and what noise is compared with.

    A trial whose quietest stretch is not much quieter than its peak holds no rest and is not judged.
    """
    import numpy as np

    own_peak, reference = peaks
    power = Amplitude(np.square(cleaned), rate_hz).window_means(settings.window_seconds)
    at = int(power.argmin())
    noise = float(np.sqrt(max(0.0, power[at])))
    if reference <= 0 or noise > limits.rest_judged * own_peak or noise <= limits.rest_warn * reference:
        return []
    share = PERCENT * noise / reference
    words = f"the quietest {settings.window_seconds:g} s still read {share:.0f} % of the reference"
    remedy = "Let the arm hang loose before the set; renew skin preparation if it stays"
    bounds = (limits.rest_warn * PERCENT, limits.rest_fail * PERCENT)
    second = at / rate_hz + settings.window_seconds / 2
    return [judge.finding("noise at rest", (share, "% of the reference"), bounds, (words, remedy), second)]


def high_level(
    judge: Judge, percent: Amplitude, settings: MeasureSettings, limits: QualitySettings
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
    bounds = (limits.level_warn, limits.level_fail)
    second = percent.peak_second(settings.window_seconds)
    return [judge.finding("above 100 %", (peak, "% of the reference"), bounds, (words, remedy), second)]
