"""The reference contraction of each sensor: the largest window mean over all trials of all tests (emg_method §4)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from planner.emg.recording import Samples
from planner.emg.reference_tests import reach, read_tests, wanted_tests
from planner.emg.settings import MeasureSettings
from planner.emg.windows import Amplitude

Unit = Literal["percent_MVIC", "percent_session_max"]
UNIT_WORDS: dict[Unit, str] = {"percent_MVIC": "%MVIC", "percent_session_max": "% of session's highest"}


@dataclass(frozen=True)
class ReferenceLevel:
    """What one trial gives for one sensor: level in the signal's unit, its second, and why it may not count."""

    file: str
    test: str
    level: float
    second: float
    spike: float  # largest over median of the envelope in the hold
    held: float | None = None  # seconds; None: not known
    left_out: str = ""


@dataclass(frozen=True)
class SensorReference:
    """The reference of one sensor in one placement; `trials` are all its levels, `warnings` what to know of it."""

    sensor: str
    placement: int
    level: float
    unit: Unit
    file: str
    second_best: float | None
    trials: tuple[ReferenceLevel, ...]
    warnings: tuple[str, ...] = ()


def level_of(
    file: str, test: str, envelope: Samples, rate_hz: float, settings: MeasureSettings
) -> ReferenceLevel:
    """Return the largest window mean of one trial, left out where a spike made it."""
    import numpy as np

    amplitude = Amplitude(envelope, rate_hz)
    means = amplitude.window_means(settings.window_seconds)
    level = float(means.max())
    held = np.flatnonzero(means >= settings.hold_share * level)
    samples = round(settings.window_seconds * rate_hz)
    hold = envelope[held[0] : held[-1] + samples] if len(held) else envelope
    median = float(np.median(hold))
    spike = float(hold.max() / median) if median > 0 else float("inf")
    reason = ""
    if spike > settings.spike_ratio:
        where = (held[0] + int(hold.argmax())) / rate_hz if len(held) else 0.0
        reason = f"a spike at second {where:.1f} ({spike:.1f} times the hold's median)"
    return ReferenceLevel(
        file, test, level, amplitude.peak_second(settings.window_seconds), spike, left_out=reason
    )


def choose_reference(
    sensor: str, head: str, placement: int, trials: Iterable[ReferenceLevel], settings: MeasureSettings
) -> SensorReference | None:
    """Return the sensor's reference from the trials that count; None where none does."""
    levels = tuple(trials)
    counted = sorted((t for t in levels if not t.left_out), key=lambda t: -t.level)
    if not counted or counted[0].level <= 0:
        return None
    best = counted[0]
    second = next((t.level for t in counted[1:] if t.test == best.test), None)
    warnings = [
        *_retest(sensor, best, second, settings),
        *_short(sensor, head, {t.test for t in counted}, settings),
    ]
    if best.held is not None and best.held < settings.hold_least_seconds:
        warnings.append(
            f"{sensor}: its best trial ({best.file}) was held for {best.held:.1f} s only: hold for 5 s"
        )
    warnings += [
        f"{sensor}: {t.file} ({t.test}) does not give the reference: {t.left_out}"
        for t in levels
        if t.left_out
    ]
    return SensorReference(
        sensor, placement, best.level, "percent_MVIC", best.file, second, levels, tuple(warnings)
    )


def _retest(sensor: str, best: ReferenceLevel, second: float | None, settings: MeasureSettings) -> list[str]:
    name = read_tests()[best.test].name
    if second is None:
        return [f"{sensor}: one trial only of its best test ({name}): record {settings.trials_per_test}"]
    if best.level > (1 + settings.retest_share) * second:
        more = 100 * (best.level / second - 1)
        return [
            f"{sensor}: the best trial of its best test ({name}) is {more:.0f} % above the second best"
            ": record another"
        ]
    return []


def _short(sensor: str, head: str, recorded: set[str], settings: MeasureSettings) -> list[str]:
    """Say what a set short of the default understates of one head, where that is known."""
    if not missing_tests(recorded):
        return []
    known = reach(recorded, head)
    if known is None:
        return [
            f"{sensor}: no recorded test is known to load this head, so its percentages are too high by an unknown "
            "amount"
        ]
    by, share = known
    too_high = (
        ""
        if share >= settings.long_set_per_cent
        else f", so percentages read about {100 / share:.2f} times too high"
    )
    return [f"{sensor}: {by}: {share} % of own maximum in the mean{too_high}"]


def missing_tests(recorded: set[str]) -> list[str]:
    """Return the printed names of the default set's tests that were not recorded."""
    tests = read_tests()
    return [tests[key].name for key in wanted_tests() if key not in recorded]


def session_highest(
    sensor: str, placement: int, levels: Iterable[tuple[str, float]]
) -> SensorReference | None:
    """Return the session's own highest exercise as the reference (file, level); ratios only."""
    best = max(levels, key=lambda entry: entry[1], default=None)
    if best is None or best[1] <= 0:
        return None
    words = (
        f"{sensor}: no reference contraction: in % of the session's highest exercise ({best[0]}); these rows pool "
        "as ratios only"
    )
    return SensorReference(sensor, placement, best[1], "percent_session_max", best[0], None, (), (words,))
