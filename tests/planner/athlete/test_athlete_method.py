"""[method]: a brief's own values reach the settings records, with their types, and nothing else does."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any, Literal

import pytest

from library.errors import FaultyInput
from library.read import Library
from planner.athlete import method
from planner.athlete.brief import Brief, Card, Session
from planner.athlete.method import method_faults, method_of
from planner.athlete.reading import read_brief
from planner.method import OVERRIDABLE


def setting(default: Any, **metadata: str) -> Any:
    """A field as records have them."""
    return field(default=default, metadata=metadata)


@dataclass(frozen=True)
class Record:
    """A record as rooms write them."""

    share: float = setting(0.5, unit="share of the target", source="", text="")
    grade: int = setting(1, unit="grade 0-3", source="", text="")
    sets: int = setting(2, unit="sets", source="", text="")
    most: int = setting(4, unit="sets", source="", text="")
    way: Literal["one", "two"] = setting("one", unit="", source="", text="")
    name: str = setting("epley", unit="", source="", text="")
    on: bool = setting(False, unit="", source="", text="")

    def __post_init__(self) -> None:
        if self.sets > self.most:
            raise ValueError("Write `sets` no larger than `most`")


@dataclass(frozen=True)
class Other:
    """Another record."""

    width: float = setting(3, unit="mm", source="", text="")


def brief(**method: Any) -> Brief:
    return Brief(athlete=Card(name="Ada"), session=(Session(day="Mon", minutes=40, gym="a"),), method=method)


def test_values_of_the_brief_and_else_defaults() -> None:
    asked = brief(share=1, sets=3, way="two", on=True, width=5)
    assert method_of(asked, Record) == Record(share=1.0, sets=3, way="two", on=True)
    assert isinstance(method_of(asked, Record).share, float)
    assert method_of(asked, Other) == Other(width=5.0)
    assert method_of(brief(), Record) == Record()


def test_without_a_method_nothing_is_checked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(method, "create_model", None)
    assert method_faults({}, Path("brief.toml"), (Record,)) == []


@pytest.mark.parametrize(
    ("name", "value", "remedy"),
    [
        ("share", -0.1, "from 0 to 1 (share of the target)"),
        ("share", 1.1, "from 0 to 1"),
        ("share", float("nan"), "from 0 to 1"),
        ("share", "0.5", "a number from 0 to 1"),
        ("share", True, "a number from 0 to 1"),
        ("grade", 4, "a whole number from 0 to 3"),
        ("sets", 2.5, "a whole number from 0"),
        ("sets", float("inf"), "a whole number from 0"),
        ("sets", 10**12, "to 200"),
        ("way", "three", 'one of "one", "two"'),
        ("name", 3, "text in quotes"),
        ("on", 1, "true or false"),
        ("width", [], "a number from 0"),
        ("widht", 3, 'did you mean "width"?'),
    ],
)
def test_names_types_and_ranges(name: str, value: Any, remedy: str) -> None:
    (fault,) = method_faults({name: value}, Path("brief.toml"), [Record, Other])
    assert fault.where == f"method.{name}"
    assert remedy in fault.remedy


def test_values_that_a_record_itself_refuses() -> None:
    (fault,) = method_faults({"sets": 5, "on": True}, Path("brief.toml"), [Record, Other])
    assert (fault.where, fault.read) == ("method", "sets = 5, on = true")
    assert fault.remedy == "Write `sets` no larger than `most`"


def test_good_values_are_no_fault() -> None:
    good = {"share": 1, "grade": 3, "sets": 0, "way": "two", "name": "x", "on": True, "width": 2.5}
    assert method_faults(good, Path("brief.toml"), [Record, Other]) == []


def test_names_are_unique_among_the_records_that_a_brief_may_change() -> None:
    names = Counter(item.name for record in OVERRIDABLE for item in fields(record))
    assert [name for name, times in names.items() if times > 1] == []


def test_every_default_may_be_written_down_as_it_is(write: Callable[..., Path], library: Library) -> None:
    plain = {item.name: item.default for record in OVERRIDABLE for item in fields(record)}
    lines = "".join(f"{name} = {value!r}\n" for name, value in plain.items())
    text = '[athlete]\nname = "Ada"\n[[session]]\nday = "Mon"\nminutes = 40\ngym = "club"\n[method]\n' + lines
    asked = read_brief(write(text), library)
    assert all(method_of(asked, record) == record() for record in OVERRIDABLE)


def test_records_can_be_handed_in(write: Callable[..., Path], library: Library) -> None:
    text = (
        '[athlete]\nname = "Ada"\n[[session]]\nday = "Mon"\nminutes = 40\ngym = "club"\n[method]\nwidth = 4\n'
    )
    assert read_brief(write(text), library, records=[Other]).method == {"width": 4}
    with pytest.raises(FaultyInput, match=r"method\.width: 4"):
        read_brief(write(text), library)
