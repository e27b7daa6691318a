"""Loads in the wrong unit, jumps, dates of two orders; two athletes, another header, noise; whatever stands in a file."""

import datetime

import pytest
from log_files import GOOD, HEADER, LOG, PRESS, context, later, take, take_file_in, told, written

from library.errors import FaultyInput
from planner.log.file import read_log
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


# --- the file as a whole ----------------------------------------------------------------------------------


def test_two_athletes_in_one_file(tmp_path):
    lines = [f"{GOOD[0]},Robin Vale", f"{GOOD[1]},Sam Field"]
    (fault,) = told(tmp_path, *lines, header=f"{HEADER},athlete", manner=Manner(keep_good=True))
    assert "line 3, column athlete" in fault
    assert '"Robin Vale", "Sam Field"' in fault


def test_another_athletes_file(tmp_path):
    (fault,) = told(tmp_path, f"{GOOD[0]},Sam Field", header=f"{HEADER},athlete")
    assert "Name the right folder" in fault
    assert len(take(tmp_path, f"{GOOD[0]},robin vale", header=f"{HEADER},athlete").added) == 1


def test_mixed_decimal_marks(tmp_path):
    lines = [GOOD[0].replace(",22,", ',"22,5",'), GOOD[1].replace(",22,", ",22.5,")]
    (fault,) = told(tmp_path, *lines)
    assert "line 2, column load" in fault
    assert "line 3, column load" in fault


def test_the_same_set_twice_with_other_figures(tmp_path):
    (fault,) = told(tmp_path, GOOD[0], GOOD[0].replace(",10,", ",11,"))
    assert "line 3" in fault
    assert "stands on line 2 too" in fault
    assert len(take(tmp_path, GOOD[0], GOOD[0]).added) == 1


@pytest.mark.parametrize(
    ("header", "says"),
    [
        ("date,session,exercise,set,load,repz,RIR", 'unknown column "repz"'),
        ("date,exercise,set,load", 'no column "reps"'),
        ("date,exercise,set,reps,reps", "stands twice"),
    ],
)
def test_a_wrong_header(tmp_path, header, says):
    faults = told(tmp_path, GOOD[0], header=header)
    assert any(says in fault and "line 1" in fault for fault in faults)


@pytest.mark.parametrize(("effort", "left"), [("RPE 8", "2"), ("@9.5", "0.5"), ("rpe 7,5", "2.5")])
def test_effort_in_place_of_reserve_is_told_what_it_would_be(tmp_path, effort, left):
    line = GOOD[0].replace(",10,2,", f',10,"{effort}",')
    (fault,) = told(tmp_path, line)
    assert fault.endswith(f"which would be {left}")
    (unknown,) = told(tmp_path, GOOD[0], header=HEADER.replace("RIR", "RPE"))
    assert "10 less the RPE" in unknown and "did you mean" not in unknown


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\xff\xfe\x00broken", b"PK\x03\x04" + b"\x00\x9f" * 500])
def test_noise_is_refused_in_words(tmp_path, content):
    for name in ("noise.csv", "noise.xlsx"):
        file = tmp_path / name
        file.write_bytes(content)
        with pytest.raises(FaultyInput):
            take_file_in(tmp_path, file, context(), Manner())
    assert not (tmp_path / LOG).exists()


def test_a_damaged_log_is_told_before_anything_is_added(tmp_path):
    take(tmp_path, *GOOD)
    log = tmp_path / LOG
    log.write_text(log.read_text().replace(",22,", ",heavy,", 1))
    (fault,) = told(tmp_path, later(22))
    assert "log.csv: line 2, column load" in fault


def test_control_characters_in_a_note_do_not_reach_the_log(tmp_path):
    take(tmp_path, GOOD[0] + "a\x1b[31mred")
    assert "\x1b" not in (tmp_path / LOG).read_text()
    assert read_log(tmp_path)[0].note == "a\\u001b[31mred"


def test_a_wrong_line_says_its_file(tmp_path):
    file = written(tmp_path, GOOD[0].replace(",10,", ",x,"), name="monday.csv")
    with pytest.raises(FaultyInput, match=r"monday\.csv: line 2"):
        take_file_in(tmp_path, file, context(), Manner())
