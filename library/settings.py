"""How a default is written: a value with its unit, its source and one line of meaning.

A settings record is a frozen dataclass whose fields are made with `setting`. `planner check` prints the
rows of every record, so no number of the method hides in a function body.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any

OUR_CHOICE = "our choice"


def setting(default: Any, *, unit: str, source: str, text: str) -> Any:
    """Make a dataclass field that carries its unit (str), source (citation or "our choice") and meaning."""
    return field(default=default, metadata={"unit": unit, "source": source, "text": text})


@dataclass(frozen=True)
class SettingRow:
    """One printed default."""

    name: str
    value: Any
    unit: str
    source: str
    text: str


def setting_rows(record: Any) -> list[SettingRow]:
    """List the settings of a record (instance of a dataclass made with `setting`), in field order."""
    return [
        SettingRow(
            name=item.name,
            value=getattr(record, item.name),
            unit=item.metadata["unit"],
            source=item.metadata["source"],
            text=item.metadata["text"],
        )
        for item in fields(record)
    ]
