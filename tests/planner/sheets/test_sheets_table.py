"""week.csv and the table of the terminal."""

import csv
import datetime
import io
from dataclasses import replace

import pytest
import sample_week as weeks
from icalendar import Calendar
from sample_week import sample_desk

from planner.document import ExerciseWarning, MissedGoal
from planner.plain import FIRST_BACK_AFTER
from planner.sheets.paper import coach_html
from planner.sheets.table import COLUMNS, calendar, week_csv, week_table
from planner.train.progression import BEGIN_WITH


def rows_of(week):
    return list(csv.DictReader(io.StringIO(week_csv(week))))


def test_one_row_an_exercise_and_session_with_every_number_of_the_document():
    rows = rows_of(weeks.sample_week())
    assert list(rows[0]) == [*COLUMNS, "dose_front", "dose_side", "dose_rear"]
    places = [("Mon", str(order)) for order in range(1, 7)] + [("Thu", str(order)) for order in range(1, 5)]
    assert [(row["session"], row["order"]) for row in rows] == places
    row = rows_of(weeks.sample_week())[0]
    assert row == {
        "athlete": weeks.NAME, "week": "2026-W49", "session": "Mon", "day": "Mon", "gym": "city_club",
        "session_minutes_allowed": "45", "session_minutes_used": "43.4", "order": "1", "block": "A",
        "exercise": weeks.PRESS, "name": "Seated dumbbell overhead press to full depth", "sets": "4", "reps_low": "8",
        "reps_high": "12", "lift_seconds": "1", "top_seconds": "0", "lower_seconds": "3", "bottom_seconds": "0",
        "reps_in_reserve": "2", "rest_seconds": "90", "work_seconds": "40", "setup_seconds": "30", "warmup_sets": "1",
        "sides": "1", "minutes": "6.4", "load": "22.5", "load_unit": "kg", "load_is": "each_hand",
        "instead": weeks.RAISE, "instead_sets": "3", "dose_front": "3.600", "dose_side": "2.400", "dose_rear": "0.000",
    }  # fmt: skip


def test_a_name_steers_neither_a_spreadsheet_nor_the_terminal(library):
    rows = rows_of(weeks.sample_week(athlete='=HYPERLINK("http://example.org")'))
    assert rows[0]["athlete"] == '\'=HYPERLINK("http://example.org")'
    assert "\x1b" not in week_table(weeks.sample_week(athlete="Zoë\x1b[31m"), library)


def test_pain_is_said_first_then_shortfalls_then_warnings(library):
    pain = "Bent-over rear raise: pain 7: left out; see a doctor or physiotherapist."
    week = weeks.sample_week()
    lines = week_table(week.model_copy(update={"pain": (pain,), "warnings": (pain, *week.warnings)}), library)
    title, said, short, warned, *_ = lines.split("\n\n")
    assert weeks.NAME in title and "week of 30 November (2026-W49)" in title
    assert said == f"PAIN: {pain}" and lines.count(pain) == 1
    assert [line.partition(": ")[2][:4] for line in short.splitlines()] == ["side", "rear", "Join", "Fron"]
    assert warned == week.warnings[0]


def test_what_is_less_on_purpose_is_no_shortage_and_stands_below(library):
    out = ExerciseWarning(exercise=weeks.RAISE, text="left out", kind="out")
    for update in ({"exercise_warnings": (out,)}, {"notes": (f"{FIRST_BACK_AFTER} pain, half of the sets",)}):
        week = weeks.sample_week().model_copy(update=update)
        table, page = week_table(week, library), coach_html(weeks.sample_desk(library, week))
        assert "SHORT" not in table + page
        assert table.index("side 11.6 of 14") > table.index("Saturday") and "Side delt 11.6 of 14" in page


@pytest.mark.parametrize(("by", "said"), [(0.049, None), (0.05, "by 0.1")])
def test_a_goal_missed_by_less_than_is_printed_is_not_told(library, by, said):
    week = weeks.sample_week(missed=(MissedGoal(goal="spread:side", by=by, unit="days"),))
    told = [line for line in week_table(week, library).splitlines() if line.startswith("missed: ")]
    assert [said in line for line in told] == ([] if said is None else [True])
    assert (said is not None) == (str(said) in coach_html(weeks.sample_desk(library, week)))


