"""PDF: can a page be printed, and if not, what to install."""

from __future__ import annotations

import shutil
from importlib.metadata import version

from planner.doctor.part import INSTALL_AGAIN, Finding
from planner.errors import PaperNotMade
from planner.sheets.render import html_to_pdf

PAGE = "<!doctype html><html lang='en'><title>Test page</title><p>3 × 8–12, rest ≤ 90 s</p></html>"
INSTALL = {
    "apt-get": "sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 fontconfig",
    "dnf": "sudo dnf install pango fontconfig",
    "brew": "brew install pango fontconfig",
}
UNKNOWN = "Install Pango and fontconfig with this system's package manager."
AFTERWARDS = "Then ask again: planner doctor. Until then weeks are written as HTML, without PDF."


def look_at_paper() -> Finding:
    """Print one page with the renderer of the sheets and tell whether a PDF came out."""
    try:
        page = html_to_pdf(PAGE)
    except PaperNotMade as error:
        return why_not(error.__cause__ or error)
    if not page.startswith(b"%PDF"):
        return Finding("broken", "what the renderer printed is no PDF", (INSTALL_AGAIN,))
    return Finding("works", f"WeasyPrint {version('weasyprint')} printed a page of {len(page) / 1000:.0f} kB")


def why_not(reason: BaseException) -> Finding:
    """Tell a system library that does not load (OSError) from any other failure of the renderer."""
    first = (str(reason).splitlines() or [type(reason).__name__])[0].split(".  ")[0]  # the rest is the search
    if isinstance(reason, OSError):
        return Finding("missing", first, what_to_install())
    return Finding("broken", f"{type(reason).__name__}: {first}", (INSTALL_AGAIN,))


def what_to_install() -> tuple[str, str]:
    """Say in two lines what this platform needs for PDFs."""
    manager = next((name for name in INSTALL if shutil.which(name)), "")
    return INSTALL.get(manager, UNKNOWN), AFTERWARDS
