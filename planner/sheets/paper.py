"""The papers of a week and of a block: sheets for the gym floor, the coach's pages, the block's overview."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.document import with_weeks_away
from planner.sheets import cautions, client, coach, fit, say
from planner.sheets.language import _, speaking
from planner.sheets.page import Desk, fill, style, week_page
from planner.sheets.render import Laid, fonts_put_away, html_to_pdf, lay_out, write_pdf


@dataclass(frozen=True)
class RenderedPaper:
    """One paper twice: the HTML and the PDF made from it."""

    html: str
    pdf: bytes


def sheets_html(desk: Desk) -> str:
    """Write the client's sheets as one HTML text, style included, without any need for the PDF renderer."""
    with speaking(desk.brief.athlete.language):
        pages = client.pages(desk)
        return _sheets(desk, pages, _levels(desk, pages))


def coach_html(desk: Desk, told_in: str = "") -> str:
    """Write the coach's pages as one HTML text, style included, without any need for the PDF renderer.

    `told_in`: the week whose pages give the evidence for this one too; empty: these pages do.
    """
    values = coach.page_values(desk)
    return week_page("coach.html", desk, "Coach's pages", "coach.css", told_in=told_in, **values)


def render_sheets(desk: Desk) -> RenderedPaper:
    """Make sheets.pdf: a page a session, as roomy as fits, two for a long one. Raises PaperNotMade with the HTML."""
    with fonts_put_away():
        laid = lay_out_sheets(desk)
        return RenderedPaper(laid.html, write_pdf([laid]))


def lay_out_sheets(desk: Desk) -> Laid:
    """Lay out the client's sheets, to be written alone or with other weeks. Raises PaperNotMade with the HTML."""
    with speaking(desk.brief.athlete.language):
        return _lay_out_sheets(desk, client.pages(desk))


def _lay_out_sheets(desk: Desk, pages: list[client.Page]) -> Laid:
    levels = _levels(desk, pages)

    def refine(pages_taken: list[int]) -> str | None:
        nonlocal levels
        sections = [page.key for page in pages for _ in fit.laid_out(page, levels[page.key], desk.settings)]
        too_long = [key for key, taken in zip(sections, pages_taken, strict=False) if taken > 1]
        closer = fit.tighter(levels, too_long, desk.settings)
        if closer is None:
            return None
        levels = closer
        return _sheets(desk, pages, closer)

    return lay_out(_sheets(desk, pages, levels), refine)


def render_coach(desk: Desk, told_in: str = "") -> RenderedPaper:
    """Make coach.pdf; `told_in` as for `coach_html`. Raises PaperNotMade with the HTML."""
    html = coach_html(desk, told_in)
    return RenderedPaper(html, html_to_pdf(html))


def block_html(desks: Sequence[Desk]) -> str:
    """Write the wall page of a block, one desk a week, as one HTML text, without any need for the PDF renderer."""
    from planner.sheets.block import page_values

    first = desks[0]
    weeks = [desk.document for desk in desks]
    athlete = say.plain(first.document.athlete)
    return fill(
        "block.html",
        title=f"Block of {len(weeks)} weeks: {athlete}, from week {first.document.week}",
        style=style(
            "block.css", first, landscape=len(with_weeks_away(weeks)) > first.settings.block_upright_weeks
        ),
        document=first.document,
        athlete=athlete,
        words=first.words,
        **page_values(weeks, first.library),
    )


def render_block(desks: Sequence[Desk], sheets: int) -> list[RenderedPaper]:
    """Make block.pdf (the wall page, then the sheets of the first weeks), then sheets.pdf of each of these weeks.

    `sheets`: of so many weeks. Raises PaperNotMade.
    """
    with fonts_put_away():
        overview = lay_out(block_html(desks))
        laid = [lay_out_sheets(desk) for desk in desks[:sheets]]
        papers = [(overview, [overview, *laid]), *((paper, [paper]) for paper in laid)]
        return [RenderedPaper(first.html, write_pdf(pages)) for first, pages in papers]


def _levels(desk: Desk, pages: list[client.Page]) -> dict[str, int]:
    paper = desk.brief.preferences.paper
    return {page.key: fit.guess(page, paper, desk.settings) for page in pages}


def _sheets(desk: Desk, pages: list[client.Page], levels: dict[str, int]) -> str:
    return week_page(
        "sheets.html",
        desk,
        _("Training sheets"),
        "sheets.css",
        pages=[part for page in pages for part in fit.laid_out(page, levels[page.key], desk.settings)],
        already=client.already_done(desk),
        careful=say.listed(cautions.careful_names(desk)),
    )
