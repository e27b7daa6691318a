"""The Sunday page with all that is due, all sheets in one file, and the library."""

from functools import partial

from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from library.schema import Exercise
from planner.athlete.brief import DAYS
from planner.desk.app import Visit, told
from planner.desk.proposals import PRINTING
from planner.desk.room import fingerprint
from planner.document import next_week
from planner.plain import day_name
from planner.sheets.say import said_date

SVG = '<svg xmlns="http://www.w3.org/2000/svg"'


def sunday(visit: Visit) -> Response:
    """Show every athlete: whom to see first, what was logged, whether the week stands; take in what was planned."""
    room, proposals = visit.desk.room, visit.desk.proposals
    pending, proposed, failed = set(), set(), {}
    for key, folder in room.athletes().items():
        if proposals.settle(folder, 0.0)[0]:
            pending.add(key)
        if folder in proposals.failed:
            failed[key] = tuple(told(proposals.failed[folder]))
        if proposals.shown(folder):
            proposed.add(key)
    rows, day = room.standings(), room.today()
    return visit.page(
        "sunday.html",
        rows=rows,
        proposed=proposed,
        pending=pending,
        failed=failed,
        due=sum(row.due and row.key not in proposed for row in rows),
        printable=sum(row.state in ("now", "next") for row in rows),
        today=f"{day_name(DAYS[day.weekday()])} {said_date(day)}",
        refresh=bool(pending) or any(row.state == "unread" for row in rows),
    )


def plan_due(visit: Visit) -> Response:
    """Have next week planned for everybody who is due and has no proposal yet, each to be looked at and signed."""
    from planner.desk.planning import planned

    room, proposals = visit.desk.room, visit.desk.proposals
    today, folders = room.today(), room.athletes()
    rows = sorted((room.standing(*one) for one in folders.items()), key=lambda row: row.order)
    due = [folders[row.key] for row in rows if row.due]
    # what is asked last is done first
    for folder in reversed([one for one in due if not proposals.shown(one)]):
        proposals.begin(folder, partial(planned, folder, next_week(today), today))
    visit.desk.said.append("Being planned one after the other; nothing is written before it is signed.")
    return RedirectResponse("/", 303)


def print_all(visit: Visit) -> Response:
    """Give the sheets of all weeks that stand, this one's or the next, as one PDF to print."""
    room = visit.desk.room
    rows, folders = sorted(room.standings(), key=lambda row: row.name.casefold()), room.athletes()
    weeks = [
        (folders[one.key], one.document) for one in rows if one.document and one.state in ("now", "next")
    ]
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
    from library.page import table_rows

    books, asked = visit.desk.room.library, visit.ask("q").casefold().split()

    def named(one: Exercise) -> str:
        kind, held = books.families[one.family].name, books.implements[one.implement].name
        return f"{one.name} {kind} {held}".casefold()

    shown = [one for one in books.exercises.values() if all(word in named(one) for word in asked)]
    heading, rows = table_rows(books, shown, CreditSettings())
    every, words = books.exercises, visit.ask("q")
    return visit.page("library.html", heading=heading, rows=rows, exercises=every, asked=words)


def exercise(visit: Visit) -> Response:
    """Show one exercise with every row behind its numbers, as `planner library NAME` does."""
    from library.method import CreditSettings
    from library.page import page_lines
    from library.pool import pool_library
    from library.read import read_orderings, shipped_folder

    books = visit.desk.room.library
    one = _named(visit)
    orderings = read_orderings(shipped_folder(), books)
    lines = page_lines(books, one, pool_library(books), orderings, CreditSettings())
    return visit.page("exercise.html", one=one, text="\n".join(lines))


def picture(visit: Visit) -> Response:
    """Give the drawing of an exercise."""
    from planner.sheets.figure import exercise_picture

    one = _named(visit)
    drawn = exercise_picture(visit.desk.room.library, one, one.name)
    return Response(drawn.replace("<svg", SVG, 1), media_type="image/svg+xml")


def _named(visit: Visit) -> Exercise:
    """Give the exercise that the address names."""
    one = visit.desk.room.library.exercises.get(visit.request.path_params["name"])
    if one is None:
        raise HTTPException(404, "The library has no such exercise.")
    return one
