"""The terminal: can it show the signs of a table?"""

from __future__ import annotations

import sys

from planner.doctor.part import Finding

SIGNS = "×–≤≥±½°é→"
REMEDY = ("Choose a UTF-8 locale (export LC_ALL=C.UTF-8), or set PYTHONUTF8=1.",)


def look_at_terminal() -> Finding:
    """Tell the encoding of stdout and whether the signs of a table are in it."""
    encoding = sys.stdout.encoding or "ascii"
    try:
        SIGNS.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return Finding("broken", f"{encoding} has no {SIGNS}", REMEDY)
    return Finding("works", encoding)
