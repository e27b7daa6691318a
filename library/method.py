"""Every default of both packages, once: method.toml has value, unit, source and meaning; records give them types.

A record is a frozen dataclass over one table of method.toml:

    @dataclass(frozen=True)
    class CreditSettings(Settings, table="credit"):
        credit_floor: float = GIVEN
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files
from inspect import get_annotations
from typing import Any

OUR_CHOICE = "our choice"
GIVEN: Any = None  # stands where method.toml has the value


@dataclass(frozen=True)
class SettingRow:
    """One default as it is printed; `table` is its table in method.toml."""

    name: str
    value: Any
    unit: str
    source: str
    text: str
    table: str


@cache
def method() -> Mapping[str, Mapping[str, SettingRow]]:
    """Read method.toml: table -> name -> default. Lists become tuples."""
    text = files("library").joinpath("method.toml").read_text(encoding="utf-8")
    return {
        table: {
            name: SettingRow(name, _frozen(row["value"]), row["unit"], row["source"], row["text"], table)
            for name, row in rows.items()
        }
        for table, rows in tomllib.loads(text).items()
    }


def setting_rows(record: Settings) -> list[SettingRow]:
    """List a record's rows with the values that the record holds, in the order of method.toml."""
    return [replace(row, value=getattr(record, name)) for name, row in method()[record.table].items()]


def _frozen(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


class Settings:
    """Base of all records: fills a subclass's fields from its table; a field or a row too many is a TypeError."""

    table: str

    def __init_subclass__(cls, table: str) -> None:
        """Give each annotated field its default and, as metadata, its unit, source and text."""
        rows, names = method()[table], list(get_annotations(cls))
        if wrong := set(rows) ^ set(names):
            raise TypeError(
                f"{cls.__name__} and [{table}] of method.toml differ in: {', '.join(sorted(wrong))}"
            )
        cls.table = table
        for name in names:
            row = rows[name]
            metadata = {"unit": row.unit, "source": row.source, "text": row.text}
            setattr(cls, name, field(default=row.value, metadata=metadata))


@dataclass(frozen=True)
class PoolSettings(Settings, table="pool"):
    """How evidence rows are weighed against each other."""

    common_share: float = GIVEN
    variation: float = GIVEN
    subjects: int = GIVEN
    tau: float = GIVEN
    degrees_for_tau: int = GIVEN
    remembered_factor: float = GIVEN
    second_hand_factor: float = GIVEN
    doubt_factor: float = GIVEN
    practice_error: float = GIVEN
    smallest_named_share: float = GIVEN
    scale_warning: float = GIVEN


@dataclass(frozen=True)
class OwnRowSettings(Settings, table="own_rows"):
    """How an athlete's own recordings pull that athlete's profile, and nobody else's."""

    person_spread: float = GIVEN
    family_share: float = GIVEN
    repeat_error: float = GIVEN
    repeat_error_degrees: int = GIVEN


@dataclass(frozen=True)
class OrderingSettings(Settings, table="orderings"):
    """When a pooled number honours an ordering."""

    equal_within: float = GIVEN


@dataclass(frozen=True)
class CreditSettings(Settings, table="credit"):
    """From an activation ratio to what one set is worth."""

    credit_floor: float = GIVEN
    least_credit: float = GIVEN
    eccentric_weight: float = GIVEN
    neutral_share: float = GIVEN
    movers_direct: float = GIVEN
    movers_indirect: float = GIVEN
    movers_part: float = GIVEN
