"""The frame of the benches: verdicts, the table, and that every bench can be found and called."""

import importlib
import sys
from pathlib import Path

import pytest

BENCHES = Path(__file__).parents[1] / "benchmarks"


@pytest.fixture
def frame(monkeypatch):
    monkeypatch.syspath_prepend(str(BENCHES))
    before = set(sys.modules)
    yield lambda name: importlib.import_module(name)
    for name in set(sys.modules) - before:
        sys.modules.pop(name)


def test_every_bench_has_rows(frame):
    names = [file.stem for file in BENCHES.glob("bench_*.py")]
    assert "bench_week" in names
    for name in names:
        assert callable(frame(name).rows), name


@pytest.mark.parametrize(
    ("value", "limit", "at_least", "passes"),
    [
        (2.5, 2.5, False, True),
        (2.51, 2.5, False, False),
        (10, 10, True, True),
        (9.9, 10, True, False),
        (1e9, None, False, True),
    ],
)
def test_a_row_keeps_or_misses_its_limit(frame, value, limit, at_least, passes):
    row = frame("row").Row("speed", value, limit, at_least=at_least)
    assert row.passes is passes
    assert ("MISSED" in frame("row").table([row])) is not passes


def test_processes_are_measured_whole(frame):
    processes = frame("processes")
    parent = b"x" * 400_000_000  # what the starting process holds must not be counted
    held = processes.run([sys.executable, "-c", "held = b'x' * 200_000_000"])
    del parent
    assert 200 < held.megabytes < 300


def test_a_failing_process_stops_the_bench_with_its_words(frame):
    with pytest.raises(SystemExit, match="no such thing"):
        frame("processes").run([sys.executable, "-c", "import sys; sys.exit('no such thing')"])
