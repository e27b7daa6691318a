"""The week's sessions as one iCalendar file: when, where, how long, what is done and what to bring."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from planner.athlete.names import plain_word
from planner.document import WeekDocument
from planner.plain import DAY_NAMES
from planner.sheets import client, say
from planner.sheets.language import _, speaking

if TYPE_CHECKING:
    from icalendar import Event

    from planner.sheets.page import Desk


def calendar(desk: Desk) -> bytes:
    """Write every session with work that is still to come; without a time of day it lasts all day."""
    from icalendar import Calendar

    with speaking(desk.brief.athlete.language):
        title = f"{say.plain(desk.document.athlete)}, {desk.document.week}"
        made = Calendar.new(prodid="-//planner//week//EN", name=title, uid=_identifier(desk.document, "all"))
        for page in client.pages(desk):
            if page.state == "planned":
                made.add_component(_event(desk, page))
        return bytes(made.to_ical())


def _event(desk: Desk, page: client.Page) -> Event:
    from icalendar import Event

    document = desk.document
    asked = next((one for one in desk.brief.session if one.day == page.key), None)
    day = _day(document, page.key)
    start, end = day, day + datetime.timedelta(days=1)
    if asked and asked.at:
        start = datetime.datetime.combine(day, datetime.time.fromisoformat(asked.at))
        end = start + datetime.timedelta(minutes=asked.minutes)
    return Event.new(
        uid=_identifier(document, page.key),
        stamp=datetime.datetime.combine(_day(document, "Mon"), datetime.time(), datetime.UTC),
        start=start,
        end=end,
        summary=_("Training: {minutes}").format(minutes=page.minutes),
        location=page.gym,
        description="\n".join(_lines(page)),
    )


def _identifier(document: WeekDocument, key: str) -> str:
    return f"{plain_word(document.athlete)}-{document.week}-{key}@planner"


def _day(document: WeekDocument, key: str) -> datetime.date:
    days = tuple(DAY_NAMES).index(key[:3])
    return datetime.date.fromisoformat(document.week_start) + datetime.timedelta(days=days)


def _lines(page: client.Page) -> list[str]:
    exercises = [
        f"{card.badge} {card.name}: {card.dosage}{f', {card.load} {card.load_of}' if card.load else ''}"
        for card in page.cards
    ]
    stations = dict.fromkeys(card.station for card in page.cards)
    bring = _("Bring: the sheet and a pen, or the phone with the page of this day; water.")
    return [*exercises, f"{_('In the room:')} {'; '.join(stations)}.", bring]
