"""Running the program in a process of its own, as its users do."""

import os
import subprocess
import sys
from pathlib import Path

LONGEST_SECONDS = 300  # then it hangs


def planner(
    *words: object, home: Path | None = None, answers: str | None = None
) -> subprocess.CompletedProcess[str]:
    """Run `planner WORDS` in the folder `home`, `answers` typed in; whatever happens, nobody sees a traceback."""
    done = subprocess.run(
        [sys.executable, "-m", "planner", *map(str, words)], cwd=home, env={**os.environ, "PYTHONUTF8": "1"},
        input=answers, capture_output=True, encoding="utf-8", timeout=LONGEST_SECONDS, check=False,
    )  # fmt: skip
    assert "Traceback" not in done.stdout + done.stderr, done.stderr
    return done
