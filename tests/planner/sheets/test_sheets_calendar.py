"""sessions.ics, read back by the library that wrote it: days, times, minutes, place, what is done; nothing twice."""

import datetime
from dataclasses import replace

import pytest
import sample_week as weeks
from icalendar import Calendar
from sample_week import sample_desk

from planner.sheets.table import calendar

MONDAY = {"day": "Mon", "minutes": 45, "gym": "city_club", "at": "18:30"}
DAYS = [MONDAY, {"day": "Thu", "minutes": 32, "gym": "home"}]


@pytest.fixture
def desk(library):
    made = sample_desk(library, weeks.sample_week(athlete="Zoë; BEGIN:VALARM\nX"), session=DAYS)
    return replace(made, places={"city_club": {"cable_station": "back wall"}})


def events(desk):
    return Calendar.from_ical(calendar(desk)).events


def test_each_session_with_work_is_an_event_with_place_minutes_and_loads_none_once_it_is_over(desk):
    monday, thursday = events(desk)
    assert monday.start == datetime.datetime(2026, 11, 30, 18, 30)
    assert monday.end - monday.start == datetime.timedelta(minutes=45)
    assert (thursday.start, thursday.end) == (datetime.date(2026, 12, 3), datetime.date(2026, 12, 4))
    monday, _ = events(desk)
    assert (monday["location"], "43.4 of 45 min" in monday["summary"]) == ("city club", True)
    press = "A Seated dumbbell overhead press to full depth: 4 × 8–12, 22.5 kg"
    assert all(words in monday["description"] for words in (press, "(back wall)", "Bring:"))
    done = tuple(one.model_copy(update={"state": "done"}) for one in desk.document.sessions)
    assert events(replace(desk, document=desk.document.model_copy(update={"sessions": done}))) == []


def test_the_same_week_is_the_same_file_and_a_new_plan_takes_the_old_ones_place(desk):
    assert calendar(desk) == calendar(desk)
    other = replace(desk, document=desk.document.model_copy(update={"sessions": desk.document.sessions[:1]}))
    assert events(other)[0]["uid"] == events(desk)[0]["uid"]
    assert len({event["uid"] for event in events(desk)}) == 2
