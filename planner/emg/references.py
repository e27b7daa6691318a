"""The maximal tests (reference_tests.toml) and the reference contraction of each sensor (emg_method §4). 100 % is the
largest window mean over all trials of all tests. The largest of many windows of noise lies above the level that was
held; by how much is told, and `reference_level = "held"` takes the held level instead."""

import tomllib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import combinations
from typing import Any, Literal

import numpy as np

from planner.emg.signals import Amplitude
from planner.method import MeasureSettings

Unit = Literal["percent_MVIC", "percent_session_max"]
UNIT_WORDS: dict[Unit, str] = {"percent_MVIC": "%MVIC", "percent_session_max": "% of session's highest"}


@dataclass(frozen=True)
class ReferenceTest:
    """One maximal isometric test; `alone` is per head the % of a person's own maximum that it reaches."""

    key: str
    name: str
    how: str
    alone: Mapping[str, int]
    caution: str


@cache
def tables() -> dict[str, Any]:
    """Return the whole of reference_tests.toml."""
    return tomllib.loads(files("planner.emg").joinpath("reference_tests.toml").read_text("utf-8"))


@cache
def read_tests() -> dict[str, ReferenceTest]:
    """Return the tests by key."""
    return {key: ReferenceTest(key=key, **table) for key, table in tables()["test"].items()}


def reach(recorded: Collection[str], head: str) -> tuple[str, int] | None:
    """Return by which test or known set, and how much in %, what was recorded reaches of a head's own maximum."""
    for known in sorted(tables()["set"], key=lambda known: -len(known["tests"])):
        if set(known["tests"]) <= set(recorded) and head in known["reaches"]:
            return known["name"], known["reaches"][head]
    tests = [read_tests()[key] for key in recorded]
    share, name = max(((t.alone[head], t.name) for t in tests if head in t.alone), default=(0, ""))
    return (f"{name}, alone", share) if name else None


def missing_tests(recorded: Collection[str]) -> list[str]:
    """Return the printed names of the default set's tests that were not recorded."""
    return [read_tests()[key].name for key in tables()["wanted"] if key not in recorded]


@dataclass(frozen=True)
class ReferenceLevel:
    """What one trial gives for one sensor: level in the signal's unit, its second, and why it may not count."""

    file: str
    test: str
    level: float
    second: float
    spike: float  # largest over median of the envelope in the hold
    lifted: float = 1.0  # largest window mean over the median one of the hold
    held: float | None = None  # seconds; None: the trial holds no rest to tell it by
    left_out: str = ""


@dataclass(frozen=True)
class SensorReference:
    """The reference of one sensor in one placement; `trials` are all its levels, `warnings` what to know of it."""

    sensor: str
    placement: int
    level: float
    unit: Unit
    file: str
    second_best: float | None = None
    lifted: float = 1.0
    trials: tuple[ReferenceLevel, ...] = ()
    warnings: tuple[str, ...] = ()
    corner_hz: float | None = None  # high corner of the band it was cleaned with; None: no contraction


def level_of(file: str, test: str, amplitude: Amplitude, settings: MeasureSettings) -> ReferenceLevel:
    """Return the level of one trial, left out where a spike made it."""
    rate, window = amplitude.rate_hz, settings.window_seconds
    means = amplitude.window_means(window)
    largest = float(means.max())
    inside = np.flatnonzero(means >= settings.hold_share * largest)
    first, last = int(inside[0]), int(inside[-1])
    hold = amplitude.values[first : last + round(window * rate)]
    steady, median = float(np.median(means[inside])), float(np.median(hold))
    spike, reason = float(hold.max() / median) if median > 0 else float("inf"), ""
    if spike > settings.spike_ratio:
        second = (first + int(hold.argmax())) / rate
        reason = f"a spike at second {second:.1f} ({spike:.1f} times the hold's median)"
    level = steady if settings.reference_level == "held" else largest
    held = (last - first) / rate if first > 0 and last < len(means) - 1 else None
    lifted = largest / steady if steady > 0 else 1.0
    return ReferenceLevel(file, test, level, amplitude.peak_second(window), spike, lifted, held, reason)


