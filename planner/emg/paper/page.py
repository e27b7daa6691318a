"""From a template to HTML and to PDF, in the sheets' own fonts."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

from library.errors import Fault, FaultyInput
from planner.errors import PaperNotMade


def html_of(template: str, **filled: Any) -> str:
    """Fill one of this package's templates; text is escaped, drawings are not."""
    import jinja2
    import markupsafe

    measure = files("planner.emg")
    fonts = files("planner.sheets").joinpath("styles/fonts.css").read_text("utf-8")
    style = fonts + measure.joinpath("styles/measure.css").read_text("utf-8")
    source = measure.joinpath(f"templates/{template}").read_text("utf-8")
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True)
    return environment.from_string(source).render(style=markupsafe.Markup(style), **filled)


def write_paper(folder: Path, name: str, html: str) -> Path:
    """Write FOLDER/NAME.pdf and return it; where no PDF can be made, NAME.html, and raise PaperNotMade."""
    from planner.sheets.render import html_to_pdf

    try:
        folder.mkdir(parents=True, exist_ok=True)
        try:
            pdf = html_to_pdf(html)
        except PaperNotMade as missing:
            beside = folder / f"{name}.html"
            beside.write_text(html, encoding="utf-8")
            raise PaperNotMade(f"{missing} It is here: {beside}", html) from missing
        file = folder / f"{name}.pdf"
        file.write_bytes(pdf)
    except OSError as error:
        remedy = "Name a folder that can be written with --out"
        raise FaultyInput([Fault(folder, "", f"cannot be written ({error.strerror})", remedy)]) from None
    return file
