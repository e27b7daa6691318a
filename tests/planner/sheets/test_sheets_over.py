"""Sessions that are over and changes of one week, on sheets, coach's pages and in the table."""

import sample_week as weeks

from planner.document import MadeChange
from planner.method import SheetSettings
from planner.sheets import client, say
from planner.sheets.desk import Desk
from planner.sheets.paper import coach_html, sheets_html
from planner.sheets.table import week_table


def swapped():
    week = weeks.sample_week()
    monday = week.sessions[0].model_copy(update={"state": "done"})
    saturday = week.sessions[2].model_copy(update={"state": "missed"})
    changes = (
        MadeChange(kind="minutes", name="Thu", minutes=32),
        MadeChange(kind="without", name="pike_push_up"),
    )
    return weeks.sample_week(sessions=(monday, week.sessions[1], saturday), changes=changes)


def test_what_became_of_a_session_stands_where_its_minutes_stood(library):
    week = swapped()
    assert [say.minutes(session) for session in week.sessions] == [
        "trained",
        say.minutes(week.sessions[1]),
        "missed",
    ]
    pages = client.pages(Desk(week, library, weeks.sample_brief(), SheetSettings()))
    assert [page.over for page in pages] == [True, False, True]
    html = sheets_html(week, library, weeks.sample_brief())
    assert "· trained" in html and "· missed" in html


def test_the_table_says_it_too(library):
    table = week_table(swapped(), library)
    assert "Monday, city_club, trained" in table
    assert "Saturday, city_club, missed\n" in table  # and not that nothing was planned


def test_the_coach_reads_what_holds_for_this_week_alone(library):
    html = coach_html(swapped(), library, weeks.sample_brief())
    name = library.exercises["pike_push_up"].name
    assert f"For this week alone: 32 min on Thursday; Without {name}." in html
    assert "For this week alone" not in coach_html(weeks.sample_week(), library, weeks.sample_brief())
