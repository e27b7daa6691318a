"""Importing WeasyPrint so that it finds the system's libraries and keeps off the standard output."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Iterator, Mapping

SEARCH_PATH = "DYLD_FALLBACK_LIBRARY_PATH"
# Homebrew on Apple and on Intel processors, MacPorts, then where macOS itself would look
MAC_FOLDERS = ("/opt/homebrew/lib", "/usr/local/lib", "/opt/local/lib", "/usr/lib")


@contextlib.contextmanager
def renderer_import() -> Iterator[None]:
    """Import WeasyPrint inside: its libraries are looked for where brew keeps them, its complaints stay off stdout.

    A Python that does not come from brew does not look into brew's folder, so that Pango would be there and yet
    not be found. The search by name reads the environment anew each time; it is changed for this process alone.
    """
    if sys.platform == "darwin":
        os.environ[SEARCH_PATH] = mac_search_path(os.environ)
    with contextlib.redirect_stdout(
        io.StringIO()
    ):  # a missing library is told on stdout, which is the result's
        yield


def mac_search_path(environment: Mapping[str, str]) -> str:
    """Return the folders to look for libraries: what the user named first, then brew's and the system's."""
    named = [folder for folder in environment.get(SEARCH_PATH, "").split(":") if folder]
    brew = [f"{environment['HOMEBREW_PREFIX']}/lib"] if environment.get("HOMEBREW_PREFIX") else []
    return ":".join(dict.fromkeys([*named, *brew, *MAC_FOLDERS]))