def choose_reference(
    sensor: str, head: str, placement: int, levels: Collection[ReferenceLevel], settings: MeasureSettings
) -> SensorReference | None:
    """Return the sensor's reference from the trials that count; None where none does."""
    counted = sorted((t for t in levels if not t.left_out), key=lambda t: -t.level)
    if not counted or counted[0].level <= 0:
        return None
    best, warnings = counted[0], []
    name = read_tests()[best.test].name
    second = next((t.level for t in counted[1:] if t.test == best.test), None)
    if second is None:
        warnings.append(f"one trial only of its best test ({name}): record {settings.trials_per_test}")
    elif best.level > (1 + settings.retest_share) * second:
        more = f"{100 * (best.level / second - 1):.0f} % above the second best: record another"
        warnings.append(f"the best trial of its best test ({name}) is {more}")
    warnings += _short(head, {t.test for t in counted}, settings)
    left_out = [t for t in levels if t.left_out]
    warnings += [f"{t.file} ({t.test}) does not give the reference: {t.left_out}" for t in left_out]
    if best.held is not None and best.held < settings.hold_least_seconds:
        warnings.append(f"its best trial ({best.file}) was held for {best.held:.1f} s only: hold for 5 s")
    lifted = 1.0 if settings.reference_level == "held" else best.lifted
    about = (second, lifted, tuple(levels), tuple(f"{sensor}: {words}" for words in warnings))
    return SensorReference(sensor, placement, best.level, "percent_MVIC", best.file, *about)


def _short(head: str, recorded: set[str], settings: MeasureSettings) -> list[str]:
    """Say what a set short of the default understates of one head, where that is known."""
    if not missing_tests(recorded):
        return []
    if (known := reach(recorded, head)) is None:
        too_high = "so its percentages are too high by an unknown amount"
        return [f"no recorded test is known to load this head, {too_high}"]
    by, share = known
    high = f", so percentages read about {100 / share:.2f} times too high"
    return [f"{by}: {share} % of own maximum in the mean{high * (share < settings.long_set_per_cent)}"]


def highest_set(sensor: str, placement: int, levels: Iterable[ReferenceLevel]) -> SensorReference | None:
    """Return the session's own highest exercise as the reference; ratios only."""
    best = max(levels, key=lambda trial: trial.level, default=None)
    if best is None or best.level <= 0:
        return None
    highest = f"in % of the session's highest exercise ({best.file}); these rows pool as ratios only"
    words = f"{sensor}: no reference contraction: {highest}"
    return SensorReference(sensor, placement, best.level, "percent_session_max", best.file, warnings=(words,))


def swapped(references: Iterable[SensorReference], sensors: Mapping[str, tuple[str, str]]) -> list[str]:
    """Name two sensors of a side that look exchanged: each is highest in a test known to load the other's head."""
    best, words = {}, []
    for reference in references:
        if counted := [t for t in reference.trials if not t.left_out]:
            test = read_tests()[max(counted, key=lambda t: t.level).test]
            best[reference.sensor, reference.placement] = (*sensors[reference.sensor], test)
    for ((name, placement), of_one), ((other, its_placement), of_other) in combinations(best.items(), 2):
        (head, side, test), (its_head, its_side, its_test) = of_one, of_other
        crossed = its_head in test.alone and head in its_test.alone
        owned = head in test.alone or its_head in its_test.alone
        if crossed and not owned and (placement, side) == (its_placement, its_side):
            highest = f"{name} is highest in the test of {other} ({test.name}), {other} in that of {name}"
            probably = "their cables or channels are probably swapped; mend [[sensor]]"
            words.append(f"{highest} ({its_test.name}): {probably}")
    return words
