"""Reading C3D recordings with ezc3d (optional extra): analog channels, marker axes, events as marks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput
from planner.emg.recording import Channel, Mark, Recording

AXES = ("x", "y", "z")


def read_c3d(file: Path) -> Recording:
    """Read one C3D file. Raises FaultyInput where ezc3d is missing or the file is broken."""
    try:
        import ezc3d
    except ImportError:
        remedy = "Install the extra: pip install 'deltoid-planner[c3d]', or export the file as EDF or CSV"
        raise FaultyInput([Fault(str(file), "", "C3D files need the package ezc3d", remedy)]) from None
    if file.stat().st_size == 0:
        raise FaultyInput([Fault(str(file), "", "is empty", "Record or export it again")])
    try:
        read = ezc3d.c3d(str(file))
    except (OSError, ValueError, RuntimeError, IndexError) as error:
        raise FaultyInput(
            [Fault(str(file), "", f"cannot be read ({error})", "Export it again as C3D")]
        ) from None
    channels = _analogs(read) | _markers(read)
    return Recording(str(file), channels, _marks(read))


def _value(read: Any, group: str, name: str) -> list[Any]:
    return list(read["parameters"].get(group, {}).get(name, {}).get("value", []))


def _analogs(read: Any) -> dict[str, Channel]:
    values = read["data"]["analogs"]
    labels = _value(read, "ANALOG", "LABELS")
    units = _value(read, "ANALOG", "UNITS")
    rate = float(read["header"]["analogs"]["frame_rate"])
    channels = {}
    for number, label in enumerate(labels[: values.shape[1]]):
        unit = units[number] if number < len(units) else ""
        channels[label] = Channel(label, rate, values[0, number].copy(), unit)
    return channels


def _markers(read: Any) -> dict[str, Channel]:
    """Return every marker's three axes as channels "NAME.x"; a prefix before ":" is left out."""
    points = read["data"]["points"]
    labels = [label.split(":")[-1] for label in _value(read, "POINT", "LABELS")]
    units = _value(read, "POINT", "UNITS")
    rate = float(read["header"]["points"]["frame_rate"])
    unit = units[0] if units else "mm"
    return {
        f"{label}.{axis}": Channel(f"{label}.{axis}", rate, points[number, place].copy(), unit)
        for place, label in enumerate(labels[: points.shape[1]])
        for number, axis in enumerate(AXES)
    }


def _marks(read: Any) -> tuple[Mark, ...]:
    """Return the EVENT group; its times are minutes and seconds from the recording's own start."""
    import numpy as np

    labels = _value(read, "EVENT", "LABELS")
    if not labels:
        return ()
    times = np.atleast_2d(np.asarray(read["parameters"]["EVENT"]["TIMES"]["value"], dtype=float))
    first = read["header"]["points"]["first_frame"] / read["header"]["points"]["frame_rate"]
    marks = [
        Mark(float(times[0, n] * 60 + times[1, n] - first), 0.0, label.strip())
        for n, label in enumerate(labels)
    ]
    return tuple(sorted(marks, key=lambda mark: mark.onset))
