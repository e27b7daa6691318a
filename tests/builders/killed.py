"""Work that is killed at a moment of its own writing."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable

import pytest

KILLED = 77  # exit code of a child that was
TOUCHES = ("open", "os.", "shutil.")  # audit events of everything that reaches the disk

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork: no child to kill")


def killed_at(moment: int, work: Callable[[], object]) -> bool:
    """Run `work` in a child that dies just before its `moment`-th touch of the disk; say whether it died."""
    child = os.fork()
    if child == 0:
        left = [moment]

        def count(event: str, _: object) -> None:
            if event.startswith(TOUCHES):
                left[0] -= 1
                if left[0] == 0:
                    os._exit(KILLED)

        sys.addaudithook(count)
        try:
            work()
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == KILLED
