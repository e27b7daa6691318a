"""The rules of the house, held by reading the code: sizes, docstrings, no names of machines, nothing untested."""

import ast
import re
import subprocess
from functools import cache

import pytest
from folders import ROOT
from readme import OPTIONS

import library.errors

LINES_A_MODULE = 400
LONG_MODULES = (300, 5)  # lines above which a module is long, and how many long ones there may be
LINES_A_FUNCTION = 40  # of its body, docstring and signature left out: the options of a command stand there
PACKAGES = ("library", "planner")
MODULES = [path for package in PACKAGES for path in sorted((ROOT / package).rglob("*.py"))]


@cache
def tree(path):
    return ast.parse(path.read_text(encoding="utf-8"))


def tracked():
    """Path and text of every file that git knows and that is text."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, text=True)
    for name in filter(None, listed.stdout.split("\0")):
        try:
            yield name, (ROOT / name).read_text(encoding="utf-8")
        except (UnicodeDecodeError, FileNotFoundError):
            continue  # a picture, a recording; or taken out and not yet committed


@cache
def written_tests():
    """Text of every test but those that only read the code's words."""
    readers = ("test_readme.py", "test_house.py", "test_arrows.py", "readme.py")
    paths = (path for path in sorted((ROOT / "tests").rglob("*.py")) if path.name not in readers)
    return {path: path.read_text(encoding="utf-8") for path in paths}


# --- sizes and names
def lines_of(node):
    """Lines of a function's body, from the first line after its docstring."""
    body = node.body[1:] if ast.get_docstring(node) else node.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def test_nothing_gets_away_and_no_file_names_a_machine_or_a_registry():
    sizes = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES}
    assert [path for path, size in sizes.items() if size > LINES_A_MODULE] == []
    assert sum(size > LONG_MODULES[0] for size in sizes.values()) <= LONG_MODULES[1]
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef)
    nodes = ((path, node) for path in MODULES for node in ast.walk(tree(path)))
    functions = ((path, node) for path, node in nodes if isinstance(node, kinds))
    assert [(path, node.name) for path, node in functions if lines_of(node) > LINES_A_FUNCTION] == []
    homes = [f"/{name}/" for name in ("work", "root", "Users")] + ["/ho" + "me/", "C:" + "\\"]
    hosts = ["py" + "pi.org", "python" + "hosted"]
    texts = ((name, text) for name, text in tracked() if name != "tests/words/test_house.py")
    assert [(name, word) for name, text in texts for word in (*homes, *hosts) if word in text] == []


# --- nothing of the place where it was written
# --- nothing untested
EXIT_CODES = {  # of the errors that reach a person
    "PlannerError": 1, "FaultyInput": 2, "NoWeekPossible": 3, "NotCleared": 3, "PaperNotMade": 4, "SolverFault": 1,
    "BrokenPlan": 1,
}  # fmt: skip


def test_every_error_has_its_exit_code():
    classes = [node for path in MODULES for node in ast.walk(tree(path)) if isinstance(node, ast.ClassDef)]
    errors = [one for one in classes if EXIT_CODES.keys() & {*map(ast.unparse, one.bases)}]
    assert {"PlannerError", *(one.name for one in errors)} == set(EXIT_CODES)
    for name, code in EXIT_CODES.items():
        assert getattr(library.errors, name).exit_code == code


@pytest.mark.parametrize("name", OPTIONS)
def test_every_option_is_used_by_a_test_of_its_command(name):
    """A test that writes the option, in a file that speaks of the command."""
    texts = written_tests().items()
    about = [text for path, text in texts if re.search(rf"[\"' ]{name}[\"' ,]", text) or name in path.stem]
    for option in OPTIONS[name] - {"--help"}:
        assert any(re.search(rf"{option}(?![a-z-])", text) for text in about), option
