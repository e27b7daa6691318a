"""Every number of the quality checks: one frozen record, printed in the report and changeable in session.toml.

Limits, bands and what counts as rest are our own choices (emg_method §7); the few that rest on a paper name it.
"""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting


@dataclass(frozen=True)
class QualitySettings:
    """Limits of the quality checks: above the first a channel is warned about, above the second it fails."""

    clip_fail: float = setting(
        0.001,
        unit="of the samples",
        source=OUR_CHOICE,
        text="clipped samples; any two in a row are warned about",
    )
    clip_least: int = setting(
        3, unit="samples", source=OUR_CHOICE, text="two in a row at an extreme and so many in all are clipped"
    )
    clip_repeats: int = setting(
        5, unit="samples", source=OUR_CHOICE, text="an extreme that so many samples share is clipped too"
    )
    codes_warn: int = setting(200, unit="codes", source=OUR_CHOICE, text="fewer distinct values: poor range")
    codes_fail: int = setting(50, unit="codes", source=OUR_CHOICE, text="fewer distinct values: unusable")
    dropout_seconds: float = setting(
        0.02, unit="s", source=OUR_CHOICE, text="a run of identical values this long is a drop-out"
    )
    dropout_fail: float = setting(0.01, unit="of the time", source=OUR_CHOICE, text="drop-outs in all")
    rest_warn: float = setting(
        0.05,
        unit="of the reference",
        source=OUR_CHOICE,
        text="noise of the quietest window (`window_seconds`)",
    )
    rest_fail: float = setting(
        0.15,
        unit="of the reference",
        source=OUR_CHOICE,
        text="noise of the quietest window (`window_seconds`)",
    )
    rest_judged: float = setting(
        0.40, unit="of the trial's peak", source=OUR_CHOICE, text="a quietest window above it is no rest"
    )
    artefact_warn: float = setting(
        0.10,
        unit="of the whole power",
        source=OUR_CHOICE,
        text="power below the muscle's: loose sensor or cable",
    )
    artefact_fail: float = setting(
        0.25,
        unit="of the whole power",
        source=OUR_CHOICE,
        text="power below the muscle's: loose sensor or cable",
    )
    artefact_low_hz: float = setting(
        1.0, unit="Hz", source=OUR_CHOICE, text="power below the muscle's, and the whole, from"
    )
    artefact_high_hz: float = setting(20.0, unit="Hz", source=OUR_CHOICE, text="power below the muscle's, to")
    artefact_whole_hz: float = setting(450.0, unit="Hz", source=OUR_CHOICE, text="the whole power, to")
    spectrum_seconds: float = setting(
        1.0, unit="s", source=OUR_CHOICE, text="Hann segments of these powers and of mains, half overlap"
    )
    mains_warn_db: float = setting(
        10.0,
        unit="dB",
        source="removal adds noise below about 9 dB (CMBES proceedings 590)",
        text="mains peak over its surroundings",
    )
    mains_fail_db: float = setting(
        20.0, unit="dB", source=OUR_CHOICE, text="mains peak over its surroundings"
    )
    mains_first_hz: float = setting(
        50.0, unit="Hz", source="mains of Europe", text="mains line looked for where none is stated"
    )
    mains_second_hz: float = setting(
        60.0, unit="Hz", source="mains of North America", text="mains line looked for as well"
    )
    mains_width_hz: float = setting(
        1.0, unit="Hz either side", source=OUR_CHOICE, text="where a mains peak is looked for"
    )
    mains_beside_low_hz: float = setting(
        2.0, unit="Hz either side", source=OUR_CHOICE, text="its surroundings (their median), from"
    )
    mains_beside_high_hz: float = setting(
        8.0, unit="Hz either side", source=OUR_CHOICE, text="its surroundings, to"
    )
    heart_sd: float = setting(
        4.0, unit="robust SD", source=OUR_CHOICE, text="a beat at rest stands out by, in its own band"
    )
    heart_beat_low_hz: float = setting(5.0, unit="Hz", source=OUR_CHOICE, text="band of a beat, from")
    heart_beat_high_hz: float = setting(30.0, unit="Hz", source=OUR_CHOICE, text="band of a beat, to")
    heart_muscle_low_hz: float = setting(
        60.0, unit="Hz", source=OUR_CHOICE, text="band with little of a beat and much of a muscle, from"
    )
    heart_muscle_high_hz: float = setting(200.0, unit="Hz", source=OUR_CHOICE, text="that band, to")
    heart_band_order: int = setting(
        2, unit="per edge, one pass", source=OUR_CHOICE, text="Butterworth order of both bands"
    )
    heart_quiet_seconds: float = setting(
        0.25, unit="s", source=OUR_CHOICE, text="window of the muscle's amplitude, beats being looked for"
    )
    heart_quiet_quantile: float = setting(
        0.1, unit="quantile", source=OUR_CHOICE, text="of the amplitude's square: the muscle's level at rest"
    )
    heart_quiet_times: float = setting(
        2.25, unit="times that level", source=OUR_CHOICE, text="rest, where beats are looked for, is below it"
    )
    heart_low_seconds: float = setting(0.4, unit="s", source=OUR_CHOICE, text="shortest time between beats")
    heart_high_seconds: float = setting(1.5, unit="s", source=OUR_CHOICE, text="longest time between beats")
    heart_uneven: float = setting(
        0.15, unit="SD/mean", source=OUR_CHOICE, text="beats less even than this are none"
    )
    heart_beats: int = setting(4, unit="beats", source=OUR_CHOICE, text="fewest beats that show a heart")
    uneven_warn: float = setting(
        0.01, unit="of the spacing", source=OUR_CHOICE, text="samples spaced less evenly than this"
    )
    gap_steps: float = setting(
        1.5, unit="times the usual spacing", source=OUR_CHOICE, text="a wider step of time has lost samples"
    )
    lost_fail: float = setting(0.01, unit="of the samples", source=OUR_CHOICE, text="lost in gaps")
    level_warn: float = setting(100.0, unit="%MVIC", source=OUR_CHOICE, text="kept and flagged above it")
    level_fail: float = setting(
        200.0, unit="%MVIC", source=OUR_CHOICE, text="above it the reference itself is doubtful"
    )
