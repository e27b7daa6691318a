"""Reading a library folder: every file with all its faults at once, then every cross reference of what was read."""

import hashlib
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any, Generic, TypeVar

from pydantic import BeforeValidator, RootModel

from library import schema
from library.credit import PROFILES, Profile, ProfileLine, by_head, read_profiles
from library.errors import Fault, FaultyInput, place, unknown
from library.files import Model, attempt, check_shape, read_toml
from library.schema import EvidenceRow, Exercise, Ordering
from library.tables import read_rows

DIGEST_LENGTH = 12  # hexadecimal digits: enough to tell two states of a library apart
ORDERINGS = "orderings.csv"  # lies among the evidence, but holds no numbers


@dataclass(frozen=True)
class Library:
    """Everything that is known of exercises, each kind by key; no athlete."""

    exercises: dict[str, Exercise]  # families in the order of families.toml, then in file order
    heads: dict[str, schema.Head]
    equipment: dict[str, schema.Equipment]
    implements: dict[str, schema.Named]
    families: dict[str, schema.Family]
    regions: dict[str, schema.Region]
    flags: dict[str, schema.Flag]
    folder: str
    digest: str  # of all data files; goes into week.json, so that a plan names the library it was made with
    evidence: tuple[EvidenceRow, ...]
    profiles: dict[str, dict[str, Profile]]  # head, then exercise
    poses: schema.Poses = field(default_factory=schema.Poses)


def _with_keys(tables: Any) -> Any:
    """Give each table of a file its name as key."""
    of = tables.items() if isinstance(tables, dict) else ()
    return {key: {"key": key, **table} if isinstance(table, dict) else table for key, table in of} or tables


KEYED = BeforeValidator(_with_keys)
Entry = TypeVar("Entry", bound=schema.Record)


class Tables(RootModel[Annotated[dict[str, Entry], KEYED]], Generic[Entry]):
    """A file of one kind of tables: `[key] field = …`."""


class Room(schema.Record):
    """equipment.toml."""

    equipment: Annotated[dict[str, schema.Equipment], KEYED]
    implement: Annotated[dict[str, schema.Named], KEYED]


class Joints(schema.Record):
    """joints.toml."""

    region: Annotated[dict[str, schema.Region], KEYED]
    flag: Annotated[dict[str, schema.Flag], KEYED]


_Names = Mapping[str, Collection[str]]  # kind of name ("exercise", "joint region" …) -> the names
_Reference = tuple[str, str, str, str | None]  # file, place in it, kind of name, name
_Lines = list[tuple[Path, str, EvidenceRow]]  # file, place in it, row


def shipped_folder() -> Path:
    """Return the folder of the library that is installed with this package."""
    return Path(str(files("library")))


def read_library(folder: Path | None = None, *, profiles_needed: bool = True) -> Library:
    """Read a library folder (None: the shipped one), profiles.csv if needed, and check it. Raises FaultyInput with all
    faults of all files, and once these hold by themselves, of what they say of each other."""
    root = shipped_folder() if folder is None else folder
    if not root.is_dir():
        raise FaultyInput([Fault(str(root), "", "is no folder", "Name a folder that holds a library")])
    faults: list[Fault] = []
    heads = _read(root / "heads.toml", Tables[schema.Head], faults)
    families = _read(root / "families.toml", Tables[schema.Family], faults)
    room, joints = _read(root / "equipment.toml", Room, faults), _read(root / "joints.toml", Joints, faults)
    authored = files_in(root / "exercises", ".toml")
    by_family = {file: _read(file, Tables[Exercise], faults) for file in authored}
    rows: _Lines = []
    for file in (file for file in files_in(root / "evidence", ".csv") if file.name != ORDERINGS):
        rows += [(file, *line) for line in read_rows(file, EvidenceRow, "rows of evidence", faults)]
    lines = read_profiles(root, faults) if profiles_needed else []
    poses = read_poses(root / "poses.toml", faults)
    if faults or not (heads and families and room and joints):
        raise FaultyInput(faults)
    exercises, places = _in_order(by_family, families.root, faults)
    library = Library(
        exercises=exercises, heads=heads.root, equipment=room.equipment, implements=room.implement,
        families=families.root, regions=joints.region, flags=joints.flag, folder=str(root), digest=_digest(root),
        evidence=tuple(row for _, _, row in rows), profiles=by_head(lines), poses=poses,
    )  # fmt: skip
    trained = [key for key, head in library.heads.items() if head.role == "trained"]
    names: _Names = {
        "exercise": exercises, "head": library.heads, "trained head": trained, "family": library.families,
        "equipment": library.equipment, "implement": library.implements, "joint region": library.regions,
        "evidence row": {row.id for row in library.evidence},
    }  # fmt: skip
    faults += _unknown(_references(library, places), names)
    faults += [*_load_faults(library, places), *_row_faults(rows, ("exercise", "against"), names)]
    faults += _profile_faults(str(root / PROFILES), lines, names)
    if faults:
        raise FaultyInput(faults)
    return library


def _read(file: Path, model: type[Model], faults: list[Fault]) -> Model | None:
    tables = attempt(lambda: read_toml(file, "a table of the library"), faults)
    read, wrong = (None, []) if tables is None else check_shape(model, tables, file)
    faults += wrong
    return read


def read_orderings(folder: Path, library: Library) -> tuple[Ordering, ...]:
    """Read evidence/orderings.csv of a library folder (no file: none). Raises FaultyInput with all faults."""
    file = folder / "evidence" / ORDERINGS
    faults: list[Fault] = []
    rows = read_rows(file, Ordering, "orders that papers report", faults) if file.is_file() else []
    names: _Names = {"exercise": library.exercises, "head": library.heads}
    faults += _row_faults([(file, *line) for line in rows], ("greater", "lesser"), names)
    if faults:
        raise FaultyInput(faults)
    return tuple(row for _, row in rows)


