"""From documents to what lies on disk: rechecked first, then papers, table and week.json, all written or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from library.errors import PaperNotMade
from planner.athlete import folder, writing
from planner.document import exercises_of
from planner.verify.recheck import assert_sound

if TYPE_CHECKING:
    from planner.document import WeekDocument
    from planner.sheets.page import Desk
    from planner.week.block import PlannedBlock
    from planner.week.gather import Asked

Files = dict[str, bytes | str]
BLOCK_PAPER = "block"  # block.pdf lies with the block's first week


class Published(NamedTuple):
    """The weeks' folders in order, and the complaint of the PDF renderer if there was one."""

    folders: tuple[Path, ...]
    paper_fault: PaperNotMade | None

    def paper(self, name: str) -> Path | None:
        """Give a paper of the first week by name: sheets, coach, block, phone, sessions; None where there is none."""
        return next(self.folders[0].glob(f"{name}*"), None)


def check_sound(document: WeekDocument, asked: Asked) -> None:
    """Recheck a document by code that shares nothing with the model. Raises BrokenPlan."""
    inputs = asked.inputs
    known = (inputs.profiles, inputs.barred, inputs.capped, asked.filed.inputs.brief, inputs.last_plan)
    assert_sound(document, asked.library, inputs.brief, inputs.gyms, asked.before, *known)


def publish(document: WeekDocument, asked: Asked, athlete: Path, out: Path | None) -> Published:
    """Write the week's folder; without a PDF renderer HTML stands in. Raises FaultyInput if it cannot be written."""
    return _published([document], asked, athlete, out)


def publish_block(
    planned: PlannedBlock, athlete: Path, out: Path | None, sheets: int | None = None
) -> Published:
    """Write the folders of all weeks, papers of the first `sheets` (None: as the settings have it) of them, the wall
    page with the first. Without a PDF renderer HTML stands in. Raises FaultyInput if they cannot be written."""
    return _published(planned.document.weeks, planned.asked[0], athlete, out, sheets, wall=True)


def _published(
    weeks: Sequence[WeekDocument], asked: Asked, athlete: Path, out: Path | None, sheets: int | None = None, *,
    wall: bool = False,
) -> Published:  # fmt: skip
    from planner.phone.pages import phone_pages
    from planner.sheets import paper
    from planner.sheets.table import calendar, week_csv

    desks, first, fault = [desk_of(week, asked) for week in weeks], weeks[0], None
    contents: dict[str, Files] = {}
    for week in weeks:
        contents[week.week] = {"week.json": week.model_dump_json(indent=2) + "\n", "week.csv": week_csv(week)}
    units = {name: gym.unit for name, gym in asked.inputs.gyms.items()}
    sheets, told = sheets or desks[0].settings.block_sheet_weeks, []
    # the first week's pages give the evidence for a later one too, where they hold all of it
    for desk in desks[:sheets]:
        again = desk is not desks[0] and exercises_of(desk.document) <= exercises_of(first)
        told.append((desk, first.week if again else ""))
        pages = phone_pages(desk, asked.filed.log, units)
        contents[desk.document.week] |= {"sessions.ics": calendar(desk), **pages}
    try:
        pdfs = paper.render_block(desks, sheets) if wall else [b"", paper.render_sheets(desks[0])]
        papers: list[Files] = [{"coach.pdf": paper.render_coach(*of)} for of in told]
        for files, page in zip(papers, pdfs[1:], strict=True):
            files["sheets.pdf"] = page
        papers[0] |= {f"{BLOCK_PAPER}.pdf": pdfs[0]} if wall else {}
    except PaperNotMade as missing:
        fault = missing
        html = [(paper.sheets_html(of[0]), paper.coach_html(*of)) for of in told]
        papers = [dict(zip(("sheets.html", "coach.html"), both, strict=True)) for both in html]
        papers[0] |= {f"{BLOCK_PAPER}.html": paper.block_html(desks)} if wall else {}
    for (desk, _), files in zip(told, papers, strict=True):
        contents[desk.document.week] |= files
    return Published(tuple(writing.write_weeks(athlete, contents, out)), fault)


def sheets_together(weeks: Sequence[tuple[WeekDocument, Asked]]) -> bytes:
    """Make one PDF of the client's sheets of several athletes, each with its week. Raises PaperNotMade."""
    from planner.sheets.paper import lay_out_sheets
    from planner.sheets.render import fonts_put_away, write_pdf

    with fonts_put_away():
        return write_pdf([lay_out_sheets(desk_of(week, asked)) for week, asked in weeks])


def desk_of(document: WeekDocument, asked: Asked) -> Desk:
    """Lay out what the papers of a week are written with."""
    from planner.sheets.page import Desk

    inputs = asked.inputs
    places = {name: dict(gym.place) for name, gym in inputs.gyms.items()}
    recorded = {row.date.isoformat() for row in folder.read_own_rows(asked.filed.folder, asked.library)}
    return Desk(document, inputs.library, inputs.brief, places=places, recorded=tuple(sorted(recorded)))
