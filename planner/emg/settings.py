"""Every number of the measuring method: one frozen record, printed in the report and changeable in session.toml."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from library.method import GIVEN, Settings


@dataclass(frozen=True)
class MeasureSettings(Settings, table="measure"):
    """How a recording becomes figures. Corners in Hz, windows in seconds, parts as fractions of one."""

    band_low_hz: float = GIVEN
    band_high_hz: float = GIVEN
    band_high_share: float = GIVEN
    band_order: int = GIVEN
    envelope: Literal["rms", "linear"] = GIVEN
    rms_seconds: float = GIVEN
    linear_hz: float = GIVEN
    linear_order: int = GIVEN
    notch: bool = GIVEN
    mains_hz: float = GIVEN
    notch_q: float = GIVEN
    heart_high_pass_hz: float = GIVEN
    heart_order: int = GIVEN
    window_seconds: float = GIVEN
    lowest_rate_hz: float = GIVEN
    low_rate_hz: float = GIVEN
    spike_ratio: float = GIVEN
    hold_share: float = GIVEN
    onset_low_pass_hz: float = GIVEN
    onset_sd: float = GIVEN
    onset_energy_sd: float = GIVEN
    onset_seconds: float = GIVEN
    onset_order: int = GIVEN
    rest_share: float = GIVEN
    noisy_rest_share: float = GIVEN
    hold_least_seconds: float = GIVEN
    retest_share: float = GIVEN
    trials_per_test: int = GIVEN
    long_set_per_cent: float = GIVEN
    motion_low_pass_hz: float = GIVEN
    tilt_low_pass_hz: float = GIVEN
    motion_order: int = GIVEN
    prominence: float = GIVEN
    phase_band: float = GIVEN
    still_share: float = GIVEN
    still_seconds: float = GIVEN
    return_share: float = GIVEN
    burst_low_pass_hz: float = GIVEN
    burst_order: int = GIVEN
    burst_rate_hz: float = GIVEN
    burst_top_quantile: float = GIVEN
    burst_level_low: float = GIVEN
    burst_level_high: float = GIVEN
    burst_levels: int = GIVEN
    burst_seconds: float = GIVEN
    burst_gap_seconds: float = GIVEN
    tempo_share: float = GIVEN
    frequency_low_hz: float = GIVEN
    frequency_high_hz: float = GIVEN
    frequency_seconds: float = GIVEN
    frequency_least_seconds: float = GIVEN
    rir_apart: float = GIVEN
    fewest_repetitions: int = GIVEN
    published_sem_low: float = GIVEN
    published_sem_high: float = GIVEN
    crosstalk_low: float = GIVEN
    crosstalk_neighbour: float = GIVEN


@dataclass(frozen=True)
class QualitySettings(Settings, table="quality"):
    """Limits of the quality checks: above the first a channel is warned about, above the second it fails."""

    clip_fail: float = GIVEN
    clip_least: int = GIVEN
    clip_repeats: int = GIVEN
    codes_warn: int = GIVEN
    codes_fail: int = GIVEN
    dropout_seconds: float = GIVEN
    dropout_fail: float = GIVEN
    rest_warn: float = GIVEN
    rest_fail: float = GIVEN
    rest_judged: float = GIVEN
    artefact_warn: float = GIVEN
    artefact_fail: float = GIVEN
    artefact_low_hz: float = GIVEN
    artefact_high_hz: float = GIVEN
    artefact_whole_hz: float = GIVEN
    spectrum_seconds: float = GIVEN
    mains_warn_db: float = GIVEN
    mains_fail_db: float = GIVEN
    mains_first_hz: float = GIVEN
    mains_second_hz: float = GIVEN
    mains_width_hz: float = GIVEN
    mains_beside_low_hz: float = GIVEN
    mains_beside_high_hz: float = GIVEN
    heart_sd: float = GIVEN
    heart_beat_low_hz: float = GIVEN
    heart_beat_high_hz: float = GIVEN
    heart_muscle_low_hz: float = GIVEN
    heart_muscle_high_hz: float = GIVEN
    heart_band_order: int = GIVEN
    heart_quiet_seconds: float = GIVEN
    heart_quiet_quantile: float = GIVEN
    heart_quiet_times: float = GIVEN
    heart_low_seconds: float = GIVEN
    heart_high_seconds: float = GIVEN
    heart_uneven: float = GIVEN
    heart_beats: int = GIVEN
    uneven_warn: float = GIVEN
    gap_steps: float = GIVEN
    lost_fail: float = GIVEN
    level_warn: float = GIVEN
    level_fail: float = GIVEN
