"""What holds for all tests: numpy on one thread, as the program runs it (said before numpy is loaded); the library."""

import os

import pytest

from library.read import Library
from planner.__main__ import ONE_THREAD

for name in ONE_THREAD:
    os.environ.setdefault(name, "1")


@pytest.fixture(scope="session")
def library() -> Library:
    """The shipped library; a folder whose tests need another one has its own fixture of this name."""
    from shipped import shipped_library

    return shipped_library()
