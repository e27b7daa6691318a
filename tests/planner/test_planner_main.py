"""What is settled before any command runs: threads, and a terminal that lacks our signs."""

import os
import subprocess
import sys
from types import SimpleNamespace

import pytest

from planner import __main__ as program

HEAVY = "'numpy', 'pulp', 'highspy', 'pandas', 'scipy', 'jinja2', 'rich', 'weasyprint', 'multiprocessing'"


@pytest.mark.parametrize("first", ["import planner.cli as cli; cli.register()", "import planner.publish"])
def test_nothing_heavy_is_loaded_before_it_is_asked(first):
    code = f"import sys; {first}; print([m for m in ({HEAVY}) if m in sys.modules])"
    command = [sys.executable, "-c", code]
    ended = subprocess.run(command, capture_output=True, text=True, check=True, timeout=250)
    assert ended.stdout.strip() == "[]"


@pytest.mark.parametrize(("said", "used"), [(None, "1"), ("4", "4")])
def test_one_thread_unless_the_user_says_otherwise(monkeypatch, said, used):
    for name in program.ONE_THREAD:
        monkeypatch.setenv(name, said or "")
        if said is None:
            monkeypatch.delenv(name)
    seen = {}
    monkeypatch.setattr(program.cli, "main", lambda: seen.update(os.environ))
    monkeypatch.setattr(program, "gc", SimpleNamespace(set_threshold=lambda _: None, freeze=lambda: None))
    program.main()
    assert {seen[name] for name in program.ONE_THREAD} == {used}


def test_a_terminal_without_our_signs_gets_the_result_all_the_same():
    command = [sys.executable, "-m", "planner", "library", "dumbbell_shrug"]
    env = {**os.environ, "PYTHONIOENCODING": "latin-1"}
    ended = subprocess.run(command, capture_output=True, env=env, check=False, timeout=250)
    assert (ended.returncode, ended.stderr) == (0, b"") and b"?" in ended.stdout  # for the dash of a range
