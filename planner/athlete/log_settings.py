"""The defaults of the training log: what is taken for a slip of the pen; `planner check` prints them."""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting


@dataclass(frozen=True)
class LogSettings:
    """Bounds inside which a line of the log is believed."""

    jump_factor: float = setting(
        2.0,
        unit="times the last load",
        source=OUR_CHOICE,
        text="a load so much above or below the last one of the exercise in that gym is asked about",
    )
    reps_most: int = setting(
        100, unit="repetitions a set", source=OUR_CHOICE, text="more is a slip of the pen"
    )
    rir_most: float = setting(
        10,
        unit="repetitions in reserve",
        source="RPE = 10 - RIR, a scale of ten",
        text="more cannot be rated",
    )
    pain_most: float = setting(
        10, unit="0-10", source="numeric rating of pain, 0-10", text="end of the scale"
    )
    load_most: float = setting(1000, unit="kg or lb", source=OUR_CHOICE, text="more is a slip of the pen")
    sets_most: int = setting(50, unit="set number", source=OUR_CHOICE, text="more is a slip of the pen")
    days_ahead_most: int = setting(
        1, unit="days after today", source=OUR_CHOICE, text="a later date is a slip of the pen; 1: time zones"
    )
    file_bytes_most: int = setting(
        20_000_000, unit="bytes", source=OUR_CHOICE, text="a larger file is not opened: it is no training log"
    )
    log_bytes_most: int = setting(
        200_000_000, unit="bytes", source=OUR_CHOICE, text="a longer log.csv is refused before it is read"
    )
    faults_shown: int = setting(
        20, unit="faults", source=OUR_CHOICE, text="told one by one; the rest are counted"
    )


LOG_DEFAULTS = LogSettings()
