"""Read brief.toml and gym.toml: every fault of a file at once. Neither file is ever written. What several keys must
hold together is one rule, one function: each reads the file as it stands, besides the models, and passes over
whatever has not the expected shape. So a wrong number in one session does not hide that two sessions share a day."""

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, RootModel, Strict, create_model

from library.errors import Fault, FaultyInput, as_written, listed, place, refuse
from library.files import Steps, Table, attempt, check_shape, first_of, read_toml
from library.method import FOLDER, SettingRow, Settings
from library.method import method as defaults
from library.read import Library
from library.schema import HIGHEST_GRADE
from planner.athlete.brief import DAYS, Brief
from planner.athlete.gym import Gym
from planner.athlete.names import plain_word, vocabularies
from planner.method import OVERRIDABLE

BRIEF_FILE = "brief.toml"
GYM_FILE = "gym.toml"
BRIEF_IS = "the athlete's brief (demo_athlete/brief.toml shows one)"
GYM_IS = "the gyms' equipment and loads (demo_athlete/gym.toml shows them)"
GymKey = Annotated[str, Field(min_length=1, max_length=40)]
Rooms = Mapping[str, Gym]
Rule = Callable[[Table, Path, "Library"], Iterator[Fault]]


class Gyms(RootModel[dict[GymKey, Gym]]):
    """The whole of gym.toml."""


def read_brief(folder: Path, library: Library) -> Brief:
    """Read ATHLETE/brief.toml. Raises FaultyInput with every fault of the file."""
    require_folder(folder)
    file = folder / BRIEF_FILE
    data = read_toml(file, BRIEF_IS)
    # its own reader says what is wrong
    gyms = attempt(lambda: sorted(read_toml(folder / GYM_FILE, GYM_IS)), [])
    brief, faults = check_shape(Brief, data, file, vocabularies(library, gyms))
    faults += method_faults(table(data, "method"), file, OVERRIDABLE)
    faults += _broken_rules(BRIEF_RULES, data, file, library, faults)
    if faults or not isinstance(brief, Brief):
        raise FaultyInput(faults)
    return brief


def read_gyms(folder: Path, library: Library) -> dict[str, Gym]:
    """Read ATHLETE/gym.toml; a gym with two pulleys has one too. Raises FaultyInput with every fault."""
    require_folder(folder)
    file = folder / GYM_FILE
    data = read_toml(file, GYM_IS)
    gyms, faults = check_shape(Gyms, data, file, vocabularies(library), gym_place)
    faults += _broken_rules(GYM_RULES, data, file, library, faults)
    if not data:
        faults.append(Fault(file, "", "no gym", 'Add one, such as [club] with equipment = ["dumbbells"]'))
    if faults or not isinstance(gyms, Gyms):
        raise FaultyInput(faults)
    return {name: gym.with_what_follows() for name, gym in sorted(gyms.root.items())}


def read_athlete(folder: Path, library: Library) -> tuple[Brief, dict[str, Gym]]:
    """Read both files; a gym that states no unit has the athlete's. Raises FaultyInput with every fault of both."""
    faults: list[Fault] = []
    brief = attempt(lambda: read_brief(folder, library), faults)
    gyms = attempt(lambda: read_gyms(folder, library), faults)
    if brief is not None and gyms is not None:
        faults += rooms_without_work(brief, gyms, library, folder / BRIEF_FILE)
    if faults or brief is None or gyms is None:
        raise FaultyInput(dict.fromkeys(faults))  # a missing folder is told once
    return brief, in_units(gyms, brief)


def in_units(gyms: Rooms, brief: Brief) -> dict[str, Gym]:
    """Give each gym the athlete's unit where gym.toml states none."""
    own = {"unit": brief.athlete.unit}
    stated = {name: "unit" in gym.model_fields_set for name, gym in gyms.items()}
    return {name: gym if stated[name] else gym.model_copy(update=own) for name, gym in gyms.items()}


def require_folder(folder: Path) -> None:
    """Raise FaultyInput if an athlete's folder is not there, or is no folder."""
    if not folder.is_dir():
        read = "this is no folder" if folder.exists() else "there is no such folder"
        raise refuse(folder, "", read, "Name the athlete's folder, which holds brief.toml")


def _broken_rules(
    rules: Iterable[Rule], data: Table, file: Path, library: Library, faults: Iterable[Fault]
) -> list[Fault]:
    """Give what the rules find, save where the same place is told of already."""
    places = {fault.where for fault in faults}
    found = (fault for rule in rules for fault in rule(data, file, library))
    return first_of([fault for fault in found if fault.where not in places], file)


