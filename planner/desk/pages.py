"""The Sunday page with all that is due, all sheets in one file, the library; and what else a week could be."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Mapping
from functools import partial
from itertools import chain
from typing import TYPE_CHECKING, Any

from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from library.errors import FaultyInput, PlannerError
from library.read import Library
from library.schema import Exercise
from planner.athlete.brief import DAYS
from planner.athlete.folder import weeks
from planner.cli import whole_number
from planner.desk.app import Visit, told
from planner.desk.proposals import PRINTING
from planner.desk.room import STATES, fingerprint
from planner.desk.week_page import at_hand
from planner.document import WeekDocument, exercises_of, next_week, week_named
from planner.plain import day_name, short_of
from planner.sheets.say import said_date
from planner.week.gather import Asked, gather

if TYPE_CHECKING:
    from planner.change.why import Eased

CHOICES_SHOWN = 3  # near-equal weeks that are looked for, our choice: so many stand side by side on a screen
NAMESPACE = 'xmlns="http://www.w3.org/2000/svg"'
SIGNED = ("now", "next")  # states of athletes whose week of now or the next one stands
Beside = Mapping[str, tuple[WeekDocument, tuple[str, ...]]]  # a week's name -> the week, and what it trades


def sunday(visit: Visit) -> Response:
    """Show every athlete: whom to see first, what was logged, whether the week stands; take in what was planned."""
    room, proposals, day = visit.desk.room, visit.desk.proposals, visit.today
    folders, rows = room.athletes(), room.standings()
    pending = {key for key, folder in folders.items() if proposals.settle(folder, 0.0)[0]}
    proposed = {key for key, folder in folders.items() if proposals.shown(folder)}
    failed = {key: tuple(told(proposals.failed.get(folder))) for key, folder in folders.items()}
    values: dict[str, Any] = {"rows": rows, "proposed": proposed, "pending": pending, "failed": failed}
    values["due"] = sum(row.due and row.key not in proposed | pending for row in rows)
    values["printable"] = sum(row.state in SIGNED for row in rows)
    unread = any(row.state == "unread" for row in rows)
    values["watch"] = "clock" if unread else "events" if pending else ""
    values["today"] = f"{day_name(DAYS[day.weekday()])} {said_date(day)}"
    return visit.page("sunday.html", **values, states=STATES, short_of=short_of)


def plan_due(visit: Visit) -> Response:
    """Have next week planned for everybody who is due and has no proposal yet, each to be looked at and signed."""
    from planner.desk.planning import planned

    room, proposals, today = visit.desk.room, visit.desk.proposals, visit.today
    folders = room.athletes()
    rows = sorted((room.standing(*one) for one in folders.items()), key=lambda row: row.order, reverse=True)
    for folder in (folders[row.key] for row in rows if row.due):  # what is asked last is done first
        if not proposals.settle(folder, 0.0)[0] and not proposals.shown(folder):
            proposals.begin(folder, partial(planned, folder, next_week(today), today))
    visit.desk.said.append("Being planned one after the other; nothing is written before it is signed.")
    return RedirectResponse("/", 303)


def print_all(visit: Visit) -> Response:
    """Give the sheets of all weeks that stand, this one's or the next, as one PDF to print."""
    room, today = visit.desk.room, visit.today
    rows, folders = sorted(room.standings(), key=lambda row: row.name.casefold()), room.athletes()
    signed = [(folders[one.key], one.document) for one in rows if one.document and one.state in SIGNED]
    if not signed:
        raise HTTPException(404, "No week of this or the next week is signed yet.")

    def work() -> bytes:
        from planner.publish import sheets_together

        with PRINTING:
            return sheets_together([(week, gather(folder, week.week, today)) for folder, week in signed])

    stamp = tuple((folder, fingerprint(folder)) for folder, _ in signed)
    kept = {"Content-Disposition": 'inline; filename="sheets.pdf"'}
    return Response(visit.later("print", stamp, work), media_type="application/pdf", headers=kept)


