"""The week: as planned or proposed, its changes, what could stand instead, why it is as it is, and its papers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, Response

from library.errors import PlannerError
from planner.athlete.folder import in_force, read_week, week_folder, weeks
from planner.athlete.reading import read_athlete
from planner.desk.app import Visit, told
from planner.desk.proposals import EDITS, Proposal
from planner.document import HeadDose, WeekDocument, next_week, week_named
from planner.plain import day_name, goals_said, number, proof_line, short_lines, week_of

PAPERS = {"sheets": "Client's sheets", "coach": "Coach's page"}
ENDINGS = (".pdf", ".html")


def week(visit: Visit) -> Response:
    """Show the proposal if there is one, else the week in force, or the week of ?week= of those on disk."""
    folder, proposal = visit.folder, visit.desk.proposals.of.get(visit.folder)
    names = weeks(folder)
    wanted = visit.request.query_params.get("week")
    if proposal and wanted is None:
        return shown(visit, proposal.document, proposal)
    document = read_week(folder, wanted) if wanted in names else in_force(folder, visit.desk.room.today())
    return shown(visit, document, None)


def shown(
    visit: Visit, document: WeekDocument | None, proposal: Proposal | None, *, faults: list[str] | None = None
) -> Response:
    """Fill in the week's page; faults stand at its top."""
    folder, books = visit.folder, visit.desk.room.library
    faults, status = faults or [], 422 if faults else 200
    try:
        gyms = read_athlete(folder, books)[1]
    except PlannerError as error:
        gyms, faults = {}, [*faults, *told(error)]
    heads = [(d.head, d.planned + d.elsewhere, d.target, d.floor) for d in document.dose] if document else []
    papers = papers_of(folder, document.week) if document and not proposal else {}
    values: dict[str, Any] = {
        "key": visit.key,
        "document": document,
        "proposal": proposal,
        "names": weeks(folder),
        "next_week": next_week(visit.desk.room.today()),
        "equipment": [(gym, key, books.equipment[key].name) for gym in gyms for key in gyms[gym].equipment],
        "bars": [bar(dose, books.heads[dose.head].name) for dose in document.dose] if document else [],
        "short": short_lines(heads),
        "goals": [text for text, _ in goals_said(books, document.missed)] if document else [],
        "proofs": [proof_line(proof) for proof in document.proof] if document else [],
        "title": week_of(document.week, document.week_start) if document else "No week is planned yet",
        "day_name": day_name,
        "number": number,
        "papers": {of: PAPERS.get(of, f"Phone sheet, {day_name(of)}") for of in papers},
    }
    return visit.page("week.html", status, faults=faults, **values)


def bar(dose: HeadDose, name: str) -> dict[str, Any]:
    """Give a head's figures for its drawing, in per cent of a common width."""
    total = dose.planned + dose.elsewhere
    most = max(dose.ceiling, dose.high90, total, 1.0)
    figures = {
        **{of: getattr(dose, of) for of in ("own", "helping", "elsewhere", "floor", "target", "ceiling")},
        "low90": dose.low90,
        "high90": dose.high90,
    }
    return {
        "name": name,
        "dose": dose,
        "total": total,
        "at": {of: round(100 * value / most, 2) for of, value in figures.items()},
    }


def plan(visit: Visit) -> Response:
    """Plan a week anew and propose it."""
    today = visit.desk.room.today()
    try:
        name = week_named(visit.text("week"), today) if visit.text("week") else None
        proposal = visit.desk.proposals.plan(visit.folder, name, today)
    except PlannerError as error:
        return shown(visit, in_force(visit.folder, today), None, faults=told(error))
    return visit.go("week", f"{proposal.week} is planned and not written yet: look at it, then sign.")


