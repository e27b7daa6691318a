"""HTML to PDF behind one function, so that the renderer can be exchanged: tagged, same bytes for the same input. The
only dates in a PDF are those that the HTML names, and its identifier comes from the HTML."""

import contextlib
import hashlib
import io
import logging
import os
import shutil
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

from library.errors import PaperNotMade
from planner.athlete.writing import write_safely

VARIANT = "pdf/ua-1"  # accessible PDF; readers and checkers know part 1 far better than part 2
REMEDY = (
    "The HTML holds the same pages: open it in a browser and print it. For the PDF, install Pango and fontconfig "
    "(Debian, Ubuntu: libpango-1.0-0, libpangoft2-1.0-0, libharfbuzz-subset0; macOS: pango)."
)
CLOCK, STOPPED_AT = "SOURCE_DATE_EPOCH", "1767225600"  # 1 January 2026, read by the font library
OURS = Path(str(files("planner.sheets"))).resolve()
FETCHED = ((OURS / "fonts", ".ttf"), (OURS / "styles", ".css"))
SEARCH_PATH = "DYLD_FALLBACK_LIBRARY_PATH"
# Homebrew on Apple and on Intel processors, MacPorts, then where macOS itself would look
MAC_FOLDERS = ("/opt/homebrew/lib", "/usr/local/lib", "/opt/local/lib", "/usr/lib")
Laid = tuple[
    str, Any
]  # a paper laid out on its pages, to be written alone or with others: its HTML, its document
_fonts: list[Any] = []  # one set for all papers of a run, so that pages of several can stand in one PDF


def html_to_pdf(html: str) -> bytes:
    """Render HTML that has a <title> and a language to a tagged PDF, with fonts and styles of this package alone. Raises
    PaperNotMade, carrying the HTML, if the renderer is missing or fails."""
    with fonts_put_away():
        return write_pdf([lay_out(html)])


def write_pdf_safely(file: Path, html: str) -> Path:
    """Write HTML as a PDF, its folder too, whole or not at all, and return it; without one write .html and raise PaperNotMade."""
    with contextlib.suppress(OSError):  # writing says what is wrong
        file.parent.mkdir(parents=True, exist_ok=True)
    try:
        write_safely(file, html_to_pdf(html))
        return file
    except PaperNotMade as missing:
        beside = file.with_suffix(".html")
        write_safely(beside, html)
        raise PaperNotMade(f"{missing} It is here: {beside}", html) from missing


def lay_out(html: str, refine: Callable[[list[int]], str | None] | None = None) -> Laid:
    """Lay out HTML as `html_to_pdf` does, without writing it yet (inside `fonts_put_away`). Raises PaperNotMade.
    `refine` is told how many pages each section with an id takes, in order; it returns other HTML to lay out instead,
    or None when all is well. A section that runs over is anchored on every page it takes."""
    with _told(html):
        if not _fonts:
            with renderer_import():
                from weasyprint.text.fonts import FontConfiguration

            # its warnings are for us, not for the coach
            logging.getLogger("fontTools").setLevel(logging.ERROR)
            _fonts.append(FontConfiguration())
        document = _lay_out(html)
        while refine:
            anchors = Counter(name for page in document.pages for name in page.anchors)
            if not (other := refine(list(anchors.values()))):
                break
            html, document = other, _lay_out(other)
        return html, document


def write_pdf(papers: Sequence[Laid]) -> bytes:
    """Write the pages of papers, one after the other, as one PDF with the title of the first. Raises PaperNotMade."""
    html = "\n".join(text for text, _ in papers)
    with _told(html), _clock_stopped():
        pages = [page for _, document in papers for page in document.pages]
        identifier = hashlib.sha256(html.encode()).digest()[:16]
        pdf: bytes = papers[0][1].copy(pages).write_pdf(pdf_variant=VARIANT, pdf_identifier=identifier)
        return pdf


@contextlib.contextmanager
def fonts_put_away() -> Iterator[None]:
    """Share one set of fonts among the papers made inside; at the end remove the renderer's copies of them."""
    if _fonts:  # inside another one, which puts them away
        yield
        return
    try:
        yield
    finally:
        for fonts in _fonts:
            if folder := getattr(fonts, "_folder", None):
                shutil.rmtree(folder, ignore_errors=True)
        _fonts.clear()


@contextlib.contextmanager
def renderer_import() -> Iterator[None]:
    """Import WeasyPrint inside: its complaints stay off stdout, its libraries are looked for where brew keeps them (a
    Python that does not come from brew would not; the environment is changed for this process alone)."""
    if sys.platform == "darwin":
        named, prefix = os.environ.get(SEARCH_PATH, ""), os.environ.get("HOMEBREW_PREFIX")
        folders = [*named.split(":"), f"{prefix}/lib" if prefix else "", *MAC_FOLDERS]  # the user's first
        os.environ[SEARCH_PATH] = ":".join(filter(None, dict.fromkeys(folders)))
    with contextlib.redirect_stdout(io.StringIO()):  # a missing library is told there, which is the result's
        yield


@contextlib.contextmanager
def _told(html: str) -> Iterator[None]:
    """Turn whatever fails in the renderer into PaperNotMade: the week itself is good and its HTML can be written."""
    try:
        yield
    except Exception as reason:
        first = (str(reason).strip().splitlines() or [""])[0].rstrip(".")
        message = f"The PDF could not be made: {type(reason).__name__}: {first}. {REMEDY}"
        raise PaperNotMade(message, html) from reason


def _lay_out(html: str) -> Any:
    """Lay out HTML with a fetcher that refuses every address but our fonts and styles; a refusal stops the rendering."""
    from weasyprint import HTML
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class OnlyOurFiles(URLFetcher):  # type: ignore[misc]  # weasyprint ships no types
        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            del headers
            return URLFetcherResponse(url, body=our_file(url))

    fetcher = OnlyOurFiles(allowed_protocols=("file",), allow_redirects=False, fail_on_errors=True)
    page = HTML(string=html, base_url=(OURS / "styles" / "any.css").as_uri(), url_fetcher=fetcher)
    try:
        return page.render(font_config=_fonts[0], pdf_variant=VARIANT)
    except FatalURLFetchingError as refusal:
        raise ValueError(str(refusal.__cause__ or refusal)) from refusal


def our_file(url: str) -> bytes:
    """Give the bytes of one of our fonts or styles; ValueError for any other address."""
    from urllib.parse import urlsplit
    from urllib.request import url2pathname

    parts = urlsplit(url)
    file = Path(url2pathname(parts.path)).resolve()
    ours = any(file.is_relative_to(folder) and file.suffix == kind for folder, kind in FETCHED)
    if parts.scheme != "file" or parts.netloc or not ours:
        raise ValueError(f"the sheets fetch only their own fonts and styles, not {url}")
    return file.read_bytes()


@contextlib.contextmanager
def _clock_stopped() -> Iterator[None]:
    """Let fonts that are cut down carry one fixed date; without it two PDFs of one week differ in some bytes."""
    before = os.environ.get(CLOCK)
    os.environ[CLOCK] = STOPPED_AT
    try:
        yield
    finally:
        del os.environ[CLOCK]
        os.environ |= {} if before is None else {CLOCK: before}
