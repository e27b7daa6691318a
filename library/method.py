"""Every default of both packages, once: method.toml has value, unit, source and meaning. A record is what one of its
tables holds: `class CreditSettings(Settings, table="credit")`."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from types import new_class
from typing import TYPE_CHECKING, Any, ClassVar, Self


@dataclass(frozen=True)
class SettingRow:
    """One default as it is printed; `table` is its table in method.toml."""

    name: str
    value: Any
    unit: str
    source: str
    text: str
    table: str
    choices: tuple[Any, ...] = ()


@cache
def method() -> Mapping[str, Mapping[str, SettingRow]]:
    """Read method.toml: table -> name -> default. Lists become tuples."""
    made: dict[str, dict[str, SettingRow]] = {}
    for table, rows in tomllib.loads(files("library").joinpath("method.toml").read_text("utf-8")).items():
        for name, row in rows.items():
            parts: dict[str, Any] = {k: tuple(v) if isinstance(v, list) else v for k, v in row.items()}
            made.setdefault(table, {})[name] = SettingRow(name, table=table, **parts)
    return made


def setting_rows(record: Settings) -> list[SettingRow]:
    """List a record's rows with the values that the record holds, in the order of method.toml."""
    return [replace(row, value=getattr(record, name)) for name, row in method()[record.table].items()]


class Settings:
    """Base of all records: a subclass names its table, whose values are its fields; they never change."""

    table: ClassVar[str]

    def __init_subclass__(cls, table: str) -> None:
        """Make the fields of the table's rows."""
        cls.table, rows = table, method()[table]
        cls.__annotations__ = dict.fromkeys(rows, Any)
        for row in rows.values():
            setattr(cls, row.name, row.value)
        dataclass(frozen=True)(cls)

    def __post_init__(self) -> None:
        """Refuse values that do not go together (ValueError), where a record has any."""

    def but(self, **values: Any) -> Self:
        """Give the record with other values."""
        return replace(self, **values)  # type: ignore[type-var]

    if TYPE_CHECKING:

        def __init__(self, **values: Any) -> None: ...

        def __getattr__(self, name: str) -> Any: ...


class PoolSettings(Settings, table="pool"):
    """How evidence rows are weighed against each other."""


class CreditSettings(Settings, table="credit"):
    """From an activation ratio to what one set is worth."""

    def __post_init__(self) -> None:
        """Refuse what would make every set worth nothing, or a set of nothing worth something."""
        if not (0 < self.credit_floor < 1 and self.least_credit < 1):
            raise ValueError("Write `credit_floor` between 0 and 1, and `least_credit` below 1")
        if not 1 - self.neutral_share + self.eccentric_weight * self.neutral_share > 0:
            raise ValueError("Write `neutral_share` below 1, or `eccentric_weight` above 0")


def of_table(table: str) -> Settings:
    """Give the record of a table whose values need no rule: what it holds is said in method.toml."""
    return new_class(table, (Settings,), {"table": table})()


OWN, ORDERINGS = of_table("own_rows"), of_table("orderings")
FOLDER, LOG = of_table("folder"), of_table("log")
