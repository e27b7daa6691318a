"""HTML to PDF behind one function, so that the renderer can be exchanged: tagged, same bytes for the same input.

The only dates in a PDF are those that the HTML names, and its identifier comes from the HTML.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import logging
import os
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from planner.errors import PaperNotMade
from planner.sheets.renderer_import import renderer_import

VARIANT = "pdf/ua-1"  # accessible PDF; readers and checkers know part 1 far better than part 2
REMEDY = (
    "The HTML holds the same pages: open it in a browser and print it. For the PDF, install Pango and fontconfig "
    "(Debian, Ubuntu: libpango-1.0-0, libpangoft2-1.0-0, libharfbuzz-subset0; macOS: pango)."
)
CLOCK, STOPPED_AT = "SOURCE_DATE_EPOCH", "1767225600"  # 1 January 2026, read by the font library
Refine = Callable[[list[int]], str | None]


@dataclass(frozen=True)
class Laid:
    """A paper laid out on its pages, ready to be written alone or together with others."""

    html: str
    document: Any


def html_to_pdf(html: str, refine: Refine | None = None) -> bytes:
    """Render HTML that has a <title> and a language to a tagged PDF.

    `refine` is told how many pages each section with an id takes, in order; it returns other HTML to lay out
    instead, or None when all is well. Fetches nothing but the fonts and styles of this package. Raises
    PaperNotMade, carrying the HTML, if the renderer is missing or fails.
    """
    return write_pdf([lay_out(html, refine)])


def lay_out(html: str, refine: Refine | None = None) -> Laid:
    """Lay out HTML as `html_to_pdf` does, without writing it yet. Raises PaperNotMade."""
    with _told(html):
        return _laid(html, refine)


def write_pdf(papers: Sequence[Laid]) -> bytes:
    """Write the pages of papers, one after the other, as one PDF with the title of the first. Raises PaperNotMade."""
    html = "\n".join(paper.html for paper in papers)
    with _told(html), _clock_stopped(), _no_collecting():
        pages = [page for paper in papers for page in paper.document.pages]
        identifier = hashlib.sha256(html.encode()).digest()[:16]
        joined = papers[0].document.copy(pages)
        pdf: bytes = joined.write_pdf(pdf_variant=VARIANT, pdf_identifier=identifier)
        return pdf


@contextlib.contextmanager
def _told(html: str) -> Iterator[None]:
    """Turn whatever fails in the renderer into PaperNotMade: the week itself is good and its HTML can be written."""
    try:
        yield
    except Exception as reason:
        told = (str(reason).strip().splitlines() or [""])[0].rstrip(".")
        message = f"The PDF could not be made: {type(reason).__name__}: {told}. {REMEDY}"
        raise PaperNotMade(message, html) from reason


def load_renderer() -> None:
    """Import the renderer ahead of its use; whether it can be is told when a paper is made."""
    with contextlib.suppress(Exception), renderer_import():
        import weasyprint  # noqa: F401


def _laid(html: str, refine: Refine | None) -> Laid:
    with renderer_import():
        from weasyprint.urls import FatalURLFetchingError

    logging.getLogger("fontTools").setLevel(logging.ERROR)  # its warnings are for us, not for the coach
    try:
        with _no_collecting():
            document = _lay_out(html, _fonts())
            while refine and (other := refine(_pages_of_sections(document))):
                html = other
                document = _lay_out(html, _fonts())
    except FatalURLFetchingError as refusal:
        raise ValueError(str(refusal.__cause__ or refusal)) from refusal
    return Laid(html, document)


@cache
def _fonts() -> Any:
    """One set of fonts for all papers of a run, so that pages of several can stand in one PDF."""
    from weasyprint.text.fonts import FontConfiguration

    return FontConfiguration()


@contextlib.contextmanager
def _no_collecting() -> Iterator[None]:
    """Let no garbage be looked for meanwhile: a laid out page is many small things that all stay, and looking costs."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


@contextlib.contextmanager
def _clock_stopped() -> Iterator[None]:
    """Let fonts that are cut down carry one fixed date; without it two PDFs of one week differ in some bytes."""
    before = os.environ.get(CLOCK)
    os.environ[CLOCK] = STOPPED_AT
    try:
        yield
    finally:
        if before is None:
            del os.environ[CLOCK]
        else:
            os.environ[CLOCK] = before


def _lay_out(html: str, fonts: Any) -> Any:
    from weasyprint import HTML

    from planner.sheets.fetch import OnlyOurFiles

    base = Path(str(files("planner.sheets"))) / "styles" / "any.css"
    return HTML(string=html, base_url=base.as_uri(), url_fetcher=OnlyOurFiles()).render(
        font_config=fonts, pdf_variant=VARIANT
    )


def _pages_of_sections(document: Any) -> list[int]:
    """Count the pages on which each section stands; a section that runs over is anchored on every page it takes."""
    pages = Counter(name for page in document.pages for name in page.anchors)
    return list(pages.values())