def read_poses(file: Path, faults: list[Fault]) -> schema.Poses:
    """Read how exercises are drawn; without the file nothing is drawn."""
    return (_read(file, schema.Poses, faults) if file.is_file() else None) or schema.Poses()


def _in_order(
    by_family: Mapping[Path, Tables[Exercise] | None],
    families: Mapping[str, schema.Family],
    faults: list[Fault],
) -> tuple[dict[str, Exercise], dict[str, str]]:
    """Give the exercises in the order of families.toml, and the file each stands in. Each has the head of its family
    unless it names its own."""
    exercises: dict[str, Exercise] = {}
    places: dict[str, str] = {}
    of_family = {file.stem: (str(file), read.root) for file, read in by_family.items() if read}
    for family in dict.fromkeys([*(name for name in families if name in of_family), *of_family]):
        file, known = of_family[family]
        if family not in families:
            faults.append(unknown(file, "file name", "family", family, families))
        for key, exercise in known.items():
            if key in exercises:
                faults.append(Fault(file, key, f"stands in {places[key]} too", "Give it another key"))
            elif exercise.family != family:
                read = f'"{exercise.family}" in the file of family "{family}"'
                remedy = f"Write {family}, or move the exercise to {exercise.family}.toml"
                faults.append(Fault(file, f"{key}.family", read, remedy))
            trains = exercise.trains or (families[family].trains if family in families else None)
            exercises[key], places[key] = exercise.model_copy(update={"trains": trains}), file
    return exercises, places


def _row_faults(
    rows: Iterable[tuple[Path, str, EvidenceRow | Ordering]], columns: tuple[str, ...], names: _Names
) -> Iterator[Fault]:
    """Yield a fault for each row that names an unknown exercise (in `columns`) or head, or an id used before."""
    seen, kinds = set(), [*((column, "exercise") for column in columns), ("head", "head")]
    for file, line, row in rows:
        words = [
            (str(file), f"{line}, column {column}", kind, getattr(row, column)) for column, kind in kinds
        ]
        yield from _unknown(words, names)
        if row.id in seen:
            remedy = "Give each row an id of its own"
            yield Fault(str(file), f"{line}, column id", f'"{row.id}" stands twice', remedy)
        seen.add(row.id)


def _unknown(references: Iterable[_Reference], names: _Names) -> Iterator[Fault]:
    for file, where, kind, word in references:
        if word is not None and word not in names[kind]:
            yield unknown(file, where, kind, word, names[kind])


def _references(library: Library, places: Mapping[str, str]) -> Iterator[_Reference]:
    """Yield every name in a record that must stand in another file; `places`: the file of each exercise."""
    for key, exercise in library.exercises.items():
        file, family = places[key], library.families.get(exercise.family)
        yield file, f"{key}.implement", "implement", exercise.implement
        yield file, f"{key}.load_from", "equipment", exercise.load_from
        if family and exercise.trains != family.trains:
            yield file, f"{key}.trains", "trained head", exercise.trains
        for number, need in enumerate(exercise.needs):
            yield file, place((key, "needs", number)), "equipment", need
        for region in exercise.stress:
            yield file, f"{key}.stress.{region}", "joint region", region
    for family in library.families.values():
        yield f"{library.folder}/families.toml", f"{family.key}.trains", "trained head", family.trains
        for word in family.kin:
            yield f"{library.folder}/families.toml", f"{family.key}.kin", "family", word
    for head in library.heads.values():
        yield f"{library.folder}/heads.toml", f"{head.key}.anchor", "exercise", head.anchor
    for flag in library.flags.values():
        for region in flag.regions:
            where = f"flag.{flag.key}.regions.{region}"
            yield f"{library.folder}/joints.toml", where, "joint region", region


def _load_faults(library: Library, places: Mapping[str, str]) -> Iterator[Fault]:
    for key, exercise in library.exercises.items():
        word, where = exercise.load_from or "", f"{key}.load_from"
        if word in library.equipment and not library.equipment[word].has_loads:
            yield Fault(places[key], where, f'"{word}" has no loads', "Name equipment with has_loads = true")
        elif word in library.equipment and word not in schema.with_included(exercise.needs):
            remedy = "Add it to needs, or name one of them"
            yield Fault(places[key], where, f'"{word}" is not among the needs', remedy)


def _profile_faults(file: str, lines: list[tuple[str, ProfileLine]], names: _Names) -> Iterator[Fault]:
    remedy = "The file is older than the rest of the library: run `planner pool`"
    for where, line in lines:
        rows = (("evidence row", word) for word in line.rows)
        for kind, word in (("exercise", line.exercise), ("head", line.head), *rows):
            if word not in names[kind]:
                yield Fault(file, where, f'unknown {kind} "{word}"', remedy)


def _digest(root: Path) -> str:
    data = [*files_in(root, ".toml"), *files_in(root, ".csv")]
    data += [*files_in(root / "exercises", ".toml"), *files_in(root / "evidence", ".csv")]
    whole = hashlib.sha256()
    for file in data:
        content = file.read_bytes()
        whole.update(f"{file.name}\0{len(content)}\0".encode())
        whole.update(content)
    return whole.hexdigest()[:DIGEST_LENGTH]


def files_in(folder: Path, ending: str) -> list[Path]:
    """Return the files of a folder that end so, by name; none where there is no folder."""
    return sorted(folder.glob(f"*{ending}"), key=lambda file: file.name)
