"""Every number of the measuring method: one frozen record, printed in the report and changeable in session.toml."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from typing import Any, TypeVar, cast

from pydantic import TypeAdapter, ValidationError

from library.errors import Fault, nearest, shown
from library.method import Settings, setting_rows
from planner.method import FOLDER


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
    records: tuple[Settings, ...] = (MeasureSettings(), QualitySettings())
    defaults = {row.name: row.value for record in records for row in setting_rows(record)}
    for name, value in method.items():
        where = f"method.{name}"
        number = isinstance(value, int | float) and not isinstance(value, bool)
        measured = not isinstance(defaults.get(name), bool | str)
        if name not in defaults:
            faults.append(
                Fault(file, where, f'unknown setting "{name}"', f"Remove it{nearest(name, defaults)}")
            )
        elif measured and not number:
            faults.append(Fault(file, where, f"read {shown(value)}", "Write a number"))
        elif number and value <= 0:
            faults.append(Fault(file, where, f"read {value:g}", "Write a number above 0"))
        elif (
            number
            and measured
            and value
            > (most := 1 if name.endswith("_quantile") else FOLDER.method_times_most * defaults[name])
        ):
            faults.append(Fault(file, where, f"read {shown(value)}", f"Write a number up to {most:g}"))
    for record, low_name, high_name in BANDS:
        low, high = (method.get(name, getattr(record, name)) for name in (low_name, high_name))
        if isinstance(low, int | float) and isinstance(high, int | float) and low >= high:
            read = f"{low:g} Hz is not below {high_name} {high:g} Hz"
            faults.append(Fault(file, f"method.{low_name}", read, "Write a low corner below the high one"))
    return _changed(MeasureSettings, method, file, faults), _changed(QualitySettings, method, file, faults)


@cache
def _adapter(record: Any) -> TypeAdapter[Any]:
    return TypeAdapter(record)


def _changed(
    record: type[AnySettings], method: Mapping[str, Any], file: str, faults: list[Fault]
) -> AnySettings:
    names, kind = (
        {field.name for field in fields(record)},
        cast("Any", record),
    )  # a class hashes, mypy knows it not
    try:
        return _adapter(kind).validate_python(
            {name: value for name, value in method.items() if name in names}
        )
    except ValidationError as error:
        for item in error.errors(include_url=False):
            where = f"method.{item['loc'][0]}"
            faults.append(Fault(file, where, f"read {shown(item['input'])}", str(item["msg"])))
    return record()
