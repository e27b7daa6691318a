"""The form of a brief: its fields (fields.toml), filled from a file, and a form's answers put back into the file."""

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from itertools import product
from typing import Any, get_args

from library.read import Library
from planner.athlete.brief import DAYS, Card, Status
from planner.athlete.reading import DOSES
from planner.desk.toml_edit import Path, date_of, loads_of, loads_text, number_of, put, put_rows, value_at
from planner.method import AthleteSettings

SPARE_ROWS = 3  # empty lines below what is there: sets elsewhere, pins
Entry = Mapping[str, Any]  # of fields.toml
Answers = Mapping[str, Sequence[str]]  # a form: name of a field, what was written or ticked


@dataclass(frozen=True)
class Field:
    """One field of the form; `default` says what holds where it is left empty."""

    path: str
    label: str
    kind: str
    default: str = ""
    help: str = ""
    choices: tuple[tuple[str, str], ...] = ()

    @property
    def steps(self) -> Path:
        """Where its value stands in the file."""
        return tuple(self.path.split("."))


@dataclass(frozen=True)
class Group:
    """Fields that belong together."""

    title: str
    help: str
    fold: bool
    fields: tuple[Field, ...]

    def filled(self, *named: Mapping[str, Sequence[str]]) -> bool:
        """Say whether one of these answers or faults concerns a field of this group."""
        return any(any(of.get(field.path) or ()) for of in named for field in self.fields)


def groups(library: Library, data: Any) -> list[Group]:
    """Give the form's groups for a brief; default targets are those of the athlete's status."""
    status = value_at(data, ("athlete", "training_status"))
    status = status if status in get_args(Status) else Card.model_fields["training_status"].default
    words = dict(zip(DOSES, (f"{dose:g}" for dose in AthleteSettings().doses(status)), strict=True))
    text = files("planner.desk").joinpath("fields.toml").read_text(encoding="utf-8")
    every = ((of, tuple(_fields(of["field"], library, words))) for of in tomllib.loads(text)["group"])
    return [Group(of["title"], of.get("help", ""), "fold" in of, fields) for of, fields in every]


def _fields(entries: Sequence[Entry], library: Library, words: Mapping[str, str]) -> Iterator[Field]:
    """Give the fields of a group; what stands for every record of a table comes first, record by record."""
    tables = dict.fromkeys(entry["each"] for entry in entries if "each" in entry)
    for table in tables:
        for key, record in getattr(library, table).items():
            if getattr(record, "role", "trained") == "trained":
                said = {**words, "key": key, "name": record.name.capitalize()}
                yield from (_field(entry, library, said) for entry in entries if entry.get("each") == table)
    yield from (_field(entry, library, words) for entry in entries if "each" not in entry)


def _field(entry: Entry, library: Library, words: Mapping[str, str]) -> Field:
    path, label, default = (str(entry[name]).format(**words) for name in ("path", "label", "default"))
    named = getattr(library, entry["names"]).items() if "names" in entry else ()
    own = (one if isinstance(one, list) else (one, one) for one in entry.get("choices", ()))
    choices = (*((key, record.name) for key, record in named), *((str(key), str(name)) for key, name in own))
    return Field(path, label, entry["kind"], default, entry.get("help", ""), choices)


def wish_groups(library: Library) -> list[tuple[str, list[tuple[str, str]], bool]]:
    """Give what may be preferred or excluded: each family and what belongs to it; implements only excluded."""
    rows = []  # a family that has an exercise's name is not offered as a whole: the name means the exercise
    every = [one for one in library.exercises.values() if not one.compare_only]
    for key, family in library.families.items():
        own = [(one.key, one.name) for one in every if one.family == key]
        whole = [(key, "the whole family")] if key not in library.exercises else []
        rows.append((family.name, [*whole, *own], True))
    held = [(key, one.name) for key, one in library.implements.items() if key not in library.exercises]
    return [*rows, ("what is held", held, False)]


READERS: Mapping[str, Callable[[Sequence[str], Any], Any]] = {
    "text": lambda given, _: given[0].strip() or None,
    "choice": lambda given, now: _alike(given[0], now) if given[0] else None,
    "number": lambda given, _: number_of(given[0]) if given[0].strip() else None,
    "date": lambda given, _: date_of(given[0].strip()) if given[0].strip() else None,
    "yes": lambda given, now: True if given[0] else (None if now is None else False),
    "ticks": lambda given, _: [word for word in given if word],
    "words": lambda given, _: given[0].replace(",", " ").split(),
    "numbers": lambda given, _: [number_of(word) for word in given[0].replace(",", " ").split()],
}


def _alike(word: str, now: Any) -> Any:
    """A choice of numbers is a number."""
    return number_of(word) if word.isdecimal() or isinstance(now, int) else word


def written(kind: str, value: Any) -> list[str]:
    """Give a value of the file as the form holds it."""
    if kind in ("ticks", "words", "numbers") and isinstance(value, list):
        words = [str(one) for one in value]
        return words if kind == "ticks" else [", ".join(words)]
    if kind == "yes":
        return ["yes" if value is True else ""]
    return ["" if value is None else str(value)]


