"""Print, one a line, which of the named parts this machine lacks: venv, pango, fontconfig, subsetter.

Runs before anything is installed, with the standard library of any Python 3 alone. Libraries are looked for
the way WeasyPrint loads them, by name through the dynamic loader, and in the folders where brew and ports
keep theirs.
"""

import importlib
import os
import sys

LIBRARIES = {
    "pango": (("gobject-2.0", "0"), ("pango-1.0", "0"), ("harfbuzz", "0"), ("pangoft2-1.0", "0")),
    "fontconfig": (("fontconfig", "1"),),
    "subsetter": (("harfbuzz-subset", "0"),),
}
MAC_FOLDERS = (
    os.environ.get("HOMEBREW_PREFIX", "/opt/homebrew") + "/lib",
    "/usr/local/lib",
    "/opt/local/lib",
)


def file_names(name: str, version: str) -> list[str]:
    """Names under which the loader may know one library on Linux or macOS."""
    if sys.platform != "darwin":
        return [f"lib{name}.so.{version}"]
    files = (f"lib{name}.dylib", f"lib{name}.{version}.dylib")
    return [*files, *(f"{folder}/{file}" for folder in MAC_FOLDERS for file in files)]


def loads(name: str, version: str) -> bool:
    """Whether the dynamic loader can load the library under one of its names."""
    import ctypes

    for file in file_names(name, version):
        try:
            ctypes.CDLL(file)
        except OSError:
            continue
        return True
    return False


def has(part: str) -> bool:
    """Whether the part is there: `venv` means that virtual environments with pip can be made."""
    try:
        if part == "venv":
            return all(importlib.import_module(name) for name in ("venv", "ensurepip", "ctypes"))
        return all(loads(name, version) for name, version in LIBRARIES[part])
    except ImportError:
        return False


if __name__ == "__main__":
    print("\n".join(part for part in sys.argv[1:] if not has(part)))
