"""Reading EDF, EDF+ and BDF recordings with edfio: one rate a channel, converter ends, annotations as marks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput
from planner.emg.recording import Channel, Mark, Recording

SIGNAL_FIELDS_BEFORE_SAMPLES = 216  # bytes a signal in the header before its number of samples (EDF, 1992)
FIXED_HEADER = 256  # bytes of the header before the signals' fields
SAMPLE_BYTES = {".edf": 2, ".bdf": 3}


def read_edf(file: Path) -> Recording:
    """Read one EDF, EDF+ or BDF file. Raises FaultyInput where it is empty, truncated, broken or has gaps."""
    import edfio

    _refuse_truncated(file)
    reader: Any = edfio.read_bdf if file.suffix.lower() == ".bdf" else edfio.read_edf
    try:
        read = reader(file, header_encoding="latin-1")
        channels = _channels(read)
        marks = [Mark(a.onset, a.duration or 0.0, a.text) for a in read.annotations]
    except (ValueError, KeyError, OverflowError, AssertionError) as error:
        remedy = "Export it again as EDF+ (continuous)"
        raise FaultyInput([Fault(str(file), "", f"cannot be read ({error})", remedy)]) from None
    if not read.is_continuous:
        remedy = "Export it again as one continuous recording (EDF+C)"
        raise FaultyInput([Fault(str(file), "", "has pauses between its records (EDF+D)", remedy)])
    return Recording(str(file), channels, tuple(sorted(marks, key=lambda mark: mark.onset)))


def _channels(read: Any) -> dict[str, Channel]:
    channels: dict[str, Channel] = {}
    for number, signal in enumerate(read.signals):
        label = signal.label if signal.label not in channels else f"{signal.label} ({number + 1})"
        ends = (float(signal.physical_min), float(signal.physical_max))
        channels[label] = Channel(
            label,
            float(signal.sampling_frequency),
            signal.data,
            signal.physical_dimension,
            ends=(min(ends), max(ends)),
        )
    return channels


def _refuse_truncated(file: Path) -> None:
    """Compare the file's length with what its header promises."""
    size = file.stat().st_size
    with file.open("rb") as stream:
        header = stream.read(FIXED_HEADER)
        try:
            signals = int(header[252:256])
            records, seconds = int(header[236:244]), float(header[244:252])
            stream.seek(FIXED_HEADER + signals * SIGNAL_FIELDS_BEFORE_SAMPLES)
            samples = sum(int(stream.read(8)) for _ in range(signals))
            start = int(header[184:192])
        except ValueError:
            read = "is empty" if size == 0 else "is no EDF or BDF file, or its header is cut"
            raise FaultyInput([Fault(str(file), "", read, "Record or export it again")]) from None
    record_bytes = samples * SAMPLE_BYTES[file.suffix.lower()]
    whole = (size - start) // record_bytes if record_bytes else 0
    if records == 0 or (whole < records and records > 0):
        read = f"is truncated: {records} records promised, {max(whole, 0)} whole ones found"
        remedy = "Copy or export it again; what is there cannot be trusted to be the set"
        where = f"all channels, second {max(whole, 0) * seconds:.1f}"
        raise FaultyInput([Fault(str(file), where, read, remedy)])
