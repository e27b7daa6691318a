"""Reading a library folder: every file, every cross reference, all faults at once."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from importlib.resources import files
from pathlib import Path
from typing import Any

from library import schema
from library.credit import PROFILES, Profile, ProfileLine, by_head, read_profiles
from library.errors import Fault, FaultyInput, as_written, place, unknown
from library.files import Model, Show, Steps, Table, attempt, check_shape, read_toml
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


# kind of name ("exercise", "joint region" …) -> the names as written, also of records with faults of
# their own; None where a file cannot be read: then nothing is said about names of that kind
_Names = Mapping[str, frozenset[str] | None]
_Reference = tuple[str, str, str, str | None]  # file, place in it, kind of name, name
_Tables = dict[str, dict[str, Any]]  # kind or family -> key -> table, as written; {} where a file is broken


def shipped_folder() -> Path:
    """Return the folder of the library that is installed with this package."""
    return Path(str(files("library")))


def read_library(folder: Path | None = None, *, profiles_needed: bool = True) -> Library:
    """Read a library folder (None: the shipped one), profiles.csv if needed, and check it. Raises FaultyInput with all faults."""
    root = shipped_folder() if folder is None else folder
    if not root.is_dir():
        raise FaultyInput([Fault(str(root), "", "is no folder", "Name a folder that holds a library")])
    faults: list[Fault] = []
    tables, families_of = _read_tables(root, faults)
    names = _names_of(tables, families_of, sure=not faults)
    exercises, places = _read_exercises(root / "exercises", families_of, faults)
    rows, ids = _read_evidence(root, names, faults)
    lines = read_profiles(root, faults) if profiles_needed else []
    equipment, joints = root / "equipment.toml", root / "joints.toml"
    families = read_records(root / "families.toml", tables["family"], schema.Family, faults)
    for key, exercise in exercises.items():  # each has the head of its family unless it names its own
        if not exercise.trains and exercise.family in families:
            trains = families[exercise.family].trains
            exercises[key] = exercise.model_copy(update={"trains": trains})
    library = Library(
        exercises=exercises, heads=read_records(root / "heads.toml", tables["head"], schema.Head, faults),
        equipment=read_records(equipment, tables["equipment"], schema.Equipment, faults, ("equipment",)),
        implements=read_records(equipment, tables["implement"], schema.Named, faults, ("implement",)),
        families=families, regions=read_records(joints, tables["region"], schema.Region, faults, ("region",)),
        flags=read_records(joints, tables["flag"], schema.Flag, faults, ("flag",)),
        folder=str(root), digest="", evidence=tuple(rows), profiles=by_head(lines),
        poses=read_poses(root / "poses.toml", faults),
    )  # fmt: skip
    faults += _unknown(_references(library, places), names)
    faults += _load_faults(library, places)
    faults += _profile_faults(str(root / PROFILES), lines, {**names, "evidence row": ids})
    if faults:
        raise FaultyInput(faults)
    return replace(library, digest=_digest(root))


def read_records(
    file: Path, tables: Mapping[str, Any], record: type[Model], faults: list[Fault], prefix: Steps = ()
) -> dict[str, Model]:
    """Read `[key] field = …` tables as records of one kind, in file order; wrong ones become faults."""
    records: dict[str, Model] = {}
    for key, table in tables.items():
        steps = (*prefix, key)
        if not isinstance(table, dict):
            remedy = f"Write a table [{place(steps)}]"
            faults.append(Fault(file, place(steps), as_written(table), remedy))
        elif "key" in table:
            remedy = "The table's name is the key: remove it"
            faults.append(Fault(file, place((*steps, "key")), "is written twice", remedy))
        else:
            shown: Show = lambda below, above=steps: place((*above, *below))  # type: ignore[misc]  # noqa: E731
            known, wrong = check_shape(record, {**table, "key": key}, file, show=shown)
            faults += wrong
            records |= {key: known} if known else {}
    return records


def read_orderings(folder: Path, library: Library) -> tuple[Ordering, ...]:
    """Read evidence/orderings.csv of a library folder (no file: none). Raises FaultyInput with all faults."""
    file = folder / "evidence" / ORDERINGS
    faults: list[Fault] = []
    rows = read_rows(file, Ordering, "orders that papers report", faults) if file.is_file() else []
    names = {"exercise": frozenset(library.exercises), "head": frozenset(library.heads)}
    faults += _row_faults(str(file), rows, ("greater", "lesser"), names)
    if faults:
        raise FaultyInput(faults)
    return tuple(row for _, row in rows)


def read_poses(file: Path, faults: list[Fault]) -> schema.Poses:
    """Read how exercises are drawn; without the file nothing is drawn."""
    poses, wrong = check_shape(schema.Poses, _toml(file, faults) if file.is_file() else {}, file)
    faults += wrong
    return poses or schema.Poses()


def _toml(file: Path, faults: list[Fault]) -> Table:
    return attempt(lambda: read_toml(file, "a table of the library"), faults) or {}


def _read_tables(root: Path, faults: list[Fault]) -> tuple[_Tables, _Tables]:
    """Read every TOML file of a library folder: tables by kind, exercises by family in families.toml's order."""
    tables: _Tables = {"head": _toml(root / "heads.toml", faults)}
    families = tables["family"] = _toml(root / "families.toml", faults)
    for name, kinds in (("equipment.toml", ("equipment", "implement")), ("joints.toml", ("region", "flag"))):
        file, tables = root / name, tables | {kind: {} for kind in kinds}
        for kind, table in _toml(file, faults).items():
            if kind not in kinds:
                faults.append(unknown(str(file), kind, "section", kind, kinds))
            elif not isinstance(table, dict):
                faults.append(Fault(str(file), kind, as_written(table), f"Write tables [{kind}.KEY]"))
            else:
                tables[kind] = table
    by_family = {file.name.removesuffix(".toml"): file for file in files_in(root / "exercises", ".toml")}
    for family in (family for family in by_family if families and family not in families):
        faults.append(unknown(str(by_family[family]), "file name", "family", family, families))
    in_order = dict.fromkeys([*(name for name in families if name in by_family), *by_family])
    return tables, {name: _toml(by_family[name], faults) for name in in_order}


