"""What else could be: replacements, near-equal and cautious weeks side by side, what holds a week back, blocks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from starlette.exceptions import HTTPException
from starlette.responses import Response

from library.errors import PlannerError
from library.read import Library
from planner.athlete.folder import weeks
from planner.desk.app import Visit, told
from planner.desk.room import fingerprint
from planner.desk.week_page import at_hand
from planner.document import WeekDocument, exercises_of, next_week, week_named
from planner.plain import day_name, decimals, number, signed

if TYPE_CHECKING:
    from planner.change.why import Eased, Why
    from planner.week.gather import Asked

CHOICES_SHOWN = 3  # near-equal weeks that are looked for, our choice: so many stand side by side on a screen
CAUTIOUS = "cautious"


def instead(visit: Visit) -> Response:
    """List what could be trained instead of an exercise of the week that is shown, each with its price."""
    from planner.change.instead_list import CAPTION, instead_list

    standing = at_hand(visit)
    listed = instead_list(standing, visit.ask("exercise"))
    values: dict[str, Any] = {
        "listed": listed,
        "week": standing.in_force.week,
        "caption": CAPTION,
        "key": visit.key,
    }
    regions = visit.desk.room.library.regions
    return visit.page("instead.html", signed=signed, day_name=day_name, regions=regions, **values)


def why_page(visit: Visit) -> Response:
    """Say what holds the week back, and what easing each thing would give, with buttons that try it."""
    from planner.change.why import asked_for, why
    from planner.change.why_text import why_text

    if visit.desk.proposals.shown(visit.folder) or weeks(visit.folder):
        standing = at_hand(visit)
        asked, document = standing.asked, standing.in_force
    else:
        asked, _ = asked_for(visit.folder, visit.desk.room.today(), None)
        document = None
    stamp = (fingerprint(visit.folder), document)
    found: Why = visit.later("why", stamp, lambda: why(asked, document, lambda *_: None))
    library = visit.desk.room.library
    gains = [(one, step_of(one, library)) for one in found.eased if one.gain != "none"]
    dropped = [gain for gain in gains if gain[0].name.startswith("goal:")]  # no gain of the same kind
    eased = [gain for gain in gains if gain not in dropped]
    values: dict[str, Any] = {
        "eased": eased,
        "dropped": dropped,
        "why": found,
        "text": why_text(found),
        "week": document and document.week,
    }
    return visit.page("why.html", signed=signed, number=number, decimals=decimals, key=visit.key, **values)


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
    from planner.desk.planning import tried

    standing, name, folder = at_hand(visit), visit.text("name"), visit.folder
    visit.desk.proposals.begin(folder, lambda: tried(folder, standing, name))
    return visit.go("week")


Beside = Mapping[str, tuple[WeekDocument, tuple[str, ...]]]  # a week's name -> the week, and what it trades


def beside(visit: Visit) -> Response:
    """Plan a week several times, near-equal or cautious, and show all side by side."""
    asked, level = _asked(visit), visit.ask("level")
    found = visit.later("beside", _stamp(visit, asked, level), lambda: _beside(asked, level))
    first = next(iter(found.values()))[0]
    values: dict[str, Any] = {
        "found": found,
        "first": exercises_of(first),
        "week": asked.week,
        "level": level,
    }
    heads = visit.desk.room.library.heads
    return visit.page("beside.html", key=visit.key, day_name=day_name, number=number, heads=heads, **values)


def take(visit: Visit) -> Response:
    """Propose one of the weeks that stand side by side."""
    from planner.desk.planning import proposed

    folder, asked, level = visit.folder, _asked(visit), visit.text("level")
    found = visit.later("beside", _stamp(visit, asked, level), lambda: _beside(asked, level))
    if visit.text("name") not in found:
        raise HTTPException(404, "There is no such week.")
    document, files = found[visit.text("name")][0], fingerprint(folder)
    visit.desk.proposals.begin(folder, lambda: proposed(folder, document, asked, files))
    return visit.go("week")


def _asked(visit: Visit) -> Asked:
    from planner.week.gather import gather

    today = visit.desk.room.today()
    name = visit.ask("week") or visit.text("week")
    return gather(visit.folder, week_named(name, today) if name else None, today)


def _stamp(visit: Visit, asked: Asked, level: str) -> tuple[str, ...]:
    return fingerprint(visit.folder), asked.week, level


def _beside(asked: Asked, level: str) -> Beside:
    from planner.change.choices import exchanged, near_equal

    if level:
        from planner.week.cautious import level_of, plan_cautious
        from planner.week.plan import plan_week

        return {"A": (plan_week(asked), ()), CAUTIOUS: (plan_cautious(asked, level_of(level)), ())}
    several = near_equal(asked, CHOICES_SHOWN)
    said = {one.name: tuple(exchanged(several, one, asked.library)) for one in several.choices}
    return {
        several.name: (several.week, ()),
        **{one.name: (one.week, said[one.name]) for one in several.choices},
    }


def block(visit: Visit) -> Response:
    """Ask for a block; have it planned and proposed."""
    today, folder = visit.desk.room.today(), visit.folder
    if visit.request.method == "POST":
        from planner.desk.planning import blocked
        from planner.options import whole_number
        from planner.week.block import BlockAsked

        try:
            name = week_named(visit.text("week") or "next", today)
            asked = BlockAsked(
                whole_number("weeks", 1)(visit.text("weeks")), name, visit.text("ramp") or None
            )
        except PlannerError as error:
            return _block_page(visit, 422, told(error))
        visit.desk.proposals.begin(folder, lambda: blocked(folder, asked, today))
        return visit.go("week")
    return _block_page(visit, 200, [])


def _block_page(visit: Visit, status: int, faults: list[str]) -> Response:
    values: dict[str, Any] = {
        "key": visit.key,
        "next_week": next_week(visit.desk.room.today()),
        "form": visit.form,
    }
    return visit.page("block.html", status, faults=faults, **values)