# --- [method]: a default's name and the value that the coach sets instead; the settings records decide what may be named

AnySettings = TypeVar("AnySettings", bound=Settings)
Records = tuple[type[Settings], ...]
GRADE = f"grade 0-{HIGHEST_GRADE}"  # as settings write their unit


def method_of(stated: Any, record: type[AnySettings]) -> AnySettings:
    """Build a settings record with what the [method] of a brief, or of a session of recordings, says of it."""
    values = {name: row.value for name, row in defaults()[record.table].items() if name in stated.method}
    said = {name: stated.method[name] for name in values}
    return record(
        **{name: float(said[name]) if isinstance(of, float) else said[name] for name, of in values.items()}
    )


def method_faults(method: Table, file: Path, records: Records) -> list[Fault]:
    """Check [method] against the records that may be changed: names, types and ranges."""
    if not method:
        return []  # nothing is set: the model of all settings, which costs more than the whole brief, is not made
    model, wrong = check_shape(_model(records), method, file, show=lambda steps: place(("method", *steps)))
    for record in records if model is not None else ():
        named = {name: method[name] for name in defaults()[record.table] if name in method}
        try:
            record(**named)
        except ValueError as error:  # values that do not go together
            shown = ", ".join(f"{name} = {as_written(value)}" for name, value in named.items())
            wrong.append(Fault(file, "method", shown, str(error)))
    return wrong


@cache
def _model(records: Records) -> type[BaseModel]:
    """Make a model whose optional keys are the settings of all records, each with its type and range."""
    rows = (row for record in records for row in defaults()[record.table].values())
    keys: dict[str, Any] = {row.name: (_typed(row), None) for row in rows}
    return create_model("Method", __config__=ConfigDict(extra="forbid", allow_inf_nan=False), **keys)


def _typed(row: SettingRow) -> Any:
    kind = type(row.value)
    if row.choices or kind in (str, bool):
        return Literal[row.choices] if row.choices else Annotated[kind, Strict()]
    believed = FOLDER.method_times_most * (row.value or 1)
    most = 1 if row.unit.startswith("share") else HIGHEST_GRADE if row.unit == GRADE else believed
    return Annotated[kind, Strict(), Field(ge=0, le=most, description=row.unit or None)]


# --- what several keys must hold together

DOSES = ("floor", "target", "ceiling")  # in the order they must have


def table(data: Any, *keys: str) -> Table:
    """Return the table at `keys`, or an empty one."""
    for key in keys:
        data = data.get(key) if isinstance(data, dict) else None
    return data if isinstance(data, dict) else {}


def words(data: Any, *keys: str) -> list[str]:
    """Return the texts of the list at `keys`."""
    found = table(data, *keys[:-1]).get(keys[-1])
    return [word for word in found if isinstance(word, str)] if isinstance(found, list) else []


def _days(data: Table) -> list[tuple[int, str]]:
    sessions = data.get("session")
    rows = enumerate(sessions) if isinstance(sessions, list) else ()
    return [(i, row["day"]) for i, row in rows if isinstance(row, dict) and row.get("day") in DAYS]


def one_session_a_day(data: Table, file: Path, _: Library) -> Iterator[Fault]:
    """Two sessions never share a day: a session is known by its day."""
    seen: set[str] = set()
    for number, day in _days(data):
        if day in seen:
            remedy = "Keep one session a day: join or move the other"
            yield Fault(file, place(("session", number, "day")), f"two sessions on {day}", remedy)
        seen.add(day)


def pins_on_training_days(data: Table, file: Path, _: Library) -> Iterator[Fault]:
    """A pin names a day that has a session, and on which the exercise may be."""
    days = [day for _, day in _days(data)]
    pins = {
        key: of if isinstance(of, list) else [of] for key, of in table(data, "preferences", "pin").items()
    }
    every = [(key, table(pin).get("day")) for key, several in pins.items() for pin in several]
    for number, (key, day) in enumerate(every):
        if (key, day) in every[:number]:
            remedy = "Keep one: it says all sets of that day"
            yield Fault(file, place(("preferences", "pin", key)), f"two pins on {day}", remedy)
        if day in words(data, "preferences", "not_on", key):
            remedy = f"`not_on` keeps it off {day}. Take the day out there or the pin out here"
            yield Fault(file, place(("preferences", "pin", key, "day")), as_written(day), remedy)
        if days and day in DAYS and day not in days:
            remedy = f"No session is on {day}. Pin it to one of {', '.join(days)}"
            yield Fault(file, place(("preferences", "pin", key, "day")), as_written(day), remedy)


