"""Measuring one session folder: read all, check all, choose references, then figures trial by trial."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from library.errors import FaultyInput
from planner.emg.crosstalk import crosstalk_words
from planner.emg.loaded import Cleaner, Loaded, load, sensors_with_heart
from planner.emg.measuring_trial import Notebook, measure_trial
from planner.emg.recording import Recording
from planner.emg.reference import SensorReference, missing_tests
from planner.emg.references_of import references_of
from planner.emg.results import MeasuredSession
from planner.emg.session import Reference, Trial
from planner.emg.session_read import ReadSession


def measure_session(read: ReadSession) -> MeasuredSession:
    """Measure every trial that can be measured; what cannot is named in `faults`, with file and remedy."""
    cache: dict[str, Recording | FaultyInput] = {}
    references: list[Loaded[Reference]] = [load(read, part, cache) for part in read.session.reference]
    trials: list[Loaded[Trial]] = [load(read, part, cache) for part in read.session.trial]
    heart = sensors_with_heart(references) | sensors_with_heart(trials)
    cleaner = Cleaner(read.session, read.settings, frozenset(heart))
    found = references_of(read, cleaner, references, trials)
    parts: list[Loaded[Any]] = [*references, *trials]
    notes = Notebook(
        findings=[f for part in parts for listed in part.findings.values() for f in listed] + found.findings,
        faults=[fault for part in parts for fault in part.faults],
        warnings=_warnings(read, found.by_sensor.values(), parts),
    )
    measured = [
        measure_trial(read, cleaner, loaded, found, number, notes) for number, loaded in enumerate(trials, 1)
    ]
    results = tuple(result for result in measured if result is not None)
    return MeasuredSession(
        read=read,
        references=found.by_sensor,
        trials=results,
        findings=tuple(notes.findings),
        faults=tuple(notes.faults),
        warnings=(*notes.warnings, *crosstalk_words(read, results)),
        with_heart=tuple(sorted(heart)),
        rates_hz=tuple(sorted({c.rate_hz for part in parts for c in part.channels.values()})),
    )


def _warnings(
    read: ReadSession,
    references: Iterable[SensorReference],
    parts: list[Loaded[Any]],
) -> list[str]:
    """Say what the coach should know of the session as a whole."""
    warnings = [words for reference in references for words in reference.warnings]
    missing = missing_tests({part.test for part in read.session.reference})
    if missing and read.session.reference:
        warnings.insert(0, f"the set of reference tests is short, missing: {'; '.join(missing)}")
    counts: dict[str, int] = {}
    for part in read.session.reference:
        counts[part.test] = counts.get(part.test, 0) + 1
    wanted = read.settings.trials_per_test
    few = [f"{read.known.tests[test].name} ({count})" for test, count in counts.items() if count < wanted]
    if few:
        warnings.append(f"fewer than {wanted} trials of: {'; '.join(few)}")
    slow = {
        channel.rate_hz
        for part in parts
        for channel in part.channels.values()
        if channel.rate_hz < read.settings.low_rate_hz
    }
    if slow and read.session.session.signal == "raw":
        rates = ", ".join(f"{rate:g} Hz" for rate in sorted(slow))
        warnings.append(
            f"sampled at {rates}: the band is cut at {read.settings.band_high_share:g} of the rate; "
            f"record at {read.settings.low_rate_hz:g} Hz or more"
        )
    return warnings
