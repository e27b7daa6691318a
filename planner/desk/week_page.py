"""The week: as planned, proposed or kept from before, its changes, its proof in plain words, and its papers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, Response

from library.errors import PlannerError
from library.schema import with_included
from planner.athlete.folder import in_force, read_week, replaced, week_folder, weeks
from planner.athlete.reading import read_athlete
from planner.desk.app import Visit, told
from planner.desk.proposals import PRINTING, Proposal
from planner.document import HeadDose, WeekDocument, next_week, plan_of, week_named
from planner.plain import DAY_NAMES, day_name, goals_said, less_on_purpose, short_of
from planner.sheets import say
from planner.week.gather import gather

if TYPE_CHECKING:
    from planner.change.swap import Standing

PAPERS = {"sheets": "Print: client's sheets", "block": "Print: wall page of the block"}
PAPERS |= {"coach": "Coach's page", "sessions": "Calendar file"}
ENDINGS = (".pdf", ".html", ".ics")


def week(visit: Visit) -> Response:
    """Show the proposal if there is one, else the week in force, or the week (and version) that the address names."""
    folder, wanted, proposals = visit.folder, named(visit), visit.desk.proposals
    version = visit.text("version") if wanted else ""
    pending, said = proposals.settle(folder)
    visit.desk.said += said
    proposal = proposals.shown(folder) if wanted is None else None
    document: WeekDocument | None
    if version:
        document = dict(replaced(folder, wanted or "")).get(version)
        if document is None:
            raise HTTPException(404, "This week has no such version.")
    elif proposal:
        document = proposal.document
    else:
        document = read_week(folder, wanted) if wanted else in_force(folder, visit.today)
    faults, course = told(proposals.failed.get(folder)), proposals.courses[folder]
    values: dict[str, Any] = {
        "document": document, "proposal": proposal, "version": version, "watch": "clock" if pending and not version else "",
        "open": document is not None and not version and not (proposal and proposal.block),
        "redo": 0 if version else len(course.made) - 1 - course.at, "names": weeks(folder),
        "next_week": next_week(visit.today), "exercises": visit.library.exercises,
    }  # fmt: skip
    if document:
        values |= said_of(visit, document, proposal)
        try:
            values |= rooms(visit, document)
        except PlannerError as error:
            values |= {"rooms": {}, "there": {}, "pinned": set()}
            faults += told(error)
    return visit.page("week.html", faults=faults, **values)


def said_of(visit: Visit, document: WeekDocument, proposal: Proposal | None) -> dict[str, Any]:
    """Say a week: its dose, what it misses, its changes, its papers and earlier versions."""
    folder, books, plan = visit.folder, visit.library, plan_of(document)
    base = proposal.base if proposal else document
    if base is None and document.week in weeks(folder):
        base = read_week(folder, document.week)
    before = plan_of(base) if base else plan
    gone = [(key, day) for key, day in before if (key, day) not in plan and key in books.exercises]
    papers = {} if proposal else papers_of(folder, document.week)
    return {
        "before": before, "gone": [(books.exercises[key].name, day) for key, day in gone], "over": say.OVER,
        "bars": [bar(document, dose, books.heads[dose.head].name) for dose in document.dose],
        "short": [*short_of(document), *goals_said(books, document, doses=False)],
        "notes": less_on_purpose(document) + say.further(document.notes, document.warnings, document.pain),
        "changes": [say.change(books, change) for change in document.changes],
        "papers": {of: PAPERS.get(of, f"Phone sheet, {day_name(of)}") for of in papers},
        "versions": [name for name, _ in replaced(folder, document.week)],
    }  # fmt: skip


def rooms(visit: Visit, document: WeekDocument) -> dict[str, Any]:
    """Give each gym's equipment (key, name, whether it is there this week), the exercises that go with it, and what the
    coach has pinned."""
    (brief, gyms), books = read_athlete(visit.folder, visit.library), visit.library.equipment
    pinned = {(one.name, one.day) for one in document.changes if one.kind == "sets" and one.sets}
    pinned |= {(key, pin.day) for key, pin in brief.preferences.pins}
    gone = {(one.gym, one.name) for one in document.changes if one.kind == "without"}
    come = [(one.gym, one.name) for one in document.changes if one.kind == "with" and one.name in books]
    rooms, there, every = {}, {}, visit.library.exercises.values()
    for gym in dict.fromkeys(session.gym for session in document.sessions if session.gym in gyms):
        keys = dict.fromkeys([*gyms[gym].equipment, *(key for of, key in come if of == gym)])
        rooms[gym] = [(key, books[key].name, not {(gym, key), ("", key)} & gone) for key in keys]
        has = with_included([key for key, _, here in rooms[gym] if here])
        there[gym] = {one.key for one in every if has.issuperset(one.needs)}
    return {"rooms": rooms, "there": there, "pinned": pinned}


def bar(document: WeekDocument, dose: HeadDose, name: str) -> dict[str, Any]:
    """Give a head's figures for its drawing, in per cent of a common width; `most`: direct sets of help that count."""
    helping = max(document.made_with.method["aside_share"] * dose.target, dose.helping)
    most = max(dose.ceiling, dose.high90, dose.total, 1.0)
    figures = ("own", "helping", "elsewhere", "floor", "target", "ceiling", "low90", "high90")
    at = {"set": 100 / most} | {of: round(100 * getattr(dose, of) / most, 2) for of in figures}
    return {"name": name, "dose": dose, "at": at, "most": helping}


