"""The two papers of a week: sheets for the gym floor, one page a session, and the coach's pages."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from library.read import Library
from planner.athlete.brief import Brief
from planner.sheets import care, client, fit, say
from planner.sheets.render import html_to_pdf
from planner.sheets.settings import SheetSettings
from planner.sheets.words import read_words
from planner.week.document import WeekDocument

DEFAULTS = SheetSettings()


@dataclass(frozen=True)
class RenderedPaper:
    """One paper twice: the HTML and the PDF made from it."""

    html: str
    pdf: bytes


def sheets_html(
    document: WeekDocument,
    library: Library,
    brief: Brief,
    settings: SheetSettings = DEFAULTS,
    levels: dict[str, int] | None = None,
) -> str:
    """Write the client's sheets as one HTML page, style included; `levels`: step of roominess per session id."""
    words = read_words()
    pages = client.pages(document, library, brief, words, settings)
    paper = brief.preferences.paper
    guessed = {page.key: fit.guess(page, len(document.warnings), paper, settings) for page in pages}
    return _fill(
        "sheets.html",
        title=f"Training sheets: {document.athlete}, week {document.week}",
        style=_style("sheets.css", brief, settings),
        document=document,
        pages=pages,
        levels=levels or guessed,
        rules_most=settings.rules_most,
        tight_from=settings.tight_from,
        run_in_from=settings.run_in_from,
        nothing_left=client.is_empty(document),
        already=client.already_done(document, library, words),
        careful=say.listed(care.careful_names(care.allowances(brief, library), library)),
        words=words,
    )


def render_sheets(
    document: WeekDocument, library: Library, brief: Brief, settings: SheetSettings = DEFAULTS
) -> RenderedPaper:
    """Make sheets.pdf: exactly one page a session, as roomy as fits. Raises PaperNotMade with the HTML."""
    words = read_words()
    keys = [session.id for session in document.sessions]
    pages = client.pages(document, library, brief, words, settings)
    levels = {p.key: fit.guess(p, len(document.warnings), brief.preferences.paper, settings) for p in pages}
    html = sheets_html(document, library, brief, settings, levels)

    def refine(pages_taken: list[int]) -> str | None:
        nonlocal levels, html
        too_long = [key for key, taken in zip(keys, pages_taken, strict=False) if taken > 1]
        closer = fit.tighter(levels, too_long, settings)
        if closer is None:
            return None
        levels, html = closer, sheets_html(document, library, brief, settings, closer)
        return html

    pdf = html_to_pdf(html, refine)
    return RenderedPaper(html, pdf)


def _fill(template: str, **values: Any) -> str:
    import jinja2

    loader = jinja2.FileSystemLoader(str(files("planner.sheets") / "templates"))
    environment = jinja2.Environment(
        loader=loader, autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return environment.get_template(template).render(**values)


def _style(name: str, brief: Brief, settings: SheetSettings) -> Any:
    """The page rule and sizes from the settings, then our style sheets, as one safe text."""
    from markupsafe import Markup

    folder = files("planner.sheets") / "styles"
    paper = brief.preferences.paper
    height = fit.PAGE_MILLIMETRES[paper][1] - 2 * settings.margin_millimetres
    sizes = {
        "page": f"{height:g}mm",
        "fine": f"{settings.fine_points:g}pt",
        "name": f"{settings.name_points:g}pt",
        "day": f"{settings.day_points:g}pt",
        "coach": f"{settings.coach_points:g}pt",
    }
    rules = [f"@page {{ size: {paper}; margin: {settings.margin_millimetres:g}mm }}"]
    rules += [":root { " + " ".join(f"--{key}: {size};" for key, size in sizes.items()) + " }"]
    rules += [f".level-{step} {{ {_step(settings, step)} }}" for step in range(len(settings.text_points))]
    return Markup(
        "\n".join([*rules, (folder / "fonts.css").read_text("utf-8"), (folder / name).read_text("utf-8")])
    )


def _step(settings: SheetSettings, step: int) -> str:
    """The sizes of one step of roominess."""
    sizes = {
        "text": f"{settings.text_points[step]:g}pt",
        "number": f"{settings.number_points[step]:g}pt",
        "box": f"{settings.box_millimetres[step]:g}mm",
        "stop": f"{settings.stop_millimetres[step]:g}mm",
        "tell": f"{settings.tell_per_cent[step]}%",
    }
    return " ".join(f"--{key}: {size};" for key, size in sizes.items())
