"""The form of a brief: its fields (fields.toml), filled from a file, and a form's answers put back into the file."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from library.read import Library
from planner.athlete.brief import DAYS
from planner.desk.toml_edit import Path, date_of, loads_of, loads_text, number_of, put, put_rows, value_at

SPARE_ROWS = 3  # empty lines below what is there: sets elsewhere, pins
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
    fields: tuple[Field, ...]


def groups(library: Library, doses: Sequence[float]) -> list[Group]:
    """Give the form's groups; `doses`: default floor, target, ceiling of the athlete's status."""
    numbers = dict(zip(("floor", "target", "ceiling"), (f"{dose:g}" for dose in doses), strict=True))
    return [
        Group(
            group["title"],
            group.get("help", ""),
            tuple(
                field
                for entry in _each(group["field"], library)
                for field in _fields(entry, library, numbers)
            ),
        )
        for group in _read()
    ]


@cache
def _read() -> list[dict[str, Any]]:
    text = files("planner.desk").joinpath("fields.toml").read_text(encoding="utf-8")
    return list(tomllib.loads(text)["group"])


def _each(entries: Sequence[Mapping[str, Any]], library: Library) -> Iterator[dict[str, Any]]:
    """Repeat what stands for every record of a table, record by record."""
    single = [dict(entry) for entry in entries if "each" not in entry]
    for name in dict.fromkeys(entry["each"] for entry in entries if "each" in entry):
        for key, record in getattr(library, name).items():
            if getattr(record, "role", "trained") != "trained":
                continue
            for entry in entries:
                if entry.get("each") == name:
                    yield {**entry, "key": key, "name": record.name}
    yield from single


def _fields(entry: Mapping[str, Any], library: Library, numbers: Mapping[str, str]) -> Iterator[Field]:
    words = {"key": entry.get("key", ""), "name": str(entry.get("name", "")).capitalize(), **numbers}
    choices = [(str(word), str(word)) for word in entry.get("choices", ())]
    if "names" in entry:
        choices = [(key, record.name) for key, record in getattr(library, entry["names"]).items()]
    path, label = (str(entry[name]).format(**words) for name in ("path", "label"))
    default = entry.get("default", "").format(**words)
    yield Field(path, label, entry["kind"], default, entry.get("help", ""), tuple(choices))


Reader = Callable[[Sequence[str], Any], Any]
READERS: Mapping[str, Reader] = {
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
        for name in ("minutes", "gym"):
            answers[f"session.{session.get('day')}.{name}"] = [str(session.get(name, ""))]
    for name in ("exclude", "prefer"):
        for word in value_at(data, ("preferences", name)) or ():
            answers[f"wish.{word}"] = [name]
    for table, columns in ROWS.items():
        rows = value_at(data, TABLES[table]) or {}
        for number, key in enumerate(rows):
            answers[f"{table}.{number}.exercise"] = [key]
            for column in columns:
                value = value_at(rows, (key, column))
                answers[f"{table}.{number}.{column}"] = written("yes" if column == "whole" else "text", value)
    return answers


TABLES: Mapping[str, Path] = {"elsewhere": ("elsewhere",), "pin": ("preferences", "pin")}
ROWS: Mapping[str, tuple[str, ...]] = {"elsewhere": ("sets", "day", "whole"), "pin": ("day", "sets")}


def rows_needed(answers: Answers, table: str) -> range:
    """Give the numbers of a table's rows: those filled, and some to spare."""
    filled = [int(name.split(".")[1]) for name in answers if name.startswith(f"{table}.")]
    return range(max(filled, default=-1) + 1 + (0 if len(filled) > 60 else SPARE_ROWS))


def fill_in(data: Any, fields: Iterable[Field], answers: Answers) -> None:
    """Put a form's answers into a brief; what they do not change is not touched."""
    for field in fields:
        given = answers.get(field.path) or [""]
        put(data, field.steps, READERS[field.kind](given, value_at(data, field.steps)))
    sessions = []
    for day in DAYS:
        minutes, gym = (answers.get(f"session.{day}.{name}", [""])[0].strip() for name in ("minutes", "gym"))
        if minutes:
            sessions.append({"day": day, "minutes": number_of(minutes), "gym": gym})
    put_rows(data, "session", "day", sessions)
    wishes = [
        (name.removeprefix("wish."), given[0]) for name, given in answers.items() if name.startswith("wish.")
    ]
    for name in ("exclude", "prefer"):
        put(data, ("preferences", name), [word for word, wish in wishes if wish == name])
    for table in ROWS:
        _fill_rows(data, table, answers)


def _fill_rows(data: Any, table: str, answers: Answers) -> None:
    steps, names = TABLES[table], []
    for number in rows_needed(answers, table):
        row = {
            name: answers.get(f"{table}.{number}.{name}", [""])[0].strip()
            for name in ("exercise", *ROWS[table])
        }
        key = row.pop("exercise")
        if not key:
            continue
        names.append(key)
        for column, text in row.items():
            kind = {"sets": "number", "day": "choice", "whole": "yes"}[column]
            put(data, (*steps, key, column), READERS[kind]([text], value_at(data, (*steps, key, column))))
    for key in [key for key in value_at(data, steps) or () if key not in names]:
        put(data, (*steps, key), None)


def place_in_form(where: str, data: Any) -> str:
    """Give the form's name of a place in the file that a fault names."""
    match = re.match(r"session\[(\d+)\]\.(minutes|gym)", where)
    if match:
        session = data["session"][int(match[1]) - 1]
        return f"session.{session.get('day')}.{match[2]}"
    return re.sub(r"\[\d+\]", "", where)


def gym_answers(data: Any) -> dict[str, list[str]]:
    """Fill the form of the rooms from gym.toml as it is written."""
    answers = {}
    for gym, room in data.items():
        answers[f"{gym}.unit"] = [str(room.get("unit", ""))]
        answers[f"{gym}.equipment"] = [str(key) for key in room.get("equipment", ())]
        for key, loads in (room.get("loads") or {}).items():
            answers[f"{gym}.loads.{key}"] = [loads_text(loads)]
    return answers


def fill_in_gyms(data: Any, gyms: Sequence[str], library: Library, answers: Answers) -> None:
    """Put the answers about the rooms into gym.toml."""
    for gym in gyms:
        unit = answers.get(f"{gym}.unit", [""])[0]
        put(data, (gym, "unit"), unit or None)
        equipment = [key for key in answers.get(f"{gym}.equipment", ()) if key]
        put(data, (gym, "equipment"), equipment)
        for key in library.equipment:
            text = answers.get(f"{gym}.loads.{key}", [""])[0].strip()
            if text != loads_text(value_at(data, (gym, "loads", key)) or ""):
                put(data, (gym, "loads", key), loads_of(text) if text else None)
