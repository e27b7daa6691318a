"""Work that is killed at a moment of its own writing, or at any moment, and works that run at once."""

import contextlib
import os
import signal
import sys
import time
from collections.abc import Callable

import pytest

PATIENCE_SECONDS = 120
KILLED = 77  # exit code of a child that was
LONGEST_SECONDS = 600  # of a child: forked beside threads, it may wait for ever for what one of them held
TOUCHES = ("open", "os.", "shutil.")  # audit events of everything that reaches the disk
Work = Callable[[], object]

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork: no child to kill")


def killed_at(moment, work):
    """Run `work` in a child that dies just before its `moment`-th touch of the disk; say whether it died."""
    return ended(started(lambda: dying(moment, work))) == KILLED


def dying(moment, work):
    """Do `work` and end this process just before its `moment`-th touch of the disk."""
    left = [moment]

    def count(event, _):
        if event.startswith(TOUCHES):
            left[0] -= 1
            if left[0] == 0:
                os._exit(KILLED)

    sys.addaudithook(count)
    work()


def started(work):
    """Run `work` in a child at the head of a group of processes; return its id. It ends with 0, or 1 if work raised."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.setsid()
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            signal.alarm(LONGEST_SECONDS)
            work()
            code = 0
        except SystemExit as end:
            code = int(end.code or 0)
        finally:
            os._exit(code)
    return child


def ended(child):
    """Wait for a child; return its exit code, below 0 if a signal ended it. One that does not end is killed."""
    return kill_after(PATIENCE_SECONDS, child)


def waited_for(is_so, what):
    """Wait until something is so; where it does not come, fail and say what was waited for."""
    until = time.monotonic() + PATIENCE_SECONDS
    while not is_so():
        if time.monotonic() > until:
            pytest.fail(f"waited {PATIENCE_SECONDS} s for {what}")
        time.sleep(0.05)


def kill_after(seconds, child):
    """Kill a child after so long, or when it has ended; return its exit code, below 0 if killed."""
    until = time.monotonic() + seconds
    still = os.WEXITED | os.WNOHANG | os.WNOWAIT
    while time.monotonic() < until and os.waitid(os.P_PID, child, still) is None:
        time.sleep(0.002)
    with contextlib.suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def nobody_left(group, seconds=10):
    """Say whether every process of a child's group has ended, within so many seconds."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.05)
    return False
