"""PDF: can a page be printed, and if not, what to install."""

from __future__ import annotations

import shutil

from planner.doctor.part import Finding
from planner.sheets.renderer_import import renderer_import

PAGE = "<!doctype html><html lang='en'><title>Test page</title><p>3 × 8–12, rest ≤ 90 s</p></html>"
INSTALL = {
    "apt-get": "sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 fontconfig",
    "dnf": "sudo dnf install pango fontconfig",
    "brew": "brew install pango fontconfig",
}
UNKNOWN = "Install Pango and fontconfig with this system's package manager."
AFTERWARDS = "Then ask again: planner doctor. Until then weeks are written as HTML, without PDF."


def look_at_paper() -> Finding:
    """Print one page with WeasyPrint and tell whether a PDF came out."""
    try:
        version, page = print_page(PAGE)
    except OSError as error:  # a library of the system that does not load
        return Finding("missing", str(error).splitlines()[0], what_to_install())
    if not page.startswith(b"%PDF"):
        return Finding("broken", f"WeasyPrint {version} printed no PDF", what_to_install())
    return Finding("works", f"WeasyPrint {version} printed a page of {len(page) / 1000:.0f} kB")


def print_page(html: str) -> tuple[str, bytes]:
    """Return WeasyPrint's version and the PDF of a page; OSError if a system library does not load."""
    with renderer_import():
        import weasyprint
    return str(weasyprint.__version__), bytes(weasyprint.HTML(string=html).write_pdf() or b"")


def what_to_install() -> tuple[str, str]:
    """Say in two lines what this platform needs for PDFs."""
    manager = next((name for name in INSTALL if shutil.which(name)), "")
    return INSTALL.get(manager, UNKNOWN), AFTERWARDS
