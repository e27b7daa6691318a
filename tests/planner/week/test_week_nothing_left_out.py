"""Nothing of the model goes untested or unused: every limit and goal has its test, every default its use."""

from __future__ import annotations

import ast
import pkgutil
from dataclasses import fields
from pathlib import Path
from types import ModuleType

import pytest

import planner
from planner.method import WeekSettings
from planner.model import goals, limits

HERE = Path(__file__).parent.parent / "model"
HOLDERS = {"settings", "week"}  # the names under which the code holds a settings record


def modules_of(package: ModuleType) -> set[str]:
    return {module.name for module in pkgutil.iter_modules(package.__path__)}


@pytest.mark.parametrize(("package", "kind"), [(limits, "limit"), (goals, "goal")], ids=["limits", "goals"])
def test_every_module_has_its_test_file(package: ModuleType, kind: str) -> None:
    prefix = f"test_week_{kind}_"
    tested = {path.stem.removeprefix(prefix) for path in (HERE / f"{kind}s").glob(f"{prefix}*.py")}
    assert modules_of(package) == tested


def test_every_limit_and_goal_is_part_of_the_model() -> None:
    listed = {module.__name__.rpartition(".")[2] for module in (*limits.LIMITS, *goals.GOALS)}
    helpers = {"admission", "missing"}  # no row of their own: what is not admitted has no column
    assert listed | helpers == modules_of(limits) | modules_of(goals)
    for module in limits.LIMITS:
        assert callable(module.rows) and callable(module.use)
    for module in goals.GOALS:
        assert callable(module.rows) and callable(module.missed)


def names_read(tree: ast.AST) -> set[str]:
    """Attributes that are read of something called `settings` or `week`."""
    return {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute)
        and (
            (isinstance(node.value, ast.Name) and node.value.id in HOLDERS)
            or (isinstance(node.value, ast.Attribute) and node.value.attr in HOLDERS)
        )
    }


def test_every_default_of_the_week_is_used() -> None:
    read: set[str] = set()
    for path in Path(planner.__path__[0]).rglob("*.py"):
        if path.name != "method.py":
            read |= names_read(ast.parse(path.read_text(encoding="utf-8")))
    assert {item.name for item in fields(WeekSettings)} - read == set()
