"""The papers of a block: every week's sheets, laid out once and printed twice, and all of them behind an overview."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from library.read import Library
from planner.athlete.brief import Brief
from planner.document import WeekDocument
from planner.method import SheetSettings
from planner.sheets import block, say
from planner.sheets.block_chart import block_charts
from planner.sheets.desk import Desk
from planner.sheets.page import fill, style
from planner.sheets.paper import DEFAULTS, RenderedPaper, lay_out_sheets
from planner.sheets.render import lay_out, write_pdf


@dataclass(frozen=True)
class BlockPapers:
    """block.pdf (its HTML is the overview alone), and every week's sheets in order."""

    block: RenderedPaper
    sheets: tuple[RenderedPaper, ...]


def block_html(
    weeks: Sequence[WeekDocument], library: Library, brief: Brief, settings: SheetSettings = DEFAULTS
) -> str:
    """Write the overview of a block as one HTML text, style included, without any need for the PDF renderer."""
    first, desk = weeks[0], Desk(weeks[0], library, brief, settings)
    athlete = say.plain(first.athlete)
    return fill(
        "block.html",
        title=f"Block of {len(weeks)} weeks: {athlete}, from week {first.week}",
        style=style("block.css", desk),
        document=first,
        athlete=athlete,
        begins=say.session_date(first.week_start, "Mon"),
        ends=say.session_date(weeks[-1].week_start, "Sun"),
        last=weeks[-1].week,
        words=desk.words,
        heads=[name for _, name in block.heads_of(weeks, library)],
        rows=block.week_rows(weeks, library),
        charts=block_charts(weeks, library),
        sessions=block.session_sets(weeks),
        changes=block.changes(weeks, library),
        above=block.above_ceiling(weeks, library),
        rises=bool(first.block and first.block.ramp_share),
        proven=all(week.status == "proven" for week in weeks),
    )


def render_block(
    weeks: Sequence[WeekDocument], library: Library, brief: Brief, settings: SheetSettings = DEFAULTS
) -> BlockPapers:
    """Make block.pdf (overview, then every week's sheets) and each week's sheets.pdf. Raises PaperNotMade."""
    overview = lay_out(block_html(weeks, library, brief, settings))
    laid = [lay_out_sheets(week, library, brief, settings) for week in weeks]
    return BlockPapers(
        RenderedPaper(overview.html, write_pdf([overview, *laid])),
        tuple(RenderedPaper(one.html, write_pdf([one])) for one in laid),
    )
