"""The shipped library, read once a process: all of it is frozen, so tests may share it."""

from functools import cache

from library.read import Library, read_library


@cache
def shipped_library() -> Library:
    """Give the library as `library` in conftest.py does, to builders and to what stands outside of tests."""
    return read_library()
