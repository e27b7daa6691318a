"""Files that are wrong as a whole: two athletes, another header, noise, a damaged log; whatever stands in a file."""

import pytest
from log_files import GOOD, HEADER, LOG, context, later, take, take_file_in, told, written

from library.errors import FaultyInput
from planner.log.file import read_log
from planner.log.intake import Manner

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
