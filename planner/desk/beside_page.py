"""What else could be: replacements, near-equal and cautious weeks side by side, what holds a week back, blocks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from starlette.exceptions import HTTPException
from starlette.responses import Response

from library.errors import PlannerError
from library.read import Library
from planner.athlete.folder import weeks
from planner.desk.app import Visit, told
from planner.desk.room import fingerprint
from planner.desk.week_page import at_hand
from planner.document import WeekDocument, exercises_of, next_week, week_named

if TYPE_CHECKING:
    from planner.change.gains import Eased
    from planner.week.gather import Asked

CHOICES_SHOWN = 3  # near-equal weeks that are looked for, our choice: so many stand side by side on a screen
CAUTIOUS = "cautious"


def instead(visit: Visit) -> Response:
    """List what could be trained instead of an exercise of the week that is shown, each with its price."""
    from planner.change.choices import CAPTION, instead_list

    standing, regions = at_hand(visit), visit.desk.room.library.regions
    listed = instead_list(standing, visit.ask("exercise"))
    return visit.page(
        "instead.html", listed=listed, week=standing.in_force.week, caption=CAPTION, regions=regions
    )


def why(visit: Visit) -> Response:
    """Say what holds the week back, and what easing each thing would give, with buttons that try it."""
    from planner.change.why import asked_for, why_text
    from planner.change.why import why as easings_of

    document = None
    if visit.desk.proposals.shown(visit.folder) or weeks(visit.folder):
        standing = at_hand(visit)
        asked, document = standing.asked, standing.in_force
    else:
        asked, _ = asked_for(visit.folder, visit.desk.room.today(), None)
    stamp = (fingerprint(visit.folder), document)
    found = visit.later("why", stamp, lambda: easings_of(asked, document, lambda *_: None))
    library, text = visit.desk.room.library, why_text(found)
    gains = [(one, step_of(one, library)) for one in found.eased if one.gain != "none"]
    dropped = [gain for gain in gains if gain[0].name.startswith("goal:")]  # no gain of the same kind
    eased = [gain for gain in gains if gain not in dropped]
    week = document and document.week
    return visit.page("why.html", eased=eased, dropped=dropped, aim=found.aim, text=text, week=week)


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
    first, heads = exercises_of(next(iter(found.values()))[0]), visit.desk.room.library.heads
    return visit.page("beside.html", found=found, first=first, week=asked.week, level=level, heads=heads)


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
    others = {one.name: (one.week, tuple(exchanged(several, one, asked.library))) for one in several.choices}
    return {several.name: (several.week, ()), **others}


def block(visit: Visit) -> Response:
    """Ask for a block; have it planned and proposed."""
    today, folder = visit.desk.room.today(), visit.folder
    faults: list[str] = []
    if visit.request.method == "POST":
        from planner.cli import whole_number
        from planner.desk.planning import blocked
        from planner.week.block import BlockAsked

        try:
            name, many = week_named(visit.text("week") or "next", today), whole_number("weeks", 1)
            asked = BlockAsked(many(visit.text("weeks")), name, visit.text("ramp") or None)
            visit.desk.proposals.begin(folder, lambda: blocked(folder, asked, today))
            return visit.go("week")
        except PlannerError as error:
            faults = told(error)
    status, following = 422 if faults else 200, next_week(today)
    return visit.page("block.html", status, faults=faults, next_week=following, form=visit.form)
