"""The lock files: whole, hashed, the same everywhere, and free of any machine's or host's name."""

import json
import re
import runpy
import subprocess
import sys
import tomllib
from importlib.resources import files

import pytest
from folders import ROOT
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from planner.document import WeekDocument

LOCKS = {"run": ROOT / "requirements.lock", "test": ROOT / "tests" / "requirements.lock"}
LOCKS["recordings"] = ROOT / "tests" / "recordings.lock"


def lines_of(kind):
    text = re.sub(r"\\\n", " ", LOCKS[kind].read_text(encoding="utf-8"))
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def locked(kind):
    found = [Requirement(re.sub(r"\s+--hash=\S+", "", line)) for line in lines_of(kind)]
    return {canonicalize_name(one.name): one for one in found}


def version(requirement):
    return str(requirement.specifier).removeprefix("==")


@pytest.mark.parametrize("kind", LOCKS)
def test_every_package_is_pinned_with_hashes_in_a_version_that_fits_and_no_host_or_path_is_named(kind):
    text = LOCKS[kind].read_text(encoding="utf-8")
    assert re.findall(r"https?:|://|index-url|find-links|(?<![\w.-])/[a-z]+|\.\.", text) == []
    lines = lines_of(kind)
    assert len(lines) > (0 if kind == "recordings" else 30)
    pinned = re.compile(r"[a-z0-9-]+==[^\s;*]+(\s;.*?)?(\s+--hash=sha256:[0-9a-f]{64})+")
    assert [line for line in lines if not pinned.fullmatch(line.strip())] == []
    pins = locked(kind)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = project["dependencies"] + (project["optional-dependencies"]["test"] if kind == "test" else [])
    if kind == "recordings":
        lines = (ROOT / "tests" / "recordings.in").read_text(encoding="utf-8").splitlines()
        asked = [line for line in lines if not line.startswith("#")]
    for requirement in map(Requirement, asked):
        pin = pins.get(canonicalize_name(requirement.name))
        assert pin is not None, f"{requirement.name} is not locked: run make lock"
        assert requirement.specifier.contains(version(pin)), f"{requirement} against {pin}: run make lock"


def test_the_locks_hold_one_another_help_lists_every_target_and_the_schema_is_the_models():
    run, test = locked("run"), locked("test")
    assert {name: version(pin) for name, pin in run.items()} == {name: version(test[name]) for name in run}
    text = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = re.search(r"^\.PHONY: (.*)$", text, re.MULTILINE).group(1).split()
    listed = subprocess.run(["make", "help"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert sorted(re.findall(r"^make (\S+)", listed, re.MULTILINE)) == sorted(targets)
    shipped = json.loads((files("planner") / "week.schema.json").read_text(encoding="utf-8"))
    assert shipped == WeekDocument.model_json_schema(), "run make schema"


# --- the probe on this machine, the list of `make help`, and the JSON schema that ships
def test_the_probe_finds_here_what_is_here_and_misses_a_library_that_is_nowhere():
    command = [sys.executable, ROOT / ".ci" / "probe.py", "venv"]
    assert subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip() == ""
    probe = runpy.run_path(str(ROOT / ".ci" / "probe.py"))
    probe["LIBRARIES"]["pango"] = (("no-such-library", "0"),)
    assert not probe["has"]("pango")
