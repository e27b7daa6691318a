"""What is settled before any command runs: threads, a terminal that lacks our signs, and words of options."""

import os
import subprocess
import sys
from types import SimpleNamespace

import pytest
from in_process import run

from library.errors import FaultyInput
from planner import __main__ as program
from planner.cli import whole_number

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


# --- whole numbers among the options, and options that exclude each other
@pytest.mark.parametrize(("text", "number"), [("3", 3), (" 9 ", 9), ("+2", 2), ("1", 1)])
def test_a_whole_number_in_the_range_is_read(text, number):
    assert whole_number("--jobs", 1, 9)(text) == number
    assert whole_number("--jobs")("-7") == -7


@pytest.mark.parametrize("text", ["", "x", "1.5", "--3", "+-3", "0", "10", "-1", "1e0", "0x1"])
def test_everything_else_is_refused(text):
    with pytest.raises(FaultyInput) as told:
        whole_number("--jobs", 1, 9)(text)
    assert str(told.value) == f'--jobs: "{text}". Write a whole number from 1 to 9, such as --jobs 3'


@pytest.mark.parametrize(("words", "says"), [
    ("block . --weeks many", '--weeks: "many". Write a whole number, such as'),
    ("week . --choices many", '--choices: "many". Write a whole number from 1 to 9'),
    ("progress . --weeks 0", '--weeks: "0". Write a whole number, 1 or more'),
    ("roster . --jobs many", '--jobs: "many". Write'),
    ("roster . --together Mon --changed-only", "--together: together with --changed-only. Leave one of them out"),
    ("roster . --jobs 2 --scheduler tcp://x", "--jobs: together with --scheduler"),
    ("measure . --into kim --plan kim", "--plan: together with --into"),
])  # fmt: skip
def test_every_command_tells_it_in_the_same_words(words, says):
    told = run(*words.split())
    assert (told.code, told.out) == (2, "") and told.err.startswith(says)
