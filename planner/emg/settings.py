"""Every number of the measuring method: one frozen record, printed in the report and changeable in session.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal, TypeVar

from pydantic import TypeAdapter, ValidationError

from library.errors import Fault, nearest, shown
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
    reference_level: Literal["largest", "held"] = GIVEN
    lowest_rate_hz: float = GIVEN
    low_rate_hz: float = GIVEN
    spike_ratio: float = GIVEN
    hold_share: float = GIVEN
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
    burst_edge_hz: float = GIVEN
    burst_edge_share: float = GIVEN
    tempo_share: float = GIVEN
    frequency_low_hz: float = GIVEN
    frequency_high_hz: float = GIVEN
    frequency_seconds: float = GIVEN
    frequency_least_seconds: float = GIVEN
    rir_apart: float = GIVEN
    fewest_repetitions: int = GIVEN
    log_evidence: float = GIVEN
    published_sem_low: float = GIVEN
    published_sem_high: float = GIVEN
    crosstalk_low: float = GIVEN
    crosstalk_neighbour: float = GIVEN
    unit_low: float = GIVEN
    unit_high: float = GIVEN


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
    ends_most: float = GIVEN
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
    heart_rest_seconds: float = GIVEN
    uneven_warn: float = GIVEN
    gap_steps: float = GIVEN
    lost_fail: float = GIVEN
    level_warn: float = GIVEN
    level_fail: float = GIVEN


AnySettings = TypeVar("AnySettings", MeasureSettings, QualitySettings)
BANDS: tuple[tuple[type[Any], str, str], ...] = (  # what a filter is made of
    (MeasureSettings, "band_low_hz", "band_high_hz"),
    (QualitySettings, "heart_beat_low_hz", "heart_beat_high_hz"),
    (QualitySettings, "heart_muscle_low_hz", "heart_muscle_high_hz"),
)


def changed_settings(
    method: Mapping[str, Any], file: str, faults: list[Fault]
) -> tuple[MeasureSettings, QualitySettings]:
    """Return both records with the values that [method] states; what cannot be becomes a fault."""
    names = [field.name for record in (MeasureSettings, QualitySettings) for field in fields(record)]
    for name, value in method.items():
        where = f"method.{name}"
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if name not in names:
            faults.append(Fault(file, where, f'unknown setting "{name}"', f"Remove it{nearest(name, names)}"))
        elif number and value <= 0:
            faults.append(Fault(file, where, f"read {value:g}", "Write a number above 0"))
        elif number and name.endswith("_quantile") and value > 1:
            faults.append(Fault(file, where, f"read {value:g}", "Write a number up to 1"))
    for record, low_name, high_name in BANDS:
        low, high = (method.get(name, getattr(record, name)) for name in (low_name, high_name))
        if isinstance(low, int | float) and isinstance(high, int | float) and low >= high:
            read = f"{low:g} Hz is not below {high_name} {high:g} Hz"
            faults.append(Fault(file, f"method.{low_name}", read, "Write a low corner below the high one"))
    return _changed(MeasureSettings, method, file, faults), _changed(QualitySettings, method, file, faults)


def _changed(
    record: type[AnySettings], method: Mapping[str, Any], file: str, faults: list[Fault]
) -> AnySettings:
    names = {field.name for field in fields(record)}
    adapter = TypeAdapter(record)
    try:
        return adapter.validate_python({name: value for name, value in method.items() if name in names})
    except ValidationError as error:
        for item in error.errors(include_url=False):
            where = f"method.{item['loc'][0]}"
            faults.append(Fault(file, where, f"read {shown(item['input'])}", str(item["msg"])))
    return record()
