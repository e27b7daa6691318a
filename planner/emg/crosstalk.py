"""Heads whose signal a strong neighbour could have made (emg_method §1): reported, never corrected."""

from __future__ import annotations

from collections.abc import Iterable

from planner.emg.results import TrialResult
from planner.emg.session_read import ReadSession


def crosstalk_words(read: ReadSession, trials: Iterable[TrialResult]) -> list[str]:
    """Name the heads that read little beside one that reads much, in % of a reference contraction."""
    settings = read.settings
    words = []
    for trial in trials:
        means = {
            channel.sensor: value
            for channel in trial.channels.values()
            if channel.unit == "percent_MVIC"
            and (value := channel.figures.mean_of("mean")) is not None
            and not channel.untrusted
        }
        for sensor, value in means.items():
            beside = max((v for other, v in means.items() if other.side == sensor.side), default=0.0)
            if value < settings.crosstalk_low and beside > settings.crosstalk_neighbour:
                words.append(
                    f"{trial.label}: {sensor.name} reads {value:.0f} %MVIC beside {beside:.0f} %MVIC: at or below what "
                    "its neighbour's signal could make"
                )
    return words
