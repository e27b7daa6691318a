"""What is settled before any command runs: threads, and a terminal that lacks our signs."""

import os
import subprocess
import sys
from types import SimpleNamespace

import pytest

from planner import __main__ as program


def test_numpy_is_not_loaded_before_a_command_runs():
    code = "import sys, planner.cli as cli; cli.register(); print([m for m in ('numpy', 'pulp') if m in sys.modules])"
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ended.stdout.strip() == "[]"


def test_what_writes_a_week_loads_nothing_heavy_before_it_is_asked():
    code = (
        "import sys, planner.publish;"
        "print([m for m in ('pulp', 'highspy', 'pandas', 'scipy', 'jinja2', 'rich', 'weasyprint', 'multiprocessing')"
        " if m in sys.modules])"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
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


@pytest.mark.parametrize("encoding", ["latin-1", "utf-8"])
def test_a_terminal_without_our_signs_gets_the_result_all_the_same(encoding):
    # the doctor's own part for the terminal prints signs that latin-1 lacks
    ended = subprocess.run(
        [sys.executable, "-m", "planner", "doctor"],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        check=False,
    )
    lines = ended.stdout.decode("latin-1").splitlines()  # reads any bytes
    assert b"fault of ours" not in ended.stderr
    assert lines[-1 if encoding == "utf-8" else -2].startswith("terminal")
