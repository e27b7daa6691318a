"""The Sunday page and the library's pages."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.responses import Response

from planner.desk.app import Visit


def sunday(visit: Visit) -> Response:
    """Show every athlete: whom to see first, what was logged, whether the week stands."""
    room = visit.desk.room
    proposed = {key for key, folder in room.athletes().items() if folder in visit.desk.proposals.of}
    return visit.page("sunday.html", rows=room.standings(), proposed=proposed, today=room.today())


def library(visit: Visit) -> Response:
    """Show all exercises and what a set of each is worth."""
    from library.method import CreditSettings
    from library.table import table_rows

    books = visit.desk.room.library
    heading, rows = table_rows(books, list(books.exercises.values()), CreditSettings())
    return visit.page("library.html", heading=heading, rows=rows, exercises=books.exercises)


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
