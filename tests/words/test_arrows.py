"""The map of the house in DEVELOPERS is the house: every import follows an arrow, and every arrow is used."""

import ast
import re
from collections import defaultdict
from functools import cache

import pytest
from folders import ROOT
from readme import parts

MAP = parts((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))["The map of the house"]
NAMES = re.compile(r"`([^`]+)`")
ARROWS = {row[0].strip("`"): NAMES.findall(row[-1]) for row in MAP.rows}  # room -> rooms that it may know
PACKAGES = ("library", "planner")


def modules():
    return (path for package in PACKAGES for path in sorted((ROOT / package).rglob("*.py")))


def room_of(place):
    """The innermost room of the map that holds a path such as planner/week/plan.py; the bare package has none."""
    holders = [room for room in ARROWS if place == room or (room.endswith("/") and place.startswith(room))]
    return max(holders, key=len, default=None)


def place_of(module):
    """The path of a module by its dotted name, below the project."""
    path = module.replace(".", "/")
    return f"{path}.py" if (ROOT / f"{path}.py").is_file() else f"{path}/__init__.py"


def imported(tree):
    """Dotted names of our own modules that a file imports anywhere, also inside functions."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            inside = [f"{node.module}.{alias.name}" for alias in node.names]
            modules = [name for name in inside if (ROOT / place_of(name)).is_file()]
            yield from modules or [node.module]


@cache
def arrows():
    """(room, room it knows) -> the imports that make the arrow."""
    found = defaultdict(set)
    for path in modules():
        here = path.relative_to(ROOT).as_posix()
        for name in imported(ast.parse(path.read_text(encoding="utf-8"))):
            if name.split(".")[0] in PACKAGES:
                room, known = room_of(here), room_of(place_of(name))
                if room and known and room != known:
                    found[room, known].add(f"{here} imports {name}")
    return found


def test_every_module_has_a_room_arrows_point_up_and_the_recheck_shares_nothing_with_the_model():
    homeless = [path.relative_to(ROOT).as_posix() for path in modules()]
    assert [place for place in homeless if room_of(place) is None] == ["planner/__init__.py"]
    assert [room for room in ARROWS if not (ROOT / room).exists()] == []
    order = list(ARROWS)
    upwards = {(room, known) for at, room in enumerate(order) for known in order[:at]}
    assert {(room, known) for room, knows in ARROWS.items() for known in knows} - upwards == set()
    shared = {known for room, known in arrows() if room == "planner/verify/"}
    assert shared.isdisjoint(f"planner/{room}/" for room in ("model", "solve", "week", "change", "train"))


@pytest.mark.parametrize("room", ARROWS)
def test_imports_are_the_arrows(room):
    found = {known: imports for (of, known), imports in arrows().items() if of == room}
    assert {known: found[known] for known in found.keys() - ARROWS[room]} == {}
    assert [known for known in ARROWS[room] if known not in found] == [], "every arrow is used"
