"""Reading one recording by its kind of file: CSV, EDF, EDF+ and BDF (edfio), C3D (ezc3d, an optional extra)."""

from __future__ import annotations

import warnings
from collections.abc import Collection
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput, nearest
from planner.emg.read_csv import read_csv
from planner.emg.recording import Channel, Mark, Recording
from planner.emg.session import Session
from planner.emg.settings import QualitySettings

TEXT = (".csv", ".txt", ".tsv")
KINDS = (*TEXT, ".edf", ".bdf", ".c3d")
SIGNAL_FIELDS_BEFORE_SAMPLES = 216  # bytes a signal in the header before its number of samples (EDF, 1992)
FIXED_HEADER = 256  # bytes of the header before the signals' fields
SAMPLE_BYTES = {".edf": 2, ".bdf": 3}
AXES = ("x", "y", "z")


def read_recording(folder: Path, name: str, session: Session, limits: QualitySettings) -> Recording:
    """Read FOLDER/NAME. Raises FaultyInput where it is missing, elsewhere, of an unknown kind, too long, empty or broken."""
    file = folder / name
    if not _lies_in(file, folder):
        raise _fault(
            file, "", "lies outside the session's folder", "Put it beside session.toml, the file itself"
        )
    if not file.is_file():
        there = sorted(path.name for path in folder.iterdir() if path.suffix.lower() in KINDS)
        raise _fault(
            file, "", "there is no such file", f"Put it there or mend the name{nearest(name, there)}"
        )
    kind = file.suffix.lower()
    if kind not in KINDS:
        raise _fault(file, "", f'is of the unknown kind "{kind}"', f"Export it as one of {', '.join(KINDS)}")
    if file.stat().st_size > limits.largest_recording_bytes:
        read = f"{file.stat().st_size} bytes; at most {limits.largest_recording_bytes} are read"
        raise _fault(file, "", read, "Export each part as a file of its own")
    card = session.session
    if kind in SAMPLE_BYTES:
        return read_edf(file, session.labels)
    if kind == ".c3d":
        return read_c3d(file)
    rates = {sensor.channel: sensor.rate_hz for sensor in session.sensor if sensor.rate_hz}
    return read_csv(file, limits, card.rate_hz, card.delimiter, card.time_column, rates)


def _fault(file: Path, where: str, read: str, remedy: str) -> FaultyInput:
    return FaultyInput([Fault(str(file), where, read, remedy)])


def _lies_in(file: Path, folder: Path) -> bool:
    try:
        return file.resolve().is_relative_to(folder.resolve())
    except (OSError, ValueError):  # a name with a null byte, a link in a circle
        return False


def read_edf(file: Path, labels: Collection[str] | None = None) -> Recording:
    """Read one EDF, EDF+ or BDF file. Raises FaultyInput where it is empty, truncated, broken or has gaps.

    Of channels not among `labels` (None: all count) no samples are kept: they read as no numbers and take no memory.
    """
    import edfio
    import numpy as np

    _refuse_truncated(file)
    reader: Any = edfio.read_bdf if file.suffix.lower() == ".bdf" else edfio.read_edf
    channels: dict[str, Channel] = {}
    try:
        with warnings.catch_warnings(action="ignore"):
            read = reader(file, header_encoding="latin-1")
            for number, signal in enumerate(read.signals):
                label = signal.label if signal.label not in channels else f"{signal.label} ({number + 1})"
                low, high = sorted((float(signal.physical_min), float(signal.physical_max)))
                rate, unit = float(signal.sampling_frequency), signal.physical_dimension
                if not 0 < rate < np.inf:
                    raise ValueError(f'rate of "{label}": {rate:g} Hz')
                wanted = labels is None or label in labels
                count = round(rate * read.num_data_records * read.data_record_duration)
                values = signal.data if wanted else np.broadcast_to(np.nan, count)
                channels[label] = Channel(label, rate, values, unit, ends=(low, high))
            marks = [Mark(a.onset, a.duration or 0.0, a.text) for a in read.annotations]
            whole = read.is_continuous
    except Exception as error:  # whatever a broken header makes the library meet
        remedy = "Export it again as EDF+ (continuous)"
        raise _fault(file, "", f"cannot be read ({error or type(error).__name__})", remedy) from None
    if not whole:
        remedy = "Export it again as one continuous recording (EDF+C)"
        raise _fault(file, "", "has pauses between its records (EDF+D)", remedy)
    return Recording(str(file), channels, tuple(sorted(marks, key=lambda mark: mark.onset)))


