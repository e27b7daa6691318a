"""session.toml: what was recorded, from which muscle, in which test or exercise (seconds, Hz, kg or lb); and the maximal
tests that it may name (reference_tests.toml)."""

import datetime
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from library.errors import Fault, FaultyInput, nearest, place, unknown
from library.files import check_shape, read_toml
from library.method import SettingRow, setting_rows
from library.read import Library
from library.schema import Key, Record, Tempo
from planner.athlete.reading import method_faults, method_of, table
from planner.emg.signals import part_name
from planner.method import MeasureSettings, QualitySettings

NAME = "session.toml"

Side = Literal["left", "right"]
Seconds = Annotated[float, Field(ge=0, le=86_400)]
Rate = Annotated[float, Field(gt=0, le=1_000_000)]
FileName = Annotated[str, Field(min_length=1, max_length=200)]
Words = tuple[str, ...]


class Card(Record):
    """[session]: who, when, what kind of signal; `rate_hz` is for files that do not state theirs."""

    id: Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]*$", max_length=60)] | None = None
    athlete: Annotated[str, Field(min_length=1, max_length=80)]
    date: datetime.date
    signal: Literal["raw", "envelope"] = "raw"
    rate_hz: Rate | None = None
    delimiter: Literal[",", ";", "\t"] | None = None  # of CSV files; None: found
    time_column: str | None = None  # of CSV files; None: the column named time
    mains_hz: Literal[50, 60] | None = None  # None: both are looked at
    notes: str = ""


class Sensor(Record):
    """One [[sensor]]: a channel over a muscle of one body side."""

    channel: Annotated[str, Field(min_length=1)]
    muscle: Key  # a head of the library; any other muscle with other = true
    side: Side
    other: bool = False
    rate_hz: Rate | None = None
    unit: str | None = None

    @property
    def name(self) -> str:
        """Muscle and side as one word for tables."""
        return f"{self.muscle} {self.side}"


class Motion(Record):
    """[motion]: the channel that follows the arm; an accelerometer has two, along the arm and across it."""

    kind: Literal["angle", "position", "accelerometer"]
    channels: Annotated[Words, Field(min_length=1, max_length=2)]

    @model_validator(mode="after")
    def _axes(self) -> "Motion":
        if len(self.channels) != (wanted := 2 if self.kind == "accelerometer" else 1):
            raise ValueError(
                f"{len(self.channels)} channels. {self.kind} has {wanted} (accelerometer: along the arm, across it)"
            )
        return self


class MarkWords(Record):
    """[marks]: the words that begin the texts of marks; `channel` carries 1 lift, 2 hold, 3 lower, 0 rest."""

    lift: Words = ("lift", "raise", "up", "concentric")
    hold: Words = ("hold", "top")
    lower: Words = ("lower", "down", "eccentric")
    repetition: Words = ("repetition", "rep")
    cut_off: Words = ("cut off",)
    channel: str | None = None


class Placed(Record):
    """What a reference and a trial share: a file or a part of it, and the sensor placement it was recorded with."""

    file: FileName
    start: Seconds | None = None
    stop: Seconds | None = None
    placement: Annotated[int, Field(ge=1, le=99)] = 1  # raise it when sensors were taken off and put on again

    @property
    def told(self) -> str:
        """The file as it is named; seconds that are told of it count from where the part begins."""
        return part_name(self.file, self.start)

    @model_validator(mode="after")
    def _forwards(self) -> "Placed":
        if self.start is not None and self.stop is not None and self.start >= self.stop:
            raise ValueError(f"start {self.start:g}, stop {self.stop:g}. Let start come before stop")
        return self


class Reference(Placed):
    """One [[reference]]: a maximal isometric trial of one test."""

    test: Key
    side: Side | None = None  # None: both arms, or all sensors


Repetition = Annotated[tuple[Seconds, ...], Field(min_length=2, max_length=3)]  # start, stop, turn
Count = Annotated[int, Field(ge=1, le=200)]
LISTED = {"remedy": "a count from 1 to 200, or a list [[start, stop, turn], ...] in seconds"}


class Trial(Placed):
    """One [[trial]]: a set of one exercise."""

    exercise: Key
    load: Annotated[float, Field(ge=0, le=1000)] | None = None
    load_unit: Literal["kg", "lb"] = "kg"
    repetitions: Annotated[Count | tuple[Repetition, ...] | None, Field(json_schema_extra=LISTED)] = None
    rir: Annotated[float, Field(ge=0, le=20)] | None = None
    tempo: Tempo | None = None
    order: Annotated[int, Field(ge=1, le=99)] | None = None
    side: Side | None = None
    split: Literal["motion", "marks", "envelope"] | None = None  # None: the first of these that is there
    motion: Motion | None = None
    motion_file: FileName | None = None
    lift: Literal["rising", "falling"] = "rising"  # falling in lifting: pull-downs and rows
    notes: str = ""

    @model_validator(mode="after")
    def _in_order(self) -> "Trial":
        if self.repetitions == ():
            raise ValueError("repetitions [] names none. List them, state how many, or leave it out")
        end = 0.0
        for start, stop, *turn in self.repetitions if isinstance(self.repetitions, tuple) else ():
            if not (end <= start < stop and all(start < second < stop for second in turn)):
                said = [start, stop, *turn]
                raise ValueError(f"repetition {said}. Write [start, stop, turn], after the one before it")
            end = stop
        return self


