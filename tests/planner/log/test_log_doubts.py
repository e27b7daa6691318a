"""Loads in the wrong unit, jumps, gyms that are not known, dates that can be read two ways."""

import datetime

import pytest
from log_files import GOOD, HEADER, PRESS, context, later, take, told

from planner.log.intake import Manner

# --- loads in the wrong unit -------------------------------------------------------------------------------


@pytest.mark.parametrize("load", [48.5, 44, 11, 5])
def test_a_jump_to_half_or_double_is_not_swallowed(tmp_path, load):
    take(tmp_path, *GOOD)
    (fault,) = told(tmp_path, later(load))
    assert "line 2, column load" in fault
    assert f"{load:g} kg after 22 kg last time" in fault
    assert "--yes" in fault


@pytest.mark.parametrize("load", [43, 11.5, 22])
def test_a_smaller_change_is_believed(tmp_path, load):
    take(tmp_path, *GOOD)
    assert len(take(tmp_path, later(load)).added) == 1


def test_a_jump_that_is_confirmed_is_asked_once_for_each_load(tmp_path):
    take(tmp_path, *GOOD)
    asked = []

    def confirm(question):
        asked.append(question)
        return True

    taken = take(tmp_path, later(48, 1), later(48, 2), later(24, 3), manner=Manner(confirm=confirm))
    assert [row.set_number for row in taken.added] == [3, 1, 2]
    assert len(asked) == 1


def test_a_jump_inside_one_file_is_seen_too(tmp_path):
    (fault,) = told(tmp_path, GOOD[0], f"2026-11-30,Mon,{PRESS},2,48.5,9,2,,,,,")
    assert "line 3" in fault


def test_another_gym_is_another_load(tmp_path):
    rooms = context({"club": "kg", "home": "kg"})
    header = HEADER + ",gym"
    take(tmp_path, f"{GOOD[0]},club", header=header, where=rooms)
    assert len(take(tmp_path, f"{later(60)},home", header=header, where=rooms).added) == 1


@pytest.mark.parametrize("cells", [("50 lb", ""), ("50", "lb")])
def test_pounds_in_a_gym_of_kilograms_are_refused(tmp_path, cells):
    line = f"2026-11-30,Mon,{PRESS},1,{cells[0]},10,2,,,,,,{cells[1]}"
    (fault,) = told(tmp_path, line, header=f"{HEADER},load_unit")
    assert "read lb" in fault
    assert "works in kg" in fault


def test_a_gym_of_pounds_logs_pounds(tmp_path):
    assert take(tmp_path, GOOD[0], where=context({"club": "lb"})).added[0].load_unit == "lb"


def test_where_it_was_done_must_be_known(tmp_path):
    rooms = context({"club": "kg", "home": "kg"})
    tuesday = f"2026-12-01,Tue,{PRESS},1,22,10,2,,,,,"
    (fault,) = told(tmp_path, tuesday, where=rooms)
    assert '"club", "home"' in fault
    (fault,) = told(tmp_path, f"{tuesday},clubb", header=f"{HEADER},gym", where=rooms)
    assert 'did you mean "club"?' in fault


# --- dates ---------------------------------------------------------------------------------------------------


def on(date, number=1):
    return f"{date},Mon,{PRESS},{number},22,10,2,,,,,"


def test_dates_in_two_orders_are_refused(tmp_path):
    faults = told(tmp_path, on("30/11/2026"), on("11/30/2026", 2), on("2026-11-30", 3))
    assert len(faults) == 2
    assert all("line 2 puts the day first, line 3 the month" in fault for fault in faults)


def test_a_date_that_could_be_both_is_refused(tmp_path):
    (fault,) = told(tmp_path, on("05/11/2026"))
    assert "line 2, column date" in fault
    assert "2026-11-30" in fault


@pytest.mark.parametrize(
    ("first", "second", "dates"),
    [
        ("30.11.2026", "05.11.2026", (30, 5)),
        ("11/30/2026", "11/05/2026", (30, 5)),
        ("30-11-2026", "2026-11-05", (30, 5)),
    ],
)
def test_an_order_that_the_file_proves_is_read(tmp_path, first, second, dates):
    taken = take(tmp_path, on(first), on(second, 2))
    assert [row.date for row in taken.added] == [datetime.date(2026, 11, day) for day in dates]