def edit(visit: Visit) -> Response:
    """Change the week by one thing and propose what comes of it."""
    kind, word, today = visit.text("kind"), visit.text("word"), visit.desk.room.today()
    standing = visit.desk.proposals.of.get(visit.folder)
    name = visit.text("week")
    if kind not in EDITS or name not in weeks(visit.folder):
        raise HTTPException(400, "The desk knows no such change.")
    if visit.text("prefix"):
        word = visit.text("prefix") + word
    try:
        proposal = visit.desk.proposals.edit(visit.folder, name, (kind, word), today)
    except PlannerError as error:
        document = standing.document if standing else read_week(visit.folder, name)
        return shown(visit, document, standing, faults=told(error))
    if proposal is None:
        return visit.go("week", "Nothing changes by it: the week stays as it is.")
    return visit.go("week", *proposal.notes, "Planned again, and not written yet: sign or discard.")


def undo(visit: Visit) -> Response:
    """Take the last change of the proposal back."""
    proposal = visit.desk.proposals.undo(visit.folder, visit.desk.room.today())
    return visit.go("week", "The last change is taken back." if proposal else "The week in force stands.")


def discard(visit: Visit) -> Response:
    """Let the proposal go."""
    visit.desk.proposals.of.pop(visit.folder, None)
    return visit.go("week", "The proposal is discarded: nothing was written.")


def sign(visit: Visit) -> Response:
    """Write the proposal that was seen."""
    text = visit.text("number")
    try:
        written = visit.desk.proposals.sign(visit.folder, int(text) if text.isdecimal() else 0)
    except PlannerError as error:
        today = visit.desk.room.today()
        standing = visit.desk.proposals.of.get(visit.folder)
        document = standing.document if standing else in_force(visit.folder, today)
        return shown(visit, document, standing, faults=told(error))
    fault = told(written.paper_fault) if written.paper_fault else []
    return visit.go("week", f"Signed and written to {written.folders[0]}.", *fault)


def instead(visit: Visit) -> Response:
    """List what could be trained instead of an exercise of the week in force."""
    from planner.change.instead_list import instead_list, instead_text
    from planner.change.swap import open_week

    word = visit.request.query_params.get("exercise", "")
    standing = open_week(visit.folder, visit.desk.room.today(), _named(visit))
    listed = instead_list(standing, word)
    text = instead_text(listed, standing.asked.inputs.library)
    return visit.page("text.html", title=f"Instead of {listed.name}", text=text, key=visit.key)


def why_page(visit: Visit) -> Response:
    """Say what holds the week back, and what easing each thing would give."""
    from planner.change.why import asked_for, why
    from planner.change.why_text import why_text

    asked, document = asked_for(visit.folder, visit.desk.room.today(), _named(visit))
    return visit.page(
        "text.html", title="Why", text=why_text(why(asked, document, lambda *_: None)), key=visit.key
    )


def _named(visit: Visit) -> str | None:
    """The week of ?week=, if it is one of those on disk."""
    name = visit.request.query_params.get("week")
    return name if name in weeks(visit.folder) else None


def paper(visit: Visit) -> Response:
    """Show a paper of a signed week; a phone sheet is to be kept and sent, it needs what our pages may not do."""
    name, of = _named(visit), str(visit.request.path_params["paper"])
    file = papers_of(visit.folder, name).get(of) if name else None
    if file is None:
        raise HTTPException(404, "There is no such paper.")
    shown_as = "inline" if file.stem in PAPERS else "attachment"
    return FileResponse(file, filename=f"{name}-{file.name}", content_disposition_type=shown_as)


def papers_of(folder: Path, week: str) -> dict[str, Path]:
    """Give the papers of a week by name: sheets and coach, as HTML where no PDF could be made, and phone sheets."""
    base = week_folder(folder, week)
    files = [base / f"{name}{ending}" for name in PAPERS for ending in reversed(ENDINGS)]
    phone = sorted((base / "phone").glob("*.html"))
    return {file.stem: file for file in (*files, *phone) if file.is_file() and not file.is_symlink()}
