"""No number hides: every settings record of every settings module is printed by planner check."""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest

import library
import planner
from library.settings import setting_rows
from planner.defaults import OVERRIDABLE, RECORDS, load


def settings_modules() -> Iterator[str]:
    """Every module called settings.py or …_settings.py."""
    for package in (library, planner):
        root = Path(str(package.__file__)).parent
        for file in sorted(root.rglob("*settings.py")):
            yield ".".join([package.__name__, *file.relative_to(root).with_suffix("").parts])


def is_record(thing: Any, module: str) -> bool:
    """Whether it is a dataclass of this module all of whose fields were made with `setting`."""
    if not (inspect.isclass(thing) and thing.__module__ == module and is_dataclass(thing)):
        return False
    return bool(fields(thing)) and all("unit" in item.metadata for item in fields(thing))


def test_every_settings_record_is_registered() -> None:
    found = {
        f"{module}:{name}"
        for module in settings_modules()
        for name, thing in vars(importlib.import_module(module)).items()
        if is_record(thing, module)
    }
    assert found - set(RECORDS) == set(), "add it to planner/defaults.py"
    assert set(RECORDS) - found == set(), "planner/defaults.py names what is not there"
    assert len(found) >= 10


def test_what_a_brief_may_change_is_printed_too() -> None:
    assert set(OVERRIDABLE) <= set(RECORDS)


@pytest.mark.parametrize("name", RECORDS)
def test_a_record_tells_what_it_is_and_where_each_value_comes_from(name: str) -> None:
    record = load(name)
    assert record.__doc__
    for row in setting_rows(record()):
        assert row.source.strip(), row.name
        assert row.text.strip(), row.name
