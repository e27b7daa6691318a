"""The Sunday page with all that is due, all sheets in one file, and the library."""

from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from library.errors import PlannerError
from planner.desk.app import Visit, told
from planner.desk.proposals import PRINTING
from planner.desk.room import DUE, fingerprint
from planner.document import next_week


def sunday(visit: Visit) -> Response:
    """Show every athlete: whom to see first, what was logged, whether the week stands; take in what was planned."""
    room, proposals = visit.desk.room, visit.desk.proposals
    pending, proposed, failed = set(), set(), {}
    for key, folder in room.athletes().items():
        try:
            if proposals.settle(folder, 0.0)[0]:
                pending.add(key)
        except PlannerError as error:
            failed[key] = tuple(told(error))
        if proposals.shown(folder):
            proposed.add(key)
    rows = room.standings()
    waits = pending or any(row.state == "unread" for row in rows)
    return visit.page(
        "sunday.html",
        rows=rows,
        proposed=proposed,
        pending=pending,
        failed=failed,
        due=sum(row.state in DUE and not row.error for row in rows),
        printable=sum(row.state in ("now", "next") for row in rows),
        today=room.today(),
        refresh=bool(waits),
    )


def plan_due(visit: Visit) -> Response:
    """Have next week planned for everybody who is due and has no proposal yet, each to be looked at and signed."""
    from planner.desk.planning import planned

    room, proposals = visit.desk.room, visit.desk.proposals
    today, folders = room.today(), room.athletes()
    due = [folders[row.key] for row in room.standings() if row.state in DUE and not row.error]
    for folder in reversed(
        [one for one in due if not proposals.shown(one)]
    ):  # what is asked last is done first
        proposals.begin(folder, lambda folder=folder: planned(folder, next_week(today), today))  # type: ignore[misc]
    visit.desk.said.append("Being planned one after the other; nothing is written before it is signed.")
    return RedirectResponse("/", 303)


def print_all(visit: Visit) -> Response:
    """Give the sheets of all weeks that stand, this one's or the next, as one PDF to print."""
    room = visit.desk.room
    folders = room.athletes()
    rows = sorted(room.standings(), key=lambda row: row.name.casefold())
    signed = [(folders[row.key], row.document) for row in rows if row.state in ("now", "next")]
    weeks = [(folder, document) for folder, document in signed if document]
    if not weeks:
        raise HTTPException(404, "No week of this or the next week is signed yet.")

    def work() -> bytes:
        from planner.publish import sheets_together
        from planner.week.gather import gather

        with PRINTING:
            return sheets_together(
                [(week, gather(folder, week.week, room.today())) for folder, week in weeks]
            )

    stamp = tuple((folder, fingerprint(folder)) for folder, _ in weeks)
    kept = {"Content-Disposition": 'inline; filename="sheets.pdf"'}
    return Response(visit.later("print", stamp, work), media_type="application/pdf", headers=kept)


def library(visit: Visit) -> Response:
    """Show all exercises and what a set of each is worth."""
    from library.method import CreditSettings
    from library.table import table_rows

    books = visit.desk.room.library
    asked = visit.ask("q").casefold().split()
    families, implements = books.families, books.implements
    exercises = [
        one
        for one in books.exercises.values()
        if all(
            word in f"{one.name} {families[one.family].name} {implements[one.implement].name}".casefold()
            for word in asked
        )
    ]
    heading, rows = table_rows(books, exercises, CreditSettings())
    values = {"heading": heading, "rows": rows, "exercises": books.exercises, "asked": visit.ask("q")}
    return visit.page("library.html", status=200, **values)


def exercise(visit: Visit) -> Response:
    """Show one exercise with every row behind its numbers, as `planner library NAME` does."""
    from library.method import CreditSettings
    from library.page import page_lines
    from library.pool import pool_library
    from library.read import read_orderings, shipped_folder

    books = visit.desk.room.library
    one = books.exercises.get(visit.request.path_params["name"])
    if one is None:
        raise HTTPException(404, "The library has no such exercise.")
    orderings = read_orderings(shipped_folder(), books)
    lines = page_lines(books, one, pool_library(books), orderings, CreditSettings())
    return visit.page("exercise.html", title=one.name, text="\n".join(lines))
