"""[method] of a brief: a default's name and the value that the coach sets instead.

The settings records decide what may be named and of which type a value is; none is known here by name.
"""

from collections.abc import Iterable
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal, TypeVar, get_origin, get_type_hints

from pydantic import BaseModel, ConfigDict, Field, Strict, create_model

from library.errors import Fault
from library.schema import HIGHEST_GRADE
from planner.athlete.brief import Brief
from planner.files.shape import check_shape
from planner.files.text import Table, as_written, place
from planner.method import FOLDER

Settings = TypeVar("Settings")
GRADE = f"grade 0-{HIGHEST_GRADE}"  # as settings write their unit


def method_of(brief: Brief, record: type[Settings]) -> Settings:
    """Build a settings record with what the brief's [method] says of it."""
    hints = get_type_hints(record)
    named = {item.name for item in fields(record)} & set(brief.method)  # type: ignore[arg-type]
    changes = {name: _as(hints[name], brief.method[name]) for name in sorted(named)}
    return replace(record(), **changes)  # type: ignore[type-var]


def _as(hint: Any, value: Any) -> Any:
    return float(value) if hint is float else value


def method_faults(method: Table, file: Path, records: Iterable[type[Any]]) -> list[Fault]:
    """Check [method] against the records that a brief may change: names, types and ranges."""
    if not method:
        return []  # nothing is set: the model of all settings, which costs more than the whole brief, is not made
    records = tuple(records)
    model, faults = check_shape(_model(records), method, file, show=lambda steps: place(("method", *steps)))
    if model is None:
        return faults
    return [fault for record in records for fault in _own_rules(record, method, file)]


def _own_rules(record: type[Any], method: Table, file: Path) -> list[Fault]:
    """A record may refuse values that do not go together (ValueError from its own checks)."""
    named = {item.name: method[item.name] for item in fields(record) if item.name in method}
    try:
        replace(record(), **named)
    except ValueError as error:
        shown = ", ".join(f"{name} = {as_written(value)}" for name, value in named.items())
        return [Fault(file, "method", shown, str(error))]
    return []


@cache
def _model(records: tuple[type[Any], ...]) -> type[BaseModel]:
    """Make a model whose optional keys are the settings of all records, each with its type and range."""
    keys: dict[str, Any] = {}
    for record in records:
        hints = get_type_hints(record)
        keys |= {item.name: (_typed(hints[item.name], item), None) for item in fields(record)}
    return create_model("Method", __config__=ConfigDict(extra="forbid", allow_inf_nan=False), **keys)


def _typed(hint: Any, item: Any) -> Any:
    if get_origin(hint) is Literal:
        return hint
    if hint in (str, bool):
        return Annotated[hint, Strict()]
    unit = str(item.metadata["unit"])
    believed = FOLDER.method_times_most * (item.default or 1)
    most = 1 if unit.startswith("share") else HIGHEST_GRADE if unit == GRADE else believed
    return Annotated[hint, Strict(), Field(ge=0, le=most, description=unit or None)]
