"""Read brief.toml and gym.toml: every fault of a file at once. Neither file is ever written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field, RootModel

from library.errors import Fault, FaultyInput
from planner.athlete.brief import Brief
from planner.athlete.faults import check_shape
from planner.athlete.gym import Gym
from planner.athlete.method import method_faults
from planner.athlete.names import vocabularies
from planner.athlete.relations import BRIEF_RULES, GYM_RULES, Rule, gym_place, rooms_without_work, table
from planner.athlete.toml_text import Table, read_toml, refuse
from planner.method import OVERRIDABLE

if TYPE_CHECKING:
    from library.read import Library

BRIEF_FILE = "brief.toml"
GYM_FILE = "gym.toml"
BRIEF_IS = "the athlete's brief (demo_athlete/brief.toml shows one)"
GYM_IS = "the gyms' equipment and loads (demo_athlete/gym.toml shows them)"


GymKey = Annotated[str, Field(min_length=1, max_length=40)]


class Gyms(RootModel[dict[GymKey, Gym]]):
    """The whole of gym.toml."""


def read_brief(folder: Path, library: Library, records: Iterable[type[Any]] | None = None) -> Brief:
    """Read ATHLETE/brief.toml. `records`: settings that [method] may change; None: all that there are.

    Raises FaultyInput with every fault of the file.
    """
    file = folder / BRIEF_FILE
    data = read_toml(_in_folder(folder, file), BRIEF_IS)
    brief, faults = check_shape(Brief, data, file, vocabularies(library, _gym_names(folder)))
    faults += method_faults(table(data, "method"), file, OVERRIDABLE if records is None else records)
    faults = _with_rules(faults, BRIEF_RULES, data, file, library)
    if faults or not isinstance(brief, Brief):
        raise FaultyInput(faults)
    return brief


def read_gyms(folder: Path, library: Library) -> dict[str, Gym]:
    """Read ATHLETE/gym.toml; a gym with two pulleys has one too. Raises FaultyInput with every fault."""
    file = folder / GYM_FILE
    data = read_toml(_in_folder(folder, file), GYM_IS)
    gyms, faults = check_shape(Gyms, data, file, vocabularies(library), gym_place)
    faults = _with_rules(faults, GYM_RULES, data, file, library)
    if not data:
        faults.append(Fault(file, "", "no gym", 'Add one, such as [club] with equipment = ["dumbbells"]'))
    if faults or not isinstance(gyms, Gyms):
        raise FaultyInput(faults)
    return {name: gym.with_what_follows() for name, gym in sorted(gyms.root.items())}


def read_athlete(folder: Path, library: Library) -> tuple[Brief, dict[str, Gym]]:
    """Read both files; a gym that states no unit has the athlete's. Raises FaultyInput with every fault of both."""
    faults: list[Fault] = []
    brief, gyms = None, None
    try:
        brief = read_brief(folder, library)
    except FaultyInput as error:
        faults += error.faults
    try:
        gyms = read_gyms(folder, library)
    except FaultyInput as error:
        faults += [fault for fault in error.faults if fault not in faults]
    if brief is not None and gyms is not None:
        faults += rooms_without_work(brief, gyms, library, folder / BRIEF_FILE)
    if faults or brief is None or gyms is None:
        raise FaultyInput(faults)
    return brief, in_units(gyms, brief)


def in_units(gyms: Mapping[str, Gym], brief: Brief) -> dict[str, Gym]:
    """Give each gym the athlete's unit where gym.toml states none."""
    return {name: gym.in_unit_of(brief) for name, gym in gyms.items()}


def _with_rules(
    faults: list[Fault], rules: Iterable[Rule], data: Table, file: Path, library: Library
) -> list[Fault]:
    """Add what the rules find, save where the same place is told of already."""
    told = {fault.where for fault in faults}
    return faults + [
        fault for rule in rules for fault in rule(data, file, library) if fault.where not in told
    ]


def _gym_names(folder: Path) -> tuple[str, ...] | None:
    """Return the names of the gyms, or None where gym.toml cannot be read: its own reader says why."""
    try:
        data: Table = read_toml(folder / GYM_FILE, GYM_IS)
    except FaultyInput:
        return None
    return tuple(sorted(data))


def _in_folder(folder: Path, file: Path) -> Path:
    require_folder(folder)
    return file


def require_folder(folder: Path) -> None:
    """Raise FaultyInput if an athlete's folder is not there, or is no folder."""
    if not folder.exists():
        raise refuse(
            folder, "", "there is no such folder", "Name the athlete's folder, which holds brief.toml"
        )
    if not folder.is_dir():
        raise refuse(folder, "", "this is no folder", "Name the athlete's folder, which holds brief.toml")
