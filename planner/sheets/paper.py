"""The two papers of a week: sheets for the gym floor, one page a session, and the coach's pages."""

from __future__ import annotations

from dataclasses import dataclass

from library.read import Library
from planner.athlete.brief import Brief
from planner.document import WeekDocument
from planner.method import SheetSettings
from planner.sheets import care, client, coach, fit, names, say
from planner.sheets.chart import dose_chart
from planner.sheets.desk import Desk
from planner.sheets.page import fill, style
from planner.sheets.references import evidence
from planner.sheets.render import Laid, html_to_pdf, lay_out, write_pdf

DEFAULTS = SheetSettings()


@dataclass(frozen=True)
class RenderedPaper:
    """One paper twice: the HTML and the PDF made from it."""

    html: str
    pdf: bytes


def sheets_html(
    document: WeekDocument, library: Library, brief: Brief, settings: SheetSettings = DEFAULTS
) -> str:
    """Write the client's sheets as one HTML text, style included, without any need for the PDF renderer."""
    desk = Desk(document, library, brief, settings)
    pages = client.pages(desk)
    return _sheets(desk, pages, _levels(desk, pages))


def coach_html(
    document: WeekDocument,
    library: Library,
    brief: Brief,
    settings: SheetSettings = DEFAULTS,
    told_in: str = "",
) -> str:
    """Write the coach's pages as one HTML text, style included, without any need for the PDF renderer.

    `told_in`: the week whose pages give evidence and defaults for this one too; empty: these pages do.
    """
    desk = Desk(document, library, brief, settings)
    return fill(
        "coach.html",
        title=f"Coach's pages: {say.plain(document.athlete)}, week {document.week}",
        style=style("coach.css", desk),
        document=document,
        athlete=say.plain(document.athlete),
        week_start=say.session_date(document.week_start, "Mon") or document.week_start,
        words=desk.words,
        nothing_left=desk.nothing_left,
        shortfalls=coach.shortfalls(desk),
        chart=dose_chart(desk),
        dose=coach.dose_rows(desk),
        caution=coach.caution(desk),
        changes=coach.changes(desk),
        sessions=coach.session_rows(desk),
        notes=say.further_notes(document),
        loads=coach.loads(desk),
        missed=coach.missed(desk),
        limits=coach.limit_rows(desk, joints=False),
        joints=coach.limit_rows(desk, joints=True),
        proofs=coach.proofs(desk),
        heads=[names.sentence(names.name_of(library, dose.head)) for dose in document.dose],
        told_in=told_in,
        evidence=evidence(desk),
        defaults=coach.defaults(desk),
    )


def render_sheets(
    document: WeekDocument, library: Library, brief: Brief, settings: SheetSettings = DEFAULTS
) -> RenderedPaper:
    """Make sheets.pdf: exactly one page a session, as roomy as fits. Raises PaperNotMade with the HTML."""
    laid = lay_out_sheets(document, library, brief, settings)
    return RenderedPaper(laid.html, write_pdf([laid]))


def lay_out_sheets(
    document: WeekDocument, library: Library, brief: Brief, settings: SheetSettings = DEFAULTS
) -> Laid:
    """Lay out the client's sheets, to be written alone or with other weeks. Raises PaperNotMade with the HTML."""
    desk = Desk(document, library, brief, settings)
    pages = client.pages(desk)
    levels = _levels(desk, pages)

    def refine(pages_taken: list[int]) -> str | None:
        nonlocal levels
        too_long = [page.key for page, taken in zip(pages, pages_taken, strict=False) if taken > 1]
        closer = fit.tighter(levels, too_long, settings)
        if closer is None:
            return None
        levels = closer
        return _sheets(desk, pages, closer)

    return lay_out(_sheets(desk, pages, levels), refine)


def render_coach(
    document: WeekDocument,
    library: Library,
    brief: Brief,
    settings: SheetSettings = DEFAULTS,
    told_in: str = "",
) -> RenderedPaper:
    """Make coach.pdf; `told_in` as for `coach_html`. Raises PaperNotMade with the HTML."""
    html = coach_html(document, library, brief, settings, told_in)
    return RenderedPaper(html, html_to_pdf(html))


def _levels(desk: Desk, pages: list[client.Page]) -> dict[str, int]:
    paper = desk.brief.preferences.paper
    return {page.key: fit.guess(page, paper, desk.settings) for page in pages}


def _sheets(desk: Desk, pages: list[client.Page], levels: dict[str, int]) -> str:
    return fill(
        "sheets.html",
        title=f"Training sheets: {say.plain(desk.document.athlete)}, week {desk.document.week}",
        style=style("sheets.css", desk),
        document=desk.document,
        athlete=say.plain(desk.document.athlete),
        pages=pages,
        levels=levels,
        settings=desk.settings,
        nothing_left=desk.nothing_left,
        first_warnings=client.warnings(desk, place=1),
        already=client.already_done(desk),
        careful=say.joined(care.careful_names(desk)),
        words=desk.words,
    )
