"""The fonts that ship with the sheets: there, readable, and with every sign the sheets print."""

from __future__ import annotations

from collections.abc import Iterable
from importlib.resources import as_file, files
from importlib.resources.abc import Traversable

from planner.doctor.part import INSTALL_AGAIN, Finding

SIGNS = "0123456789×–≤≥±½°é→•"


def look_at_fonts() -> Finding:
    """Load every font file of planner/sheets/fonts and tell whether all signs are in them."""
    shipped = shipped_fonts()
    if not shipped:
        return Finding("missing", "no font file ships with the sheets", (INSTALL_AGAIN,))
    try:
        lacking = without(SIGNS, shipped)
    except Exception as error:  # a damaged file fails in many ways; each means the same here
        return Finding("broken", f"a font file does not load: {error}", (INSTALL_AGAIN,))
    if lacking:
        return Finding("broken", f"no shipped font has {lacking}", (INSTALL_AGAIN,))
    return Finding("works", f"{len(shipped)} font files, every sign of the sheets in them")


def shipped_fonts() -> list[Traversable]:
    """List the font files beside the sheets, by name."""
    folder = files("planner.sheets") / "fonts"
    found = folder.iterdir() if folder.is_dir() else iter(())
    return sorted(
        (file for file in found if file.name.endswith((".ttf", ".otf"))), key=lambda file: file.name
    )


def without(signs: str, fonts: Iterable[Traversable]) -> str:
    """Return the signs that none of the fonts has; every font is read, so that a damaged one is noticed."""
    from fontTools.ttLib import TTFont

    covered: set[int] = set()
    for font in fonts:
        with as_file(font) as path, TTFont(path) as opened:
            covered |= opened.getBestCmap().keys()
    return "".join(sign for sign in signs if ord(sign) not in covered)