def _read_exercises(
    folder: Path, families: _Tables, faults: list[Fault]
) -> tuple[dict[str, Exercise], dict[str, str]]:
    """Check the exercises of all families; returns them in library order and the file each stands in."""
    exercises: dict[str, Exercise] = {}
    places: dict[str, str] = {}
    for family, tables in families.items():
        file = str(folder / f"{family}.toml")
        for key, exercise in read_records(folder / f"{family}.toml", tables, Exercise, faults).items():
            if key in exercises:
                faults.append(Fault(file, key, f"stands in {places[key]} too", "Give it another key"))
            elif exercise.family != family:
                read = f'"{exercise.family}" in the file of family "{family}"'
                remedy = f"Write {family}, or move the exercise to {exercise.family}.toml"
                faults.append(Fault(file, f"{key}.family", read, remedy))
            exercises[key], places[key] = exercise, file
    return exercises, places


def _read_evidence(
    root: Path, names: _Names, faults: list[Fault]
) -> tuple[list[EvidenceRow], frozenset[str] | None]:
    """Return all evidence rows and their ids; None for these where a file has faults: then none is unknown."""
    rows: list[EvidenceRow] = []
    before = len(faults)
    for file in (file for file in files_in(root / "evidence", ".csv") if file.name != ORDERINGS):
        of_file, used = read_rows(file, EvidenceRow, "rows of evidence", faults), {row.id for row in rows}
        faults += _row_faults(str(file), of_file, ("exercise", "against"), names, used)
        rows += [row for _, row in of_file]
    return rows, frozenset(row.id for row in rows) if len(faults) == before else None


def _row_faults(
    file: str, rows: Iterable[tuple[str, EvidenceRow | Ordering]], columns: tuple[str, ...], names: _Names,
    used: Iterable[str] = (),
) -> Iterator[Fault]:  # fmt: skip
    """Yield a fault for each row that names an unknown exercise (in `columns`) or head, or an id used before."""
    seen, kinds = set(used), [*((column, "exercise") for column in columns), ("head", "head")]
    for line, row in rows:
        words = [(file, f"{line}, column {column}", kind, getattr(row, column)) for column, kind in kinds]
        yield from _unknown(words, names)
        if row.id in seen:
            remedy = "Give each row an id of its own"
            yield Fault(file, f"{line}, column id", f'"{row.id}" stands twice', remedy)
        seen.add(row.id)


def _names_of(tables: _Tables, families: _Tables, *, sure: bool) -> _Names:
    """Collect the names that the TOML files give, by kind; `sure`: each could be read, so that no names are none."""
    exercises, heads = [key for of_family in families.values() for key in of_family], tables["head"]
    trained = [key for key, head in heads.items() if isinstance(head, dict) and head.get("role") == "trained"]
    names = {kind: list(tables[kind]) for kind in ("family", "head", "equipment", "implement")}
    names |= {"exercise": exercises if sure or all(families.values()) else []}
    names |= {"trained head": trained, "joint region": list(tables["region"])}
    return {kind: frozenset(of_kind) if sure or of_kind else None for kind, of_kind in names.items()}


def _unknown(references: Iterable[_Reference], names: _Names) -> Iterator[Fault]:
    for file, where, kind, word in references:
        known = names[kind]
        if word is not None and known is not None and word not in known:
            yield unknown(file, where, kind, word, known)


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
            if (known := names[kind]) is not None and word not in known:
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
