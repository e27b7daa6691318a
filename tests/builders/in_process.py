"""Running the program inside the test's own process, as its users call it."""

import sys
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from planner.cli import main


@dataclass(frozen=True)
class Told:
    """How one run ended."""

    code: int
    out: str
    err: str


Run = Callable[..., Told]


def program(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *first: str) -> Run:
    """Make a function that runs `planner FIRST ARGUMENTS` and tells exit code, stdout and stderr."""

    def run(*arguments: object) -> Told:
        monkeypatch.setattr(sys, "argv", ["planner", *first, *map(str, arguments)])
        code = 0
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return Told(code, out, err)

    return run