def at_hand(visit: Visit) -> Standing:
    """Give the week that is shown, proposed or in force or named by the address, as one to be changed."""
    from planner.change.swap import Standing, open_week

    today, name = visit.today, named(visit)
    proposal = visit.desk.proposals.shown(visit.folder)
    if proposal and name in (None, proposal.document.week):
        return Standing(gather(visit.folder, proposal.document.week, today), proposal.document)
    return open_week(visit.folder, today, name)


def plan(visit: Visit) -> Response:
    """Have a week planned anew and proposed."""
    folder, today, text = visit.folder, visit.today, visit.text("week")
    name = week_named(text, today) if text else None
    return visit.propose(lambda planning: planning.planned(folder, name, today))


def edit(visit: Visit) -> Response:
    """Change the week by one thing and propose what comes of it."""
    from planner.change.told import Options

    kind, name, folder = visit.text("kind"), visit.text("week"), visit.folder
    standing = visit.desk.proposals.shown(folder)
    if kind not in Options._fields or not (
        name in weeks(folder) or (standing and standing.document.week == name)
    ):
        raise HTTPException(400, "The desk knows no such change.")
    day, words = visit.text("day"), [str(one).strip() for one in visit.form.getlist("word") if one]
    if kind == "minutes" and day:
        words = [f"{day}={visit.text('minutes')}"]
    elif kind == "sets" and day:
        words += [f"{visit.text('exercise')}={day}:{visit.text('sets')}"]
    try:
        visit.desk.proposals.edit(folder, name, Options(**{kind: tuple(words)}), visit.today)
    except PlannerError as error:
        visit.desk.proposals.failed[folder] = error
        return visit.go("week", query="" if standing else f"?week={name}")
    return visit.go("week")


def step(visit: Visit) -> Response:
    """Take the last change of the proposal back, or make it again."""
    by = 1 if visit.text("by") == "1" else -1
    visit.desk.proposals.step(visit.folder, by)
    taken = "The change is made again." if by > 0 else "The last change is taken back."
    proposal = visit.desk.proposals.shown(visit.folder)
    return visit.go("week", taken if proposal else "The week in force stands.")


def discard(visit: Visit) -> Response:
    """Let the proposals go."""
    visit.desk.proposals.discard(visit.folder)
    return visit.go("week", "The proposal is discarded: nothing was written.")


def back(visit: Visit) -> Response:
    """Propose an earlier version of a week."""
    folder, today, name, version = visit.folder, visit.today, visit.text("week"), visit.text("version")
    if name not in weeks(folder) or version not in dict(replaced(folder, name)):
        raise HTTPException(404, "This week has no such version.")
    return visit.propose(lambda planning: planning.brought_back(folder, name, version, today))


def sign(visit: Visit) -> Response:
    """Write the proposal that was seen."""
    text, folder = visit.text("number"), visit.folder
    try:
        with PRINTING:
            written = visit.desk.proposals.sign(folder, int(text) if text.isdecimal() else 0)
    except PlannerError as error:
        visit.desk.proposals.failed[folder] = error
        return visit.go("week")
    said = (f"Signed and written to {written.folders[0]}.", *told(written.paper_fault))
    return visit.go("week", *said, query=f"?week={written.folders[0].name}")


def named(visit: Visit) -> str | None:
    """The week of ?week=, if it is one of those on disk."""
    return visit.text("week") if visit.text("week") in weeks(visit.folder) else None


def paper(visit: Visit) -> Response:
    """Show a paper of a signed week; a phone sheet is to be kept and sent, it needs what our pages may not do."""
    name, of = named(visit), visit.request.path_params["paper"]
    file = papers_of(visit.folder, name).get(of) if name else None
    if file is None:
        raise HTTPException(404, "There is no such paper.")
    shown_as = "inline" if of in ("sheets", "coach", "block") else "attachment"
    return FileResponse(file, filename=f"{name}-{file.name}", content_disposition_type=shown_as)


def papers_of(folder: Path, week: str) -> dict[str, Path]:
    """Give the papers of a week by name: sheets and coach, as HTML where no PDF could be made, and phone sheets."""
    base = week_folder(folder, week)
    files = [base / f"{name}{ending}" for name in PAPERS for ending in reversed(ENDINGS)]
    phone = [page for day in DAY_NAMES for page in sorted((base / "phone").glob(f"{day}*.html"))]
    return {file.stem: file for file in (*files, *phone) if file.is_file() and not file.is_symlink()}