def wanted_or_excluded(data: Table, file: Path, library: Library) -> Iterator[Fault]:
    """What is pinned, preferred, asked for as a family or the only thing held is not excluded, nor outside `only`."""
    excluded, only = ({*map(plain_word, words(data, "preferences", key))} for key in ("exclude", "only"))
    groups = excluded - set(library.exercises)  # a name that is an exercise's means that exercise alone
    places = (("preferences", "prefer"), ("preferences", "only"), ("variety", "families"))
    wanted = {("preferences", "pin"): [*table(data, "preferences", "pin")]}
    wanted |= {steps: words(data, *steps) for steps in places}
    for steps, names in wanted.items():
        for name in dict.fromkeys(names):
            exercise = library.exercises.get(plain_word(name)) if steps[1] in ("pin", "prefer") else None
            kinds = (exercise.family, exercise.implement) if exercise else ()
            of = [kind for kind in kinds if kind in groups]
            read = as_written(name) + "".join(f", of {as_written(group)}" for group in of[:1])
            if plain_word(name) in excluded or of:
                remedy = "It is excluded too. Take it out of `exclude` or from here"
                yield Fault(file, place(steps), read, remedy)
            elif exercise and only and exercise.implement not in only:
                read = f"{as_written(name)} is held as {as_written(exercise.implement)}"
                yield Fault(file, place(steps), read, "`only` does not list that. Add it or take this out")


def weeks_in_one_list(data: Table, file: Path, _: Library) -> Iterator[Fault]:
    """A week away is not a lighter week too."""
    away = words(data, "block", "away")
    for week in dict.fromkeys(words(data, "block", "lighter")):
        if week in away:
            remedy = "It is a week away too. Take it out of one list"
            yield Fault(file, "block.lighter", as_written(week), remedy)


def doses_in_order(data: Table, file: Path, _: Library) -> Iterator[Fault]:
    """floor ≤ target ≤ ceiling, for those of the three that a head names."""
    for head, asked in table(data, "target").items():
        numbers = [(key, value) for key in DOSES if (value := _number(table(asked).get(key))) is not None]
        for (low, lower), (high, higher) in itertools.pairwise(numbers):
            if lower > higher and not (high == "target" and higher == 0):  # target 0: not trained
                read = f"{low} = {as_written(lower)}, {high} = {as_written(higher)}"
                remedy = f"Write a {low} that does not exceed the {high}"
                yield Fault(file, place(("target", head)), read, remedy)


def _number(value: Any) -> int | float | None:
    usable = isinstance(value, int | float) and not isinstance(value, bool) and not math.isnan(value)
    return value if usable else None


def only_of_what_is_there(data: Table, file: Path, _: Library) -> Iterator[Fault]:
    """gym.toml lists loads, and counts stations, only of equipment that the gym has."""
    for gym in data:
        has = words(data, gym, "equipment")
        for name, what in (("loads", "its loads"), ("stations", "it")):
            for key in table(data, gym, name):
                if key not in has:
                    remedy = f"Add {as_written(key)} to the gym's equipment or leave {what} out"
                    yield Fault(file, gym_place((gym, name, key)), as_written(key), remedy)


def gym_place(steps: Steps) -> str:
    """Return a place of gym.toml as the coach sees it: gym `club`.loads.dumbbells."""
    if not steps:
        return ""
    below = place(steps[1:])
    return f"gym `{place(steps[:1])}`" + (f".{below}" if below else "")


def rooms_without_work(brief: Brief, gyms: Rooms, library: Library, file: Path) -> Iterator[Fault]:
    """`only` and `exclude` leave something to do in each room that a session is held in."""
    asked = brief.preferences
    excluded = asked.excluded(library)
    planned = [exercise for exercise in library.exercises.values() if not exercise.compare_only]
    for name in dict.fromkeys(session.gym for session in brief.session):
        room = set(gyms[name].equipment)
        fits = {exercise.key: exercise.implement for exercise in planned if set(exercise.needs) <= room}
        left = (of for key, of in fits.items() if key not in excluded)
        if (asked.only or asked.exclude) and not any(not asked.only or of in asked.only for of in left):
            where = "preferences.only" if asked.only else "preferences.exclude"
            read = f"this leaves nothing to train in {as_written(name)}"
            remedy = f"What can be held there is {listed(sorted(set(fits.values())))}: "
            remedy += "allow one of them, or add to the equipment in gym.toml"
            yield Fault(file, where, read, remedy)


BRIEF_RULES: tuple[Rule, ...] = (one_session_a_day, pins_on_training_days, wanted_or_excluded)
BRIEF_RULES += (weeks_in_one_list, doses_in_order)
GYM_RULES: tuple[Rule, ...] = (only_of_what_is_there,)
