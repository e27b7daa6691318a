"""From a week's document to its folder: rechecked first, then both papers, table and week.json, written safely."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from planner.athlete.writing import write_week
from planner.errors import PaperNotMade
from planner.verify.recheck import assert_sound

if TYPE_CHECKING:
    from planner.document import WeekDocument
    from planner.sheets.paper import RenderedPaper
    from planner.week.plan import Asked


@dataclass(frozen=True)
class Published:
    """A week's folder, and the complaint of the PDF renderer if there was one."""

    folder: Path
    paper_fault: PaperNotMade | None


def check_sound(document: WeekDocument, asked: Asked) -> None:
    """Recheck a document by code that shares nothing with the model. Raises BrokenPlan."""
    inputs = asked.inputs
    pain = (inputs.barred, inputs.capped)
    assert_sound(document, asked.library, inputs.brief, inputs.gyms, asked.before, inputs.profiles, *pain)


def publish(document: WeekDocument, asked: Asked, athlete: Path, out: Path | None) -> Published:
    """Write the week's folder; without a PDF renderer HTML stands in. FaultyInput if it cannot be written."""
    from planner.publishing.side_by_side import side_by_side
    from planner.sheets.paper import coach_html, render_coach, render_sheets, sheets_html
    from planner.sheets.render import load_renderer
    from planner.sheets.table import week_csv

    inputs = asked.inputs
    files: dict[str, bytes | str] = {
        "week.json": document.model_dump_json(indent=2) + "\n",
        "week.csv": week_csv(document),
    }
    load_renderer()  # once, before the process is split
    coach, sheets = side_by_side(
        lambda: paper(lambda: render_coach(document, inputs.library, inputs.brief)),
        lambda: paper(lambda: render_sheets(document, inputs.library, inputs.brief)),
    )
    fault = None  # the first tells the cause; a failed import fails otherwise the second time
    for name, made, html in (("sheets", sheets, sheets_html), ("coach", coach, coach_html)):
        if isinstance(made, PaperNotMade):
            fault = fault or made
            files[f"{name}.html"] = html(document, inputs.library, inputs.brief)
        else:
            files[f"{name}.pdf"] = made.pdf
    return Published(write_week(athlete, document.week, files, out), fault)


def paper(render: Callable[[], RenderedPaper]) -> RenderedPaper | PaperNotMade:
    """Render one paper, or give the error that says why it could not be."""
    try:
        return render()
    except PaperNotMade as fault:
        return fault
