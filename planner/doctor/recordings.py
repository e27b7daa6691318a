"""The optional reader of C3D recordings."""

from __future__ import annotations

from importlib.metadata import version

from planner.doctor.part import Finding

INSTALL = "Only for recordings in C3D: pip install ezc3d"


def look_at_c3d() -> Finding:
    """Tell whether C3D recordings can be read."""
    try:
        import ezc3d
    except ImportError as error:
        return Finding("missing", str(error), (INSTALL,))
    return Finding("works", f"{ezc3d.__name__} {version('ezc3d')}")
