"""Loads in the wrong unit, jumps, dates of two orders; two athletes, another header, noise; whatever stands in a file."""

import datetime
from dataclasses import replace

import pytest
from log_files import GOOD, HEADER, LOG, PRESS, context, later, take, take_file_in, told, written

from library.errors import FaultyInput
from planner.log.file import read_log
from planner.log.intake import Manner

# --- loads in the wrong unit -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("load", "jumps"), [(48.5, 1), (44, 1), (11, 1), (5, 1), (43, 0), (11.5, 0), (22, 0)]
)
def test_a_jump_to_half_or_double_is_not_swallowed(tmp_path, load, jumps):
    take(tmp_path, *GOOD)
    if not jumps:
        assert len(take(tmp_path, later(load)).added) == 1
        return
    (fault,) = told(tmp_path, later(load))
    said = ("line 2, column load", f"{load:g} kg after 22 kg last time", "--yes")
    assert all(words in fault for words in said)


def test_a_jump_inside_one_file_is_seen_too_and_another_gym_is_another_load(tmp_path):
    (fault,) = told(tmp_path, GOOD[0], f"2026-11-30,Mon,{PRESS},2,48.5,9,2,,,,,")
    assert "line 3" in fault
    rooms, header = context({"club": "kg", "home": "kg"}), f"{HEADER},gym"
    take(tmp_path, f"{GOOD[0]},club", header=header, where=rooms)
    assert len(take(tmp_path, f"{later(60)},home", header=header, where=rooms).added) == 1


def test_a_jump_that_is_confirmed_is_asked_once_for_each_load(tmp_path):
    take(tmp_path, *GOOD)
    asked = []
    manner = Manner(confirm=lambda question: asked.append(question) is None)
    taken = take(tmp_path, later(48, 1), later(48, 2), later(24, 3), manner=manner)
    assert [row.set_number for row in taken.added] == [3, 1, 2]
    assert len(asked) == 1


@pytest.mark.parametrize("cells", [("50 lb", ""), ("50", "lb")])
def test_pounds_in_a_gym_of_kilograms_are_refused(tmp_path, cells):
    line = f"2026-11-30,Mon,{PRESS},1,{cells[0]},10,2,,,,,,{cells[1]}"
    (fault,) = told(tmp_path, line, header=f"{HEADER},load_unit")
    assert "read lb" in fault and "works in kg" in fault
    assert take(tmp_path, GOOD[0], where=context({"club": "lb"})).added[0].load_unit == "lb"


def test_where_it_was_done_must_be_known(tmp_path):
    rooms, tuesday = context({"club": "kg", "home": "kg"}), f"2026-12-01,Tue,{PRESS},1,22,10,2,,,,,"
    (fault,) = told(tmp_path, tuesday, where=rooms)
    assert '"club", "home"' in fault
    (fault,) = told(tmp_path, f"{tuesday},clubb", header=f"{HEADER},gym", where=rooms)
    assert 'did you mean "club"?' in fault


# --- dates ---------------------------------------------------------------------------------------------------


def on(date, number=1):
    return f"{date},Mon,{PRESS},{number},22,10,2,,,,,"


def test_dates_in_two_orders_or_in_none_that_is_proven_are_refused(tmp_path):
    faults = told(tmp_path, on("30/11/2026"), on("11/30/2026", 2), on("2026-11-30", 3))
    assert len(faults) == 1  # one thing is wrong
    assert "line 2 puts the day first, line 3 the month" in faults[0]
    (fault,) = told(tmp_path, on("05/11/2026"))
    assert "line 2, column date" in fault and "2026-11-30" in fault


@pytest.mark.parametrize("dates", ["30.11.2026 05.11.2026", "11/30/2026 11/05/2026", "30-11-2026 2026-11-05"])
def test_an_order_that_the_file_proves_is_read(tmp_path, dates):
    taken = take(tmp_path, *map(on, dates.split(), (1, 2)))
    assert [row.date for row in taken.added] == [datetime.date(2026, 11, day) for day in (30, 5)]


# --- the file as a whole ----------------------------------------------------------------------------------


def test_two_athletes_in_one_file_or_another_athletes(tmp_path):
    lines, header = [f"{GOOD[0]},Robin Vale", f"{GOOD[1]},Sam Field"], f"{HEADER},athlete"
    (fault,) = told(tmp_path, *lines, header=header, manner=Manner(keep_good=True))
    assert "line 3, column athlete" in fault and '"Robin Vale", "Sam Field"' in fault
    (fault,) = told(tmp_path, f"{GOOD[0]},Sam Field", header=header)
    assert "Name the right folder" in fault
    assert len(take(tmp_path, f"{GOOD[0]},robin vale", header=header).added) == 1


def test_mixed_decimal_marks_and_a_set_twice_with_other_figures(tmp_path):
    (fault,) = told(tmp_path, GOOD[0].replace(",22,", ',"22,5",'), GOOD[1].replace(",22,", ",22.5,"))
    assert "line 2, column load" in fault and "line 3, column load" in fault
    mixed = (
        GOOD[0].replace(",22,", ',"22,5",'),
        GOOD[1].replace(",22,", ",22.5,"),
        GOOD[2].replace("15", "many"),
    )
    assert len(told(tmp_path, *mixed)) == 2  # all that is wrong is told at once
    (fault,) = told(tmp_path, GOOD[0], GOOD[0].replace(",10,", ",11,"))
    assert "line 3" in fault and "stands on line 2 too" in fault
    assert len(take(tmp_path, GOOD[0], GOOD[0]).added) == 1


@pytest.mark.parametrize(
    ("header", "says"),
    [
        ("date,session,exercise,set,load,repz,RIR", 'unknown column "repz"'),
        ("date,exercise,set,load", 'no column "reps"'), ("date,exercise,set,reps,reps", "stands twice"),
    ],
)  # fmt: skip
def test_a_wrong_header(tmp_path, header, says):
    assert any(says in fault and "line 1" in fault for fault in told(tmp_path, GOOD[0], header=header))


def test_an_unknown_name_is_likely_one_that_was_planned(tmp_path):
    line = "2026-11-30,Mon,Dumbbell lateral raise,1,8,12,2,,,,,"
    where = replace(context(), planned=("standing dumbbell lateral raise",))
    (said,) = told(tmp_path, line, where=where)
    assert 'did you mean "standing dumbbell lateral raise"' in said and "leave its lines out" in said


@pytest.mark.parametrize(("effort", "left"), [("RPE 8", "2"), ("@9.5", "0.5"), ("rpe 7,5", "2.5")])
def test_effort_in_place_of_reserve_is_told_what_it_would_be(tmp_path, effort, left):
    (fault,) = told(tmp_path, GOOD[0].replace(",10,2,", f',10,"{effort}",'))
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


def test_a_damaged_log_is_told_before_anything_is_added_and_a_wrong_line_says_its_file(tmp_path):
    file = written(tmp_path, GOOD[0].replace(",10,", ",x,"), name="monday.csv")
    with pytest.raises(FaultyInput, match=r"monday\.csv: line 2"):
        take_file_in(tmp_path, file, context(), Manner())
    take(tmp_path, GOOD[0] + "a\x1b[31mred")
    log = tmp_path / LOG
    assert "\x1b" not in log.read_text() and read_log(tmp_path)[0].note == "a\\u001b[31mred"
    log.write_text(log.read_text().replace(",22,", ",heavy,", 1))
    (fault,) = told(tmp_path, later(22))
    assert "log.csv: line 2, column load" in fault