def hour(visit: Visit) -> Response:
    """Share each room's stations among those who train in one hour, as `planner roster --together` does."""
    shown, faults, wrong = list[str](), list[str](), dict[str, list[str]]()
    if visit.request.method == "POST":
        from planner.room.people import read_hour
        from planner.room.table import hour_together, text, write_hour

        today, folder = visit.today, visit.desk.room.folder
        read, wrong = visit.fields(at=read_hour, week=lambda text: week_named(text or "next", today))
        faults = [*chain(*wrong.values())]
        try:
            if not faults:
                rooms, faults, _ = hour_together(folder, visit.text("at"), read["week"], today)
                shown = [text(room) for room in rooms]
                with PRINTING:
                    visit.desk.said += [f"To print: {file}" for file in write_hour(rooms, folder)]
        except PlannerError as error:
            faults = told(error)
    return visit.page("hour.html", shown=shown, faults=faults, at_field=wrong, form=visit.form)


def library(visit: Visit) -> Response:
    """Show all exercises and what a set of each is worth."""
    from library.method import CreditSettings
    from library.page import table_rows

    books, asked = visit.library, visit.text("q").casefold().split()
    kinds = {"trains": books.heads, "family": books.families, "implement": books.implements}
    wanted = {kind: visit.text(kind) for kind in kinds}

    def meant(one: Exercise) -> bool:
        kind, held = books.families[one.family].name, books.implements[one.implement].name
        words = f"{one.name} {kind} {held}".casefold()
        alike = (word in ("", getattr(one, kind)) for kind, word in wanted.items())
        return all(word in words for word in asked) and all(alike)

    shown = [one for one in books.exercises.values() if meant(one)]
    heading, *rows = table_rows(books, shown, CreditSettings())
    values: dict[str, Any] = {"heading": heading, "rows": rows, "exercises": books.exercises}
    return visit.page("library.html", **values, kinds=kinds, wanted=wanted, asked=visit.text("q"))


def doctor(visit: Visit) -> Response:
    """Say whether this installation works and the library's numbers are those of its evidence, as two commands do."""
    asked = (("doctor",), ("pool", "--check"))
    start = [sys.executable, "-m", "planner"]
    runs = [subprocess.run([*start, *of], capture_output=True, text=True, check=False) for of in asked]
    return visit.page("doctor.html", text="\n".join(one.stdout + one.stderr for one in runs))


def exercise(visit: Visit) -> Response:
    """Show one exercise with every row behind its numbers, as `planner library NAME` does."""
    from library.method import CreditSettings
    from library.page import page_lines
    from library.pool import pool_library
    from library.read import read_orderings, shipped_folder

    books, one = visit.library, _named(visit)
    pooled, orderings = pool_library(books), read_orderings(shipped_folder(), books)
    lines = page_lines(books, one, pooled, orderings, CreditSettings())
    return visit.page("exercise.html", one=one, text="\n".join(lines))


def picture(visit: Visit) -> Response:
    """Give the drawing of an exercise."""
    from planner.sheets.figure import exercise_picture

    one = _named(visit)
    drawn = exercise_picture(visit.library, one, one.name).replace("<svg", f"<svg {NAMESPACE}", 1)
    return Response(drawn, media_type="image/svg+xml")


def _named(visit: Visit) -> Exercise:
    """Give the exercise that the address names."""
    one = visit.library.exercises.get(visit.request.path_params["name"])
    if one is None:
        raise HTTPException(404, "The library has no such exercise.")
    return one


def instead(visit: Visit) -> Response:
    """List what could be trained instead of an exercise of the week that is shown, each with its price."""
    from planner.change.choices import CAPTION, instead_list

    standing = at_hand(visit)
    values = {"listed": instead_list(standing, visit.text("exercise")), "week": standing.in_force.week}
    return visit.page("instead.html", **values, caption=CAPTION, regions=visit.library.regions)