class Session(Record):
    """The whole of session.toml; `method` maps a setting's name to its value."""

    session: Card
    sensor: Annotated[tuple[Sensor, ...], Field(min_length=1)]
    motion: Motion | None = None
    marks: MarkWords = MarkWords()
    reference: tuple[Reference, ...] = ()
    trial: tuple[Trial, ...] = ()
    method: dict[str, bool | int | float | str] = Field(default_factory=dict)

    @property
    def labels(self) -> frozenset[str]:
        """The channels that are measured, or followed for motion or marks."""
        motions = [motion for motion in (self.motion, *(trial.motion for trial in self.trial)) if motion]
        channels = [label for motion in motions for label in motion.channels]
        return frozenset([*(sensor.channel for sensor in self.sensor), *channels, self.marks.channel or ""])


@dataclass(frozen=True)
class ReferenceTest:
    """One maximal isometric test; `alone` is per head the % of a person's own maximum that it reaches."""

    key: str
    name: str
    how: str
    alone: Mapping[str, int]
    caution: str


@cache
def tables() -> dict[str, Any]:
    """Return the whole of reference_tests.toml."""
    return tomllib.loads(files("planner.emg").joinpath("reference_tests.toml").read_text("utf-8"))


@cache
def read_tests() -> dict[str, ReferenceTest]:
    """Return the tests by key."""
    return {key: ReferenceTest(key=key, **table) for key, table in tables()["test"].items()}


@dataclass(frozen=True)
class ReadSession:
    """A session with its folder, the library whose names it uses, and the settings that its [method] changed."""

    folder: Path
    session: Session
    settings: MeasureSettings
    quality: QualitySettings
    library: Library

    @property
    def raw(self) -> bool:
        """Tell whether raw EMG was recorded; else ready envelopes."""
        return self.session.session.signal == "raw"

    @property
    def id(self) -> str:
        """The session's own id, else its date and folder."""
        card = self.session.session
        return card.id or f"{card.date.isoformat()}-{self.folder.resolve().name}"

    def used_settings(self) -> list[SettingRow]:
        """Return every setting with the value that is used."""
        return [*setting_rows(self.settings), *setting_rows(self.quality)]

    def changes(self) -> list[str]:
        """Return the settings that session.toml changed, as "name = value (default value)"."""
        usual = [*setting_rows(MeasureSettings()), *setting_rows(QualitySettings())]
        pairs = zip(self.used_settings(), usual, strict=True)
        return [f"{a.name} = {a.value} (default {b.value})" for a, b in pairs if a.value != b.value]


def read_session(folder: Path, library: Library) -> ReadSession:
    """Read FOLDER/session.toml. Raises FaultyInput with every fault of the file."""
    file = folder / NAME
    data = read_toml(file, "session.toml, which says what was recorded")
    session, faults = check_shape(Session, data, file)
    if session is not None:
        faults += [*_name_faults(file, session, library), *_twice_faults(file, session)]
    faults += method_faults(table(data, "method"), file, (MeasureSettings, QualitySettings))
    if faults or session is None:
        raise FaultyInput(faults)
    settings, quality = method_of(session, MeasureSettings), method_of(session, QualitySettings)
    return ReadSession(folder, session, settings, quality, library)


def _name_faults(file: Path, session: Session, library: Library) -> Iterator[Fault]:
    for number, sensor in enumerate(session.sensor):
        if not sensor.other and sensor.muscle not in library.heads:
            remedy = f"Use a head of the library{nearest(sensor.muscle, library.heads)}, or add other = true"
            yield Fault(file, place(("sensor", number, "muscle")), f'unknown head "{sensor.muscle}"', remedy)
    for number, trial in enumerate(session.trial):
        if trial.exercise not in library.exercises:
            where = place(("trial", number, "exercise"))
            yield unknown(file, where, "exercise", trial.exercise, library.exercises)
    for number, reference in enumerate(session.reference):
        if (test := reference.test) not in (known := read_tests()):
            remedy = f"Use one of {', '.join(known)}{nearest(test, known)}"
            yield Fault(file, place(("reference", number, "test")), f'unknown test "{test}"', remedy)


def _twice_faults(file: Path, session: Session) -> Iterator[Fault]:
    """Name what stands twice: a channel, a muscle of one side, a file without parts."""
    once = "Name each recording once, or state the start and stop of its parts"
    named: list[tuple[tuple[str | int, ...], object, str, str]] = []
    for n, sensor in enumerate(session.sensor):
        words, each = f'channel "{sensor.channel}"', "Name each channel once"
        named += [(("sensor", n, "channel"), sensor.channel, words, each)]
        named += [(("sensor", n), sensor.name, sensor.name, "One channel for a muscle and side")]
    for kind, parts in (("reference", session.reference), ("trial", session.trial)):
        for n, part in enumerate(parts):
            named += [((kind, n, "file"), (part.file, part.start, part.stop), f'"{part.file}"', once)]
    seen = set()
    for steps, key, words, remedy in named:
        if (remedy, key) in seen:  # the remedy tells one kind of thing from another
            yield Fault(file, place(steps), f"{words} is named twice", remedy)
        seen.add((remedy, key))
