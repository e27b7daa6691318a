"""The probe on this machine, the list that `make help` prints, and the JSON schema that ships: the one of its models."""

import json
import re
import runpy
import subprocess
import sys
from importlib.resources import files

from folders import ROOT

from planner.document import WeekDocument


def test_the_probe_finds_here_what_is_here_and_misses_a_library_that_is_nowhere():
    command = [sys.executable, ROOT / ".ci" / "probe.py", "venv"]
    assert subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip() == ""
    probe = runpy.run_path(str(ROOT / ".ci" / "probe.py"))
    probe["LIBRARIES"]["pango"] = (("no-such-library", "0"),)
    assert not probe["has"]("pango")


def test_make_help_lists_every_target():
    text = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = re.search(r"^\.PHONY: (.*)$", text, re.MULTILINE).group(1).split()
    listed = subprocess.run(["make", "help"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert sorted(re.findall(r"^make (\S+)", listed, re.MULTILINE)) == sorted(targets)


def test_the_shipped_schema_is_the_models():
    shipped = json.loads((files("planner") / "week.schema.json").read_text(encoding="utf-8"))
    assert shipped == WeekDocument.model_json_schema(), "run make schema"