def _refuse_truncated(file: Path) -> None:
    """Compare the file's length with what its header promises."""
    size = file.stat().st_size
    with file.open("rb") as stream:
        header = stream.read(FIXED_HEADER)
        try:
            signals, start = int(header[252:256]), int(header[184:192])
            records, seconds = int(header[236:244]), float(header[244:252])
            stream.seek(FIXED_HEADER + signals * SIGNAL_FIELDS_BEFORE_SAMPLES)
            samples = sum(int(stream.read(8)) for _ in range(signals))
        except (ValueError, OSError, OverflowError):  # OSError: a count below zero leads before the file
            read = "is empty" if size == 0 else "is no EDF or BDF file, or its header is cut"
            raise _fault(file, "", read, "Record or export it again") from None
    record_bytes = samples * SAMPLE_BYTES[file.suffix.lower()]
    whole = max((size - start) // record_bytes if record_bytes else 0, 0)
    if records == 0 or whole < records:
        read = f"is truncated: {records} records promised, {whole} whole ones found"
        remedy = "Copy or export it again; what is there cannot be trusted to be the set"
        raise _fault(file, f"all channels, second {whole * seconds:.1f}", read, remedy)


def read_c3d(file: Path) -> Recording:
    """Read analog channels, marker axes and events. Raises FaultyInput where ezc3d is missing or the file broken."""
    try:
        import ezc3d
    except ImportError:
        remedy = "Install the extra: pip install 'deltoid-planner[c3d]', or export the file as EDF or CSV"
        raise _fault(file, "", "C3D files need the package ezc3d", remedy) from None
    if file.stat().st_size == 0:
        raise _fault(file, "", "is empty", "Record or export it again")
    try:
        read = ezc3d.c3d(str(file))
        return Recording(str(file), _analogs(read) | _markers(read), _events(read))
    except Exception as error:  # whatever a broken file makes the library meet
        remedy = "Export it again as C3D"
        raise _fault(file, "", f"cannot be read ({error or type(error).__name__})", remedy) from None


def _listed(read: Any, group: str, name: str) -> list[Any]:
    return list(read["parameters"].get(group, {}).get(name, {}).get("value", []))


def _analogs(read: Any) -> dict[str, Channel]:
    values = read["data"]["analogs"]
    labels, units = _listed(read, "ANALOG", "LABELS"), _listed(read, "ANALOG", "UNITS")
    rate = float(read["header"]["analogs"]["frame_rate"])
    units += [""] * (len(labels) - len(units))
    return {
        label: Channel(label, rate, values[0, number].copy(), units[number])
        for number, label in enumerate(labels[: values.shape[1]])
    }


def _markers(read: Any) -> dict[str, Channel]:
    """Return every marker's three axes as channels "NAME.x"; a prefix before ":" is left out."""
    points = read["data"]["points"]
    labels = [label.split(":")[-1] for label in _listed(read, "POINT", "LABELS")]
    unit = next(iter(_listed(read, "POINT", "UNITS")), "mm")
    rate = float(read["header"]["points"]["frame_rate"])
    return {
        f"{label}.{axis}": Channel(f"{label}.{axis}", rate, points[number, place].copy(), unit)
        for place, label in enumerate(labels[: points.shape[1]])
        for number, axis in enumerate(AXES)
    }


def _events(read: Any) -> tuple[Mark, ...]:
    """Return the EVENT group; its times are minutes and seconds from the recording's own start."""
    import numpy as np

    labels = _listed(read, "EVENT", "LABELS")
    if not labels:
        return ()
    times = np.atleast_2d(np.asarray(read["parameters"]["EVENT"]["TIMES"]["value"], dtype=float))
    first = read["header"]["points"]["first_frame"] / read["header"]["points"]["frame_rate"]
    marks = [
        Mark(float(times[0, n] * 60 + times[1, n] - first), 0.0, label.strip())
        for n, label in enumerate(labels)
    ]
    return tuple(sorted(marks, key=lambda mark: mark.onset))
