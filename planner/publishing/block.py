"""From a block's weeks to their folders: each rechecked first, then all papers, written as one or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from planner.athlete.writing import write_weeks
from planner.document import exercises_of
from planner.errors import PaperNotMade
from planner.publishing.side_by_side import side_by_side
from planner.publishing.week import check_sound

if TYPE_CHECKING:
    from library.read import Library
    from planner.athlete.brief import Brief
    from planner.document import WeekDocument
    from planner.sheets.block_paper import BlockPapers
    from planner.sheets.paper import RenderedPaper
    from planner.week.block.plan import PlannedBlock

Files = dict[str, bytes | str]
BLOCK_PAPER = "block"  # block.pdf lies with the block's first week


@dataclass(frozen=True)
class PublishedBlock:
    """The weeks' folders in order, the paper of the whole block, and the complaint of the PDF renderer if any."""

    folders: tuple[Path, ...]
    paper: Path
    paper_fault: PaperNotMade | None


def check_all_sound(planned: PlannedBlock) -> None:
    """Recheck every week. Raises BrokenPlan."""
    for document, asked in zip(planned.document.weeks, planned.asked, strict=True):
        check_sound(document, asked)


def publish_block(planned: PlannedBlock, athlete: Path, out: Path | None) -> PublishedBlock:
    """Write the folders of all weeks; without a PDF renderer HTML stands in. FaultyInput if they cannot be written."""
    from planner.sheets.render import load_renderer
    from planner.sheets.table import week_csv

    weeks = planned.document.weeks
    contents: list[Files] = [
        {"week.json": week.model_dump_json(indent=2) + "\n", "week.csv": week_csv(week)} for week in weeks
    ]
    load_renderer()  # once, before the process is split
    library, brief = planned.asked[0].library, planned.asked[0].inputs.brief
    coach, sheets = side_by_side(
        lambda: coach_papers(weeks, library, brief), lambda: block_papers(weeks, library, brief)
    )
    fault = next((made for made in (sheets, coach) if isinstance(made, PaperNotMade)), None)
    if isinstance(sheets, PaperNotMade) or isinstance(coach, PaperNotMade):
        add_html(contents, weeks, library, brief)
    else:
        contents[0][f"{BLOCK_PAPER}.pdf"] = sheets.block.pdf
        for files, for_client, for_coach in zip(contents, sheets.sheets, coach, strict=True):
            files |= {"sheets.pdf": for_client.pdf, "coach.pdf": for_coach.pdf}
    names = [week.week for week in weeks]
    folders = write_weeks(athlete, dict(zip(names, contents, strict=True)), out)
    return PublishedBlock(tuple(folders), next(folders[0].glob(f"{BLOCK_PAPER}.*")), fault)


def coach_papers(
    weeks: Sequence[WeekDocument], library: Library, brief: Brief
) -> list[RenderedPaper] | PaperNotMade:
    """Render the coach's pages of every week, or give the error that says why they could not be."""
    from planner.sheets.paper import render_coach

    try:
        return [render_coach(week, library, brief, told_in=told_before(weeks, week)) for week in weeks]
    except PaperNotMade as fault:
        return fault


def told_before(weeks: Sequence[WeekDocument], week: WeekDocument) -> str:
    """Name the first week where its pages give evidence and defaults for a later one too; empty for the first."""
    first = weeks[0]
    same = exercises_of(week) <= exercises_of(first) and week.made_with.method == first.made_with.method
    return first.week if week is not first and same else ""


def block_papers(weeks: Sequence[WeekDocument], library: Library, brief: Brief) -> BlockPapers | PaperNotMade:
    """Render overview and sheets of all weeks, or give the error that says why they could not be."""
    from planner.sheets.block_paper import render_block

    try:
        return render_block(weeks, library, brief)
    except PaperNotMade as fault:
        return fault


def add_html(
    contents: Sequence[Files], weeks: Sequence[WeekDocument], library: Library, brief: Brief
) -> None:
    """Put the HTML of every paper where its PDF would be."""
    from planner.sheets.block_paper import block_html
    from planner.sheets.paper import coach_html, sheets_html

    contents[0][f"{BLOCK_PAPER}.html"] = block_html(weeks, library, brief)
    for files, week in zip(contents, weeks, strict=True):
        files["sheets.html"] = sheets_html(week, library, brief)
        files["coach.html"] = coach_html(week, library, brief, told_in=told_before(weeks, week))