def test_the_table_has_sessions_doses_pairs_and_proof(library):
    table = week_table(weeks.sample_week(), library)
    for words in (
        "Monday, city_club, 43.4 of 45 min", "4 x 8-12", "22.5 kg", "3 x 8-12 each side", "to find",
        "Saturday, city_club, 5 of 45 min: nothing", "dose within 0.03 missed sets",
        "the rest within 0.3 minute-equivalents",
    ):  # fmt: skip
        assert words in table
    table = week_table(weeks.sample_week(), library)
    rows = [line.split() for line in table.splitlines() if line.startswith(("  head", "  front"))]
    assert rows[0][:3] == ["head", "own", "helping"]
    assert " ".join(rows[1]) == "front 10.4 2.0 12.4 3.0 1.5 6 10 20 10.6-14.1 over 99 % 8.0"
    lines = week_table(weeks.sample_week(), library).splitlines()
    *_, first, second = (line for line in lines if line.startswith("  B "))
    assert first.endswith("none, go on") and not second.endswith("none, go on")


def test_a_proof_says_among_which_plans(library):
    among = "plans that keep every block in place"
    first, second = weeks.sample_week().proof
    week = weeks.sample_week(proof=(first, second.model_copy(update={"among": among})))
    lines = [line for line in week_table(week, library).splitlines() if "proof:" in line]
    assert [line.endswith(among) for line in lines] == [False, True]
    assert f"among {among} none" in coach_html(weeks.sample_desk(library, week))


def test_a_band_that_was_done_before_is_no_load_to_find(library):
    note = "A stronger band: every set was full last time."
    band = weeks.planned(weeks.RAISE, 1, load_is="band", load_note=note)
    days = [weeks.session("Mon", (one,)) for one in (band.model_copy(update={"load_note": ""}), band)]
    first, known = (week_table(weeks.sample_week(sessions=(day,)), library) for day in days)
    body = weeks.session("Mon", (weeks.planned(weeks.RAISE, 1, load_is="body"),))
    assert "body weight" in week_table(weeks.sample_week(sessions=(body,)), library)
    assert "to find" in first and "to find" not in known and "a stronger band" in known


def test_a_load_to_find_says_from_which_as_the_sheet_does(library):
    begins = weeks.planned(weeks.RAISE, 1, load=None, load_note=BEGIN_WITH.format(7.5, "kg", 10, 15, 2))
    assert "to find, from 7.5 kg  " in week_table(
        weeks.sample_week(sessions=(weeks.session("Mon", (begins,)),)), library
    )


def test_a_week_with_nothing_left_and_a_stopped_one_say_so(library):
    assert "Nothing left to train this week." in week_table(weeks.nothing_left_week(), library)
    assert "The search was stopped" in week_table(weeks.sample_week(status="stopped"), library)
    assert "The search was stopped" not in week_table(weeks.sample_week(), library)


def test_what_a_warning_says_is_not_said_again_as_a_note(library):
    pain, open_sets = "Machine press: pain 4", "Week 2026-W48, front: 2 sets open"
    week = weeks.sample_week(warnings=(pain,), notes=(pain, open_sets))
    table = week_table(week, library)
    assert table.count(pain) == 1 and f"note: {open_sets}" in table


# --- sessions.ics, read back by the library that wrote it: days, times, minutes, place, what is done; nothing twice
MONDAY = {"day": "Mon", "minutes": 45, "gym": "city_club", "at": "18:30"}
DAYS = [MONDAY, {"day": "Thu", "minutes": 32, "gym": "home"}]


@pytest.fixture
def desk(library):
    made = sample_desk(library, weeks.sample_week(athlete="Zoë; BEGIN:VALARM\nX"), session=DAYS)
    return replace(made, places={"city_club": {"cable_station": "back wall"}})


def events(desk):
    return Calendar.from_ical(calendar(desk)).events


def test_each_session_with_work_is_an_event_and_the_same_week_the_same_file(desk):
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
    assert calendar(desk) == calendar(desk)
    other = replace(desk, document=desk.document.model_copy(update={"sessions": desk.document.sessions[:1]}))
    assert events(other)[0]["uid"] == events(desk)[0]["uid"]
    assert len({event["uid"] for event in events(desk)}) == 2
