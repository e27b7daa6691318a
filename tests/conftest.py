"""What holds for all tests: numpy on one thread, as the program runs it (it must be said before numpy is loaded)."""

from __future__ import annotations

import os

from planner.__main__ import ONE_THREAD

for name in ONE_THREAD:
    os.environ.setdefault(name, "1")