def answers_of(data: Any, fields: Iterable[Field]) -> dict[str, list[str]]:
    """Fill the form from a brief as it is written."""
    answers = {field.path: written(field.kind, value_at(data, field.steps)) for field in fields}
    sessions = data.get("session") if isinstance(data.get("session"), list) else []
    for session in reversed(sessions):
        for name in SESSION:
            answers[f"session.{session.get('day')}.{name}"] = [str(session.get(name, ""))]
    for name in ("exclude", "prefer"):
        for word in value_at(data, ("preferences", name)) or ():
            answers[f"wish.{word}"] = [name]
    for table, (place, columns) in TABLES.items():
        rows = [(key, of) for key, value in (value_at(data, place) or {}).items() for of in _several(value)]
        for number, (key, of) in enumerate(rows):
            answers[f"{table}.{number}.exercise"] = [key]
            for column, kind in columns.items():
                steps = filter(None, [column])
                value = of.get(column) if isinstance(of, Mapping) else value_at(data, (*place, key, *steps))
                answers[f"{table}.{number}.{column}"] = written(kind, value)
    return answers


def _several(value: Any) -> Sequence[Any]:
    """Give the tables of a list of tables, else the value alone."""
    return value if isinstance(value, list) and any(isinstance(of, Mapping) for of in value) else (value,)


SESSION = ("minutes", "gym", "at")
# Tables by exercise, the last one by names of defaults, a line of the form each:
# where they stand, and their columns; "": the value is a list.
TABLES: Mapping[str, tuple[Path, Mapping[str, str]]] = {
    "elsewhere": (("elsewhere",), {"sets": "number", "day": "choice", "whole": "yes"}),
    "pin": (("preferences", "pin"), {"day": "choice", "sets": "number"}),
    "not_on": (("preferences", "not_on"), {"": "ticks"}),
    "method": (("method",), {"": "number"}),
}


def rows_needed(answers: Answers, table: str) -> range:
    """Give the numbers of a table's rows: those filled, and some to spare."""
    row = re.compile(rf"{table}\.(\d{{1,3}})\.")
    filled = [int(of[1]) for name, given in answers.items() if given[0] and (of := row.match(name))]
    return range(max(filled, default=-1) + 1 + SPARE_ROWS)


def fill_in(data: Any, fields: Iterable[Field], answers: Answers, keys: Mapping[str, str]) -> None:
    """Put a form's answers into a brief; what they do not change, and what the form does not show, is not touched."""
    for field in fields:
        given = answers.get(field.path) or [""]
        put(data, field.steps, READERS[field.kind](given, value_at(data, field.steps)))
    rows = []
    for day in DAYS:
        minutes, gym, at = (first(answers, f"session.{day}.{name}") for name in SESSION)
        if minutes:
            rows.append({"day": day, "minutes": number_of(minutes), "gym": gym, "at": at or None})
    put_rows(data, "session", "day", rows, DAYS)
    for name in ("exclude", "prefer"):
        kept = [word for word in value_at(data, ("preferences", name)) or () if f"wish.{word}" not in answers]
        wished = [word for word, given in answers.items() if word.startswith("wish.") and given[0] == name]
        put(data, ("preferences", name), [*kept, *(word.removeprefix("wish.") for word in wished)])
    for table in TABLES:
        _fill_rows(data, table, answers, keys)


def first(answers: Answers, name: str) -> str:
    """Give what was written in a field."""
    return (answers.get(name) or [""])[0].strip()


def _fill_rows(data: Any, table: str, answers: Answers, keys: Mapping[str, str]) -> None:
    place, columns = TABLES[table]
    lines: dict[str, list[int]] = {}
    for number in rows_needed(answers, table):
        if named := first(answers, f"{table}.{number}.exercise"):
            lines.setdefault(keys.get(named.casefold(), named), []).append(number)
    for key, numbers in lines.items():
        here = (*place, key)
        several = len(numbers) > 1 or isinstance(_several(value_at(data, here)), list)
        paths = {column: (*here, *filter(None, [column])) for column in columns}
        now = {column: None if several else value_at(data, path) for column, path in paths.items()}
        given = [{of: answers.get(f"{table}.{number}.{of}") or [""] for of in columns} for number in numbers]
        rows = [{of: READERS[kind](one[of], now[of]) for of, kind in columns.items()} for one in given]
        if several:
            put(data, here, [{of: value for of, value in row.items() if value is not None} for row in rows])
        else:
            for column, value in rows[0].items():
                put(data, paths[column], value)
    for key in [key for key in value_at(data, place) or () if key not in lines]:
        put(data, (*place, key), None)


# Tables of a room by equipment, and how what is written about it is read.
EQUIPMENT_TABLES: dict[str, Callable[[str], Any]] = {"loads": loads_of, "place": str, "stations": number_of}


def gym_answers(data: Any) -> dict[str, list[str]]:
    """Fill the form of the rooms from gym.toml as it is written."""
    answers = {}
    for gym, room in data.items():
        if isinstance(room, Mapping):
            answers[f"{gym}.unit"] = [str(room.get("unit", ""))]
            answers[f"{gym}.equipment"] = [str(key) for key in room.get("equipment", ())]
            for table in EQUIPMENT_TABLES:
                for key, value in (room.get(table) or {}).items():
                    answers[f"{gym}.{table}.{key}"] = [loads_text(value)]
    return answers


def fill_in_gyms(data: Any, gyms: Iterable[str], library: Library, answers: Answers) -> None:
    """Put the answers about the rooms into gym.toml."""
    for gym in gyms:
        put(data, (gym, "unit"), first(answers, f"{gym}.unit") or None)
        put(data, (gym, "equipment"), [key for key in answers.get(f"{gym}.equipment", ()) if key])
        for table, key in product(EQUIPMENT_TABLES, library.equipment):
            text, path = first(answers, f"{gym}.{table}.{key}"), (gym, table, key)
            if text != loads_text(value_at(data, path) or ""):
                put(data, path, EQUIPMENT_TABLES[table](text) if text else None)
