"""Reading one recording by its kind of file."""

from __future__ import annotations

from pathlib import Path

from library.errors import Fault, FaultyInput, nearest
from planner.emg.read_c3d import read_c3d
from planner.emg.read_csv import read_csv
from planner.emg.read_edf import read_edf
from planner.emg.recording import Recording
from planner.emg.session import Session
from planner.emg.settings import QualitySettings

TEXT = (".csv", ".txt", ".tsv")
KINDS = (*TEXT, ".edf", ".bdf", ".c3d")


def read_recording(folder: Path, name: str, session: Session, limits: QualitySettings) -> Recording:
    """Read FOLDER/NAME. Raises FaultyInput where it is missing, of an unknown kind, empty or broken."""
    file = folder / name
    if not file.is_file():
        there = sorted(path.name for path in folder.iterdir() if path.suffix.lower() in KINDS)
        remedy = f"Put it there or mend the name{nearest(name, there)}"
        raise FaultyInput([Fault(str(file), "", "there is no such file", remedy)])
    kind = file.suffix.lower()
    if kind in (".edf", ".bdf"):
        return read_edf(file)
    if kind == ".c3d":
        return read_c3d(file)
    if kind in TEXT:
        card = session.session
        return read_csv(
            file,
            rate_hz=card.rate_hz,
            delimiter=card.delimiter,
            time_column=card.time_column,
            limits=limits,
            rates_hz={sensor.channel: sensor.rate_hz for sensor in session.sensor if sensor.rate_hz},
        )
    remedy = f"Export it as one of {', '.join(KINDS)}"
    raise FaultyInput([Fault(str(file), "", f'is of the unknown kind "{kind}"', remedy)])
