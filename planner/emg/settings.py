"""Every number of the measuring method: one frozen record, printed in the report and changeable in session.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from library.errors import Fault, nearest, shown
from library.method import Settings


@dataclass(frozen=True)
class MeasureSettings(Settings, table="measure"):
    """How a recording becomes figures. Corners in Hz, windows in seconds, parts as fractions of one."""


@dataclass(frozen=True)
class QualitySettings(Settings, table="quality"):
    """Limits of the quality checks: above the first a channel is warned about, above the second it fails."""


@dataclass(frozen=True)
class RecordingPlanSettings(Settings, table="recording_plan"):
    """What is proposed to be recorded."""


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
