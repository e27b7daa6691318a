"""The TOML files of a library: first as they are written, then as checked records."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources.abc import Traversable
from typing import Any

from library.errors import Fault
from library.faults import shown, unknown
from library.schema import Equipment, Exercise, Family, Flag, Head, Implement, Region
from library.toml_files import read_records, read_toml


@dataclass(frozen=True)
class Tables:
    """What the TOML files of a library hold, each by key."""

    exercises: dict[str, Exercise]  # families in the order of families.toml, then in file order
    heads: dict[str, Head]
    equipment: dict[str, Equipment]
    implements: dict[str, Implement]
    families: dict[str, Family]
    regions: dict[str, Region]
    flags: dict[str, Flag]


@dataclass(frozen=True)
class Written:
    """The TOML tables as they stand in the files, before any check of their fields."""

    heads: dict[str, Any]
    families: dict[str, Any]
    equipment: dict[str, Any]
    implements: dict[str, Any]
    regions: dict[str, Any]
    flags: dict[str, Any]
    exercises: dict[
        str, dict[str, Any]
    ]  # by family, in the order of families.toml; {} where a file is broken


def read_toml_files(root: Traversable, faults: list[Fault]) -> Written:
    """Read every TOML file of a library folder; broken files become faults."""
    kinds = _sections(root / "equipment.toml", ("equipment", "implement"), faults)
    joints = _sections(root / "joints.toml", ("region", "flag"), faults)
    families = read_toml(root / "families.toml", faults)
    found = {file.name.removesuffix(".toml"): file for file in files_in(root / "exercises", ".toml")}
    for family, file in found.items():
        if families and family not in families:
            faults.append(unknown(str(file), "file name", "family", family, families))
    in_order = [
        *(name for name in families if name in found),
        *(name for name in found if name not in families),
    ]
    return Written(
        heads=read_toml(root / "heads.toml", faults),
        families=families,
        equipment=kinds["equipment"],
        implements=kinds["implement"],
        regions=joints["region"],
        flags=joints["flag"],
        exercises={name: read_toml(found[name], faults) for name in in_order},
    )


def _sections(file: Traversable, names: tuple[str, ...], faults: list[Fault]) -> dict[str, dict[str, Any]]:
    tables = read_toml(file, faults)
    for name, table in tables.items():
        if name not in names:
            faults.append(unknown(str(file), name, "section", name, names))
        elif not isinstance(table, dict):
            faults.append(Fault(str(file), name, f"read {shown(table)}", f"Write tables [{name}.KEY]"))
    return {name: table if isinstance(table := tables.get(name, {}), dict) else {} for name in names}


def check_exercises(
    folder: Traversable, written: Written, faults: list[Fault]
) -> tuple[dict[str, Exercise], dict[str, str]]:
    """Check the exercises of all families; returns them in library order and the file each stands in."""
    exercises: dict[str, Exercise] = {}
    places: dict[str, str] = {}
    for family, tables in written.exercises.items():
        file = folder / f"{family}.toml"
        for key, exercise in read_records(file, tables, Exercise, faults).items():
            if key in exercises:
                faults.append(Fault(str(file), key, f"stands in {places[key]} too", "Give it another key"))
            elif exercise.family != family:
                read = f'"{exercise.family}" in the file of family "{family}"'
                remedy = f"Write {family}, or move the exercise to {exercise.family}.toml"
                faults.append(Fault(str(file), f"{key}.family", read, remedy))
            exercises[key] = exercise
            places[key] = str(file)
    return exercises, places


def check_tables(
    root: Traversable, written: Written, exercises: dict[str, Exercise], faults: list[Fault]
) -> Tables:
    """Check the records of all other TOML files, and hold them together with the exercises."""
    equipment, joints = root / "equipment.toml", root / "joints.toml"
    families = read_records(root / "families.toml", written.families, Family, faults)
    return Tables(
        exercises={key: _trains_with_family(exercise, families) for key, exercise in exercises.items()},
        heads=read_records(root / "heads.toml", written.heads, Head, faults),
        equipment=read_records(equipment, written.equipment, Equipment, faults, "equipment"),
        implements=read_records(equipment, written.implements, Implement, faults, "implement"),
        families=families,
        regions=read_records(joints, written.regions, Region, faults, "region"),
        flags=read_records(joints, written.flags, Flag, faults, "flag"),
    )


def _trains_with_family(exercise: Exercise, families: dict[str, Family]) -> Exercise:
    family = families.get(exercise.family)
    head = exercise.trains or (family.trains if family else None)
    return exercise.model_copy(update={"trains": head})


def files_in(folder: Traversable, ending: str) -> list[Traversable]:
    """Return the files of a folder that end so, by name; none where there is no folder."""
    if not folder.is_dir():
        return []
    return sorted(
        (file for file in folder.iterdir() if file.name.endswith(ending)), key=lambda file: file.name
    )
