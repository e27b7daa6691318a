"""What the renderer may fetch: our own fonts and styles, nothing else on this machine or any other."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from urllib.request import url2pathname

from weasyprint.urls import URLFetcher, URLFetcherResponse

OURS = Path(str(files("planner.sheets"))).resolve()
FOLDERS = (OURS / "fonts", OURS / "styles")
KINDS = (".ttf", ".css")


class OnlyOurFiles(URLFetcher):  # type: ignore[misc]  # weasyprint ships no types
    """Refuses every address that is no font or style of this package; a refusal stops the rendering."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols=("file",), allow_redirects=False, fail_on_errors=True)

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
        """Give the bytes of one of our files; ValueError for anything else."""
        del headers
        parts = urlsplit(url)
        file = Path(url2pathname(parts.path)).resolve()
        ours = any(file.is_relative_to(folder) for folder in FOLDERS) and file.suffix in KINDS
        if parts.scheme != "file" or parts.netloc or not ours:
            raise ValueError(f"the sheets fetch only their own fonts and styles, not {url}")
        return URLFetcherResponse(url, body=file.read_bytes())
