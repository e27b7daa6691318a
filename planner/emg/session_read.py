"""Reading session.toml: its models, every name in it checked, all faults told at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from library.errors import Fault, FaultyInput, faults_of, nearest, shown, unknown
from library.files import read_toml
from library.read import Library
from library.schema import Head
from planner.emg.reference_tests import ReferenceTest, read_tests
from planner.emg.session import Reference, Session, Trial
from planner.emg.settings import MeasureSettings, QualitySettings

NAME = "session.toml"
BANDS: tuple[tuple[type[Any], str, str], ...] = (  # what a filter is made of
    (MeasureSettings, "band_low_hz", "band_high_hz"),
    (QualitySettings, "heart_beat_low_hz", "heart_beat_high_hz"),
    (QualitySettings, "heart_muscle_low_hz", "heart_muscle_high_hz"),
)
AnySettings = TypeVar("AnySettings", MeasureSettings, QualitySettings)


@dataclass(frozen=True)
class Known:
    """The names that a session may use, with what is printed for them."""

    heads: Mapping[str, Head]
    exercises: Mapping[str, str]  # key, name
    tests: Mapping[str, ReferenceTest]

    @classmethod
    def of(cls, library: Library) -> Known:
        """Take the names from a library."""
        named = {key: exercise.name for key, exercise in library.exercises.items()}
        return cls(library.heads, named, read_tests())


@dataclass(frozen=True)
class ReadSession:
    """A session with its folder and the settings that its [method] table changed."""

    folder: Path
    session: Session
    settings: MeasureSettings
    quality: QualitySettings
    known: Known

    @property
    def id(self) -> str:
        """The session's own id, else its date and folder."""
        card = self.session.session
        return card.id or f"{card.date.isoformat()}-{self.folder.resolve().name}"


def read_session(folder: Path, known: Known) -> ReadSession:
    """Read FOLDER/session.toml. Raises FaultyInput with every fault of the file."""
    file = folder / NAME
    faults: list[Fault] = []
    tables = read_toml(file, faults)
    if faults:
        raise FaultyInput(faults)
    try:
        session = Session.model_validate(tables)
    except ValidationError as error:
        raise FaultyInput(faults_of(error, str(file), Session)) from None
    faults += _name_faults(str(file), session, known)
    faults += _twice_faults(str(file), session)
    settings = _changed(MeasureSettings, session.method, str(file), faults)
    quality = _changed(QualitySettings, session.method, str(file), faults)
    faults += _method_faults(str(file), session.method)
    if faults:
        raise FaultyInput(faults)
    return ReadSession(folder, session, settings, quality, known)


def _name_faults(file: str, session: Session, known: Known) -> list[Fault]:
    faults = []
    for number, sensor in enumerate(session.sensor):
        if not sensor.other and sensor.muscle not in known.heads:
            remedy = f"Use a head of the library{nearest(sensor.muscle, known.heads)}, or add other = true"
            read = f'unknown head "{sensor.muscle}"'
            faults.append(Fault(file, f"sensor[{number}].muscle", read, remedy))
    for number, trial in enumerate(session.trial):
        if trial.exercise not in known.exercises:
            where = f"trial[{number}].exercise"
            faults.append(unknown(file, where, "exercise", trial.exercise, known.exercises))
    for number, reference in enumerate(session.reference):
        if reference.test not in known.tests:
            listed = ", ".join(known.tests)
            remedy = f"Use one of {listed}{nearest(reference.test, known.tests)}"
            faults.append(
                Fault(file, f"reference[{number}].test", f'unknown test "{reference.test}"', remedy)
            )
    return faults


def _twice_faults(file: str, session: Session) -> list[Fault]:
    faults = []
    sensors = [(s.muscle, s.side) for s in session.sensor]
    channels = [s.channel for s in session.sensor]
    for number in _again(channels):
        read = f'channel "{channels[number]}" is named twice'
        faults.append(Fault(file, f"sensor[{number}].channel", read, "Name each channel once"))
    for number in _again(sensors):
        read = f"{' '.join(sensors[number])} is named twice"
        faults.append(Fault(file, f"sensor[{number}]", read, "One channel for a muscle and side"))
    parts: list[Reference | Trial] = [*session.reference, *session.trial]
    named = [f"reference[{n}]" for n in range(len(session.reference))]
    named += [f"trial[{n}]" for n in range(len(session.trial))]
    for number in _again([(part.file, part.start, part.stop) for part in parts]):
        read = f'"{parts[number].file}" is named twice'
        remedy = "Name each recording once, or state the start and stop of its parts"
        faults.append(Fault(file, f"{named[number]}.file", read, remedy))
    return faults


def _again(things: Iterable[Any]) -> list[int]:
    seen: set[Any] = set()
    again = []
    for number, thing in enumerate(things):
        if thing in seen:
            again.append(number)
        seen.add(thing)
    return again


def _changed(
    record: type[AnySettings], method: Mapping[str, Any], file: str, faults: list[Fault]
) -> AnySettings:
    """Return the record with the values that [method] states; a value of the wrong kind becomes a fault."""
    names = {field.name for field in fields(record)}
    stated = {name: value for name, value in method.items() if name in names}
    adapter = TypeAdapter(record)
    try:
        return adapter.validate_python(stated)
    except ValidationError as error:
        for item in error.errors(include_url=False):
            where = f"method.{item['loc'][0]}"
            faults.append(Fault(file, where, f"read {shown(item['input'])}", str(item["msg"])))
    return record()


def _method_faults(file: str, method: Mapping[str, Any]) -> list[Fault]:
    names = [field.name for record in (MeasureSettings, QualitySettings) for field in fields(record)]
    faults = []
    for name, value in method.items():
        where = f"method.{name}"
        if name not in names:
            remedy = f"Remove it{nearest(name, names)}"
            faults.append(Fault(file, where, f'unknown setting "{name}"', remedy))
        elif isinstance(value, int | float) and not isinstance(value, bool) and value <= 0:
            faults.append(Fault(file, where, f"read {value:g}", "Write a number above 0"))
        elif name.endswith("_quantile") and isinstance(value, int | float) and value > 1:
            faults.append(Fault(file, where, f"read {value:g}", "Write a number up to 1"))
    return faults + [fault for band in BANDS for fault in _band_faults(file, method, *band)]


def _band_faults(
    file: str, method: Mapping[str, Any], record: type[Any], low_name: str, high_name: str
) -> list[Fault]:
    low, high = (method.get(name, getattr(record, name)) for name in (low_name, high_name))
    if isinstance(low, int | float) and isinstance(high, int | float) and low >= high:
        read = f"{low:g} Hz is not below {high_name} {high:g} Hz"
        return [Fault(file, f"method.{low_name}", read, "Write a low corner below the high one")]
    return []