def why(visit: Visit) -> Response:
    """Say what holds the week back, and what easing each thing would give, with buttons that try it."""
    from planner.change.why import asked_for, why_text
    from planner.change.why import why as easings_of

    document = None
    if visit.desk.proposals.shown(visit.folder) or weeks(visit.folder):
        standing = at_hand(visit)
        asked, document = standing.asked, standing.in_force
    else:
        asked, _ = asked_for(visit.folder, visit.today, None)
    stamp = (fingerprint(visit.folder), document)
    found = visit.later("why", stamp, lambda: easings_of(asked, document, lambda *_: None))
    gains = [(one, step_of(one, visit.library)) for one in found.eased if one.gain != "none"]
    dropped = [gain for gain in gains if gain[0].name.startswith("goal:")]  # no gain of the same kind
    values = {"eased": [gain for gain in gains if gain not in dropped], "dropped": dropped, "found": found}
    return visit.page("why.html", **values, text=why_text(found), week=document and document.week)


def step_of(one: Eased, library: Library) -> tuple[str, str] | None:
    """Give the change of this week alone that tries an easing; None: it can only be looked at."""
    kind, _, about = one.name.partition(":")
    if kind == "minutes":
        return kind, f"{about.partition(':')[0]}={one.where.rpartition('=')[2].strip()}"
    if kind == "equipment" or (kind == "exclude" and about in library.exercises):
        return "with_", about
    return None


def try_easing(visit: Visit) -> Response:
    """Plan the week as it would be if one thing in a file were other; it cannot be signed before that is written."""
    standing, name = at_hand(visit), visit.text("name")
    return visit.propose(lambda planning: planning.tried(visit.folder, standing, name))


def beside(visit: Visit) -> Response:
    """Plan a week several times, near-equal or cautious, and show all side by side."""
    asked, found = _weeks_beside(visit, level := visit.text("level"))
    values = {"found": found, "first": exercises_of(next(iter(found.values()))[0]), "level": level}
    return visit.page("beside.html", **values, week=asked.week, heads=visit.library.heads)


def take(visit: Visit) -> Response:
    """Propose one of the weeks that stand side by side."""
    folder, (asked, found) = visit.folder, _weeks_beside(visit, visit.text("level"))
    if visit.text("name") not in found:
        raise HTTPException(404, "There is no such week.")
    document, files = found[visit.text("name")][0], fingerprint(folder)
    return visit.propose(lambda planning: planning.proposed(folder, document, asked, files))


def _weeks_beside(visit: Visit, level: str) -> tuple[Asked, Beside]:
    name = visit.text("week")
    asked = gather(visit.folder, week_named(name, visit.today) if name else None, visit.today)
    stamp = fingerprint(visit.folder), asked.week, level
    return asked, visit.later("beside", stamp, lambda: _beside(asked, level))


def _beside(asked: Asked, level: str) -> Beside:
    from planner.change.choices import exchanged, near_equal

    if level:
        from planner.sheets.table import caution_sentences
        from planner.week.cautious import level_of, plan_cautious
        from planner.week.plan import plan_week

        week = plan_cautious(asked, level_of(level))
        said = tuple(caution_sentences(week.cautious)) if week.cautious else ()
        return {"A": (plan_week(asked), ()), "cautious": (week, said)}
    several = near_equal(asked, CHOICES_SHOWN)
    others = {one.name: (one.week, tuple(exchanged(several, one, asked.library))) for one in several.choices}
    return {several.name: (several.week, ()), **others}


def block(visit: Visit) -> Response:
    """Ask for a block; have it planned and proposed."""
    today, wrong = visit.today, dict[str, list[str]]()
    if visit.request.method == "POST":
        from planner.week.block import BlockAsked

        read, wrong = visit.fields(
            weeks=whole_number("weeks", 1),
            week=lambda text: week_named(text or "next", today),
            sheets=lambda text: whole_number("sheets", 1)(text) if text else None,
        )
        asked = BlockAsked(read.get("weeks", 1), read.get("week"), visit.text("ramp") or None)
        try:
            asked.check(gather(visit.folder, None, today).filed.train)
        except FaultyInput as error:
            wrong |= {str(one.file).lstrip("-"): [f"{one.read}. {one.remedy}"] for one in error.faults}
        if not wrong:
            return visit.propose(lambda by: by.blocked(visit.folder, asked, read["sheets"], today))
    values = {"faults": [*chain(*wrong.values())], "at_field": wrong, "form": visit.form}
    return visit.page("block.html", **values, next_week=next_week(today))
