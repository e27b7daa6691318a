"""The probe on this machine, the list that `make help` prints, and what the project file promises."""

import importlib.util
import re
import subprocess
import sys

from folders import ROOT


def probe_module():
    spec = importlib.util.spec_from_file_location("setup_probe", ROOT / ".ci" / "probe.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_probe_finds_here_what_is_here_and_misses_a_library_that_is_nowhere(monkeypatch):
    ended = subprocess.run(
        [sys.executable, ROOT / ".ci" / "probe.py", "venv"], capture_output=True, text=True, check=True
    )
    assert ended.stdout.strip() == ""
    probe = probe_module()
    monkeypatch.setitem(probe.LIBRARIES, "pango", (("no-such-library", "0"),))
    assert not probe.has("pango")


def test_make_help_lists_every_target():
    text = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = re.search(r"^\.PHONY: (.*)$", text, re.MULTILINE).group(1).split()
    listed = subprocess.run(["make", "help"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert sorted(re.findall(r"^make (\S+)", listed, re.MULTILINE)) == sorted(targets)
