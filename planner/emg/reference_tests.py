"""The maximal tests of the reference contraction and the sensor sites, as reference_tests.toml lists them."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True)
class ReferenceTest:
    """One maximal isometric test; `alone` is per head the % of a person's own maximum that it reaches."""

    key: str
    number: int
    name: str
    how: str
    alone: Mapping[str, int]
    caution: str


@dataclass(frozen=True)
class TestSet:
    """A named set of tests; `reaches` is per head the mean % of own maximum that the set reaches together."""

    name: str
    tests: frozenset[str]
    reaches: Mapping[str, int]


@cache
def tables() -> dict[str, Any]:
    """Return the whole file."""
    return tomllib.loads(files("planner.emg").joinpath("reference_tests.toml").read_text("utf-8"))


def read_tests() -> dict[str, ReferenceTest]:
    """Return the tests by key."""
    return {key: ReferenceTest(key=key, **table) for key, table in tables()["test"].items()}


def wanted_tests() -> tuple[str, ...]:
    """Return the keys of the default set, in order."""
    return tuple(tables()["wanted"])


def known_sets() -> list[TestSet]:
    """Return the sets whose joint reach is known, largest first."""
    sets = [TestSet(s["name"], frozenset(s["tests"]), s["reaches"]) for s in tables()["set"]]
    return sorted(sets, key=lambda known: -len(known.tests))


def reach(recorded: Collection[str], head: str) -> tuple[str, int] | None:
    """Return what the recorded tests reach of a head's own maximum, in %, and by what that is known.

    The largest known set that was recorded in full counts; else the best single test; None where nothing is
    known, which is the case for heads that no recorded test loads.
    """
    for known in known_sets():
        if known.tests <= set(recorded) and head in known.reaches:
            return known.name, known.reaches[head]
    tests = read_tests()
    alone = [(tests[key].alone[head], tests[key].name) for key in recorded if head in tests[key].alone]
    if not alone:
        return None
    share, name = max(alone)
    return f"{name}, alone", share
