"""Taking in what a coach hands in, and the demo's three weeks: what is added, what is known, what is refused and where."""

import datetime
from dataclasses import replace

import pytest
from folders import DEMO
from log_files import GOOD, HEADER, LOG, PRESS, RAISE, context, later, take, take_file_in, told, written

from library.errors import FaultyInput
from planner.athlete.reading import read_athlete
from planner.log.file import append_to_log, read_log
from planner.log.intake import Manner
from planner.log.lines import LogContext
from planner.log.record import clearance
from planner.train.carried import carried_over


def test_a_file_is_taken_in_once_words_for_a_band_noted_and_what_grew_is_new(tmp_path):
    taken = take(tmp_path, *GOOD[:2])
    assert (len(taken.added), taken.known, taken.empty) == (2, 0, 0)
    before = (tmp_path / LOG).read_bytes()
    taken = take(tmp_path, *GOOD)
    assert (len(taken.added), taken.known) == (1, 2)
    after, log = (tmp_path / LOG).read_bytes(), read_log(tmp_path)
    assert after.startswith(before)  # it is only added to
    sets = [(PRESS, 1, 22, "kg", 10), (PRESS, 2, 22, "kg", 9), (RAISE, 1, 8, "kg", 15)]
    assert [row[2:7] for row in log] == sets
    assert (log[1].pain, log[1].kind, log[1].note, log[1].gym) == (1, "joint", "felt heavy", "club")
    assert log[2].pain is None
    taken = take(tmp_path, *GOOD)
    assert (len(taken.added), taken.known) == (0, 3) and (tmp_path / LOG).read_bytes() == after
    take(tmp_path, "2026-11-30,Mon,band_pull_apart,1,green,20,2,,,,,slow")
    assert (None, 20, "green, slow") in [(row.load, row.reps, row.note) for row in read_log(tmp_path)]


@pytest.mark.parametrize(("words", "region"), [
    ("left front of shoulder", "anterior_capsule"), ("vorne an der Schulter", "anterior_capsule"),
    ("biceps front", "long_head_biceps"), ("neck right side", "neck"), ("Nacken links", "neck"),
    # what is felt at the shoulder is not told of the elbow or the low back alone
    ("from shoulder to elbow", "from shoulder to elbow"), ("low on the back of the shoulder", "posterior_capsule"),
    ("posterior delt", "posterior_capsule"), ("lower back", "lumbar"),
    ("AC", "acromioclavicular"), ("back of shoulder", "posterior_capsule"), ("left hand", "left hand"),
])  # fmt: skip
def test_where_it_hurt_is_read_in_plain_words(tmp_path, words, region):
    take(tmp_path, f"2026-11-30,Mon,{PRESS},1,22,8,2,4,{words},joint,,")
    assert read_log(tmp_path)[0].where == region


def test_the_next_morning_completes_a_line_and_a_contradiction_is_refused_unless_it_corrects(tmp_path):
    take(tmp_path, GOOD[1])
    completed = f"2026-11-30,Mon,{PRESS},2,22,9,2,1,,joint,no,felt heavy"
    assert len(take(tmp_path, completed).added) == 1
    assert [row.next_morning for row in read_log(tmp_path)] == ["not settled"]
    assert take(tmp_path, GOOD[1]).known == 1  # the older sheet has nothing to add
    take(tmp_path, GOOD[0])
    other = GOOD[0].replace(",22,10,", ",22,11,")
    (fault,) = told(tmp_path, other)
    assert "line 2, column reps" in fault and "with reps 10, here 11" in fault
    take(tmp_path, other, manner=Manner(correct=True))
    assert [row.reps for row in read_log(tmp_path)] == [9, 11]


def test_what_spreadsheets_and_people_write_is_read(tmp_path):
    named = "2026-11-30,Mon, Seated  Dumbbell overhead press ,1,22 kg,10,2,,,,,"
    assert take(tmp_path, named, manner=Manner(save=False)).added[0].exercise == PRESS
    line = f'2026-11-30;Mon;{PRESS};1;12,5;10;1,5;0;;;;"well; so so"'
    header = HEADER.replace(",", ";")
    row = take(tmp_path, line, header=header, encoding="utf-8-sig", manner=Manner(save=False)).added[0]
    assert (row.load, row.rir, row.note) == (12.5, 1.5, "well; so so")
    text = "\r\n".join(["sep=;", header, GOOD[0].replace(",", ";"), ";;;;;;;;;;;", ""])
    (tmp_path / "done.csv").write_bytes(text.encode())
    assert len(take_file_in(tmp_path, tmp_path / "done.csv", context(), Manner(save=False)).added) == 1
    take(tmp_path, GOOD[0] + '"slow, then ""fast"", é"')
    assert read_log(tmp_path)[0].note == 'slow, then "fast", é'


@pytest.mark.parametrize(("lines", "says"), [
    ([*GOOD[:2], f"2026-11-30,Mon,{RAISE},1,8"], ("line 4", "half-written: 5 cells of 12")),
    ([GOOD[0] + '"begun', GOOD[1]], ("line 2", "quote is not closed")),
    ([f"2026-11-30,Mon,{PRESS},1,12,5,10,2,0,,,,x"], ("13 cells of 12", "semicolons")),
    ([GOOD[0].replace(PRESS, "seated_dumbell_overhead_pres")], ("line 2, column exercise", f'did you mean "{PRESS}"?')),
])  # fmt: skip
def test_a_wrong_line_is_named(tmp_path, lines, says):
    (fault,) = told(tmp_path, *lines)
    assert all(words in fault for words in says)


@pytest.mark.parametrize(("column", "cell"), [
    ("set", "0"), ("set", ""), ("set", "1.5"), ("load", "heavy"), ("load", "-5"), ("load", "1,234"),
    ("load", "2000"), ("reps", "8-10"), ("reps", "nan"), ("RIR", "11"), ("pain", "12"), ("pain", "a lot"),
    ("kind", "dull"), ("next_morning", "maybe"), ("date", "2026-02-30"), ("date", ""),
    ("date", "2027-06-01"), ("date", "30/11/26"), ("reps", ""),
])  # fmt: skip
def test_a_wrong_cell_is_named_by_line_and_column(tmp_path, column, cell):
    cells = dict(zip(HEADER.split(","), GOOD[0].split(","), strict=True)) | {column: f'"{cell}"'}
    (fault,) = told(tmp_path, ",".join(cells.values()))
    assert f"line 2, column {column.lower()}" in fault


def test_faults_are_told_at_once_each_once_with_names_of_its_kind(tmp_path):
    wrong = GOOD[0].replace(",10,", ",x,"), GOOD[1].replace(PRESS, "juggling"), GOOD[2] + "a,b"
    places = [fault.split(": ")[1] for fault in told(tmp_path, *wrong)]
    assert places == ["line 2, column reps", "line 3, column exercise", "line 4"]
    faults = told(tmp_path, *(GOOD[0].replace(",1,22,10,", f",{n},22,x{n},") for n in range(1, 31)))
    assert len(faults) == 21 and "10 faults more" in faults[-1]
    lines = [GOOD[0].replace(f"{PRESS},1", f"Uncle's press,{n}") for n in range(1, 31)]
    (fault,) = told(tmp_path, *lines)
    assert "line 2, column exercise (and lines 3, 4, " in fault and "14 and 17 more)" in fault
    assert "Rotating dumbbell press" in fault and "raise" not in fault
    (fault,) = told(tmp_path, lines[0].replace("Uncle's press", "Seated dumbell overhead press"))
    assert 'did you mean "seated dumbbell overhead press"?' in fault
    line = "2026-11-30,Mon,Dumbbell lateral raise,1,8,12,2,,,,,"
    where = replace(context(), planned=("standing dumbbell lateral raise",))
    (said,) = told(tmp_path, line, where=where)
    assert 'did you mean "standing dumbbell lateral raise"' in said and "leave its lines out" in said


def test_good_lines_are_kept_only_if_the_coach_says_so_and_a_rehearsal_writes_nothing(tmp_path):
    lines = [GOOD[0], GOOD[1].replace(",9,", ",x,"), GOOD[2]]
    told(tmp_path, *lines)
    for save in (False, True):
        assert not (tmp_path / LOG).exists()
        taken = take(tmp_path, *lines, manner=Manner(keep_good=True, save=save))
        assert [row.exercise for row in taken.added] == [PRESS, RAISE]
    assert "line 3" in str(taken.left_out[0]) and (tmp_path / LOG).exists()


def test_a_log_can_be_taken_in_again_clearances_confirmed(tmp_path):
    take(tmp_path, *GOOD)
    append_to_log(tmp_path, [clearance(PRESS, datetime.date(2026, 12, 1), "seen, cleared")])
    elsewhere = tmp_path / "new"
    elsewhere.mkdir()
    with pytest.raises(FaultyInput, match="line 5, column kind"):
        take_file_in(elsewhere, tmp_path / LOG, context(), Manner())
    taken = take_file_in(elsewhere, tmp_path / LOG, context(), Manner(confirm=lambda _: True))
    assert len(taken.added) == 4
    assert read_log(elsewhere) == read_log(tmp_path)
    assert (elsewhere / LOG).read_bytes() == (tmp_path / LOG).read_bytes()


AFTER = datetime.date(2026, 11, 23)


@pytest.fixture(scope="module")
def athlete(library):
    return read_athlete(DEMO, library)


@pytest.fixture(scope="module")
def log():
    return read_log(DEMO)


def test_three_weeks_of_the_demo_are_taken_in_and_drive_the_fourth(library, athlete, log, tmp_path):
    assert sorted({row.week for row in log}) == ["2026-W45", "2026-W46", "2026-W47"]
    brief, gyms = athlete
    manner = Manner(confirm=lambda text: "cleared" in text)
    taken = take_file_in(tmp_path, DEMO / "log.csv", LogContext(brief, gyms, library, AFTER), manner)
    assert not taken.left_out
    assert (tmp_path / "log.csv").read_bytes() == (DEMO / "log.csv").read_bytes()
    carried = carried_over(log, library, athlete[1], AFTER, None, 2)
    reasons = [load.reason for load in carried.loads.values()]
    assert any("Every set reached" in reason for reason in reasons)
    assert any("last time: same load" in reason for reason in reasons)
    assert any(reason.startswith("Pain last time") for reason in reasons)
    assert len(carried.pain.eased) == 1
    assert any(row.kind == "sharp" for row in log) and carried.pain.out == ()


# --- loads in the wrong unit, jumps, dates of two orders; two athletes, another header, noise
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


def test_a_jump_is_seen_in_one_file_too_and_asked_once_for_each_load(tmp_path):
    (fault,) = told(tmp_path, GOOD[0], f"2026-11-30,Mon,{PRESS},2,48.5,9,2,,,,,")
    assert "line 3" in fault
    rooms, header = context({"club": "kg", "home": "kg"}), f"{HEADER},gym"
    take(tmp_path, f"{GOOD[0]},club", header=header, where=rooms)
    assert len(take(tmp_path, f"{later(60)},home", header=header, where=rooms).added) == 1
    (other := tmp_path / "other").mkdir()
    take(other, *GOOD)
    asked = []
    manner = Manner(confirm=lambda question: asked.append(question) is None)
    taken = take(other, later(48, 1), later(48, 2), later(24, 3), manner=manner)
    assert [row.set_number for row in taken.added] == [3, 1, 2]
    assert len(asked) == 1


@pytest.mark.parametrize("cells", [("50 lb", ""), ("50", "lb")])
def test_pounds_in_a_gym_of_kilograms_are_refused(tmp_path, cells):
    line = f"2026-11-30,Mon,{PRESS},1,{cells[0]},10,2,,,,,,{cells[1]}"
    (fault,) = told(tmp_path, line, header=f"{HEADER},load_unit")
    assert "read lb" in fault and "works in kg" in fault
    assert take(tmp_path, GOOD[0], where=context({"club": "lb"})).added[0].load_unit == "lb"


def test_whose_it_is_and_where_it_was_done_must_be_known(tmp_path):
    rooms, tuesday = context({"club": "kg", "home": "kg"}), f"2026-12-01,Tue,{PRESS},1,22,10,2,,,,,"
    (fault,) = told(tmp_path, tuesday, where=rooms)
    assert '"club", "home"' in fault
    (fault,) = told(tmp_path, f"{tuesday},clubb", header=f"{HEADER},gym", where=rooms)
    assert 'did you mean "club"?' in fault
    lines, header = [f"{GOOD[0]},Robin Vale", f"{GOOD[1]},Sam Field"], f"{HEADER},athlete"
    (fault,) = told(tmp_path, *lines, header=header, manner=Manner(keep_good=True))
    assert "line 3, column athlete" in fault and '"Robin Vale", "Sam Field"' in fault
    (fault,) = told(tmp_path, f"{GOOD[0]},Sam Field", header=header)
    assert "Name the right folder" in fault
    assert len(take(tmp_path, f"{GOOD[0]},robin vale", header=header).added) == 1


# --- dates ---------------------------------------------------------------------------------------------------
def on(date, number=1):
    return f"{date},Mon,{PRESS},{number},22,10,2,,,,,"


def test_what_contradicts_itself_in_a_file_is_refused(tmp_path):
    faults = told(tmp_path, on("30/11/2026"), on("11/30/2026", 2), on("2026-11-30", 3))
    assert len(faults) == 1  # one thing is wrong
    assert "line 2 puts the day first, line 3 the month" in faults[0]
    (fault,) = told(tmp_path, on("05/11/2026"))
    assert "line 2, column date" in fault and "2026-11-30" in fault
    mixed = GOOD[0].replace(",22,", ',"22,5",'), GOOD[1].replace(",22,", ",22.5,")
    (fault,) = told(tmp_path, *mixed)
    assert "line 2, column load" in fault and "line 3, column load" in fault
    assert len(told(tmp_path, *mixed, GOOD[2].replace("15", "many"))) == 2  # all that is wrong at once
    (fault,) = told(tmp_path, GOOD[0], GOOD[0].replace(",10,", ",11,"))
    assert "line 3" in fault and "stands on line 2 too" in fault
    assert len(take(tmp_path, GOOD[0], GOOD[0]).added) == 1


@pytest.mark.parametrize("dates", ["30.11.2026 05.11.2026", "11/30/2026 11/05/2026", "30-11-2026 2026-11-05"])
def test_an_order_that_the_file_proves_is_read(tmp_path, dates):
    taken = take(tmp_path, *map(on, dates.split(), (1, 2)))
    assert [row.date for row in taken.added] == [datetime.date(2026, 11, day) for day in (30, 5)]


# --- the file as a whole ----------------------------------------------------------------------------------
@pytest.mark.parametrize(("header", "says"), [
    ("date,session,exercise,set,load,repz,RIR", 'unknown column "repz"'),
    ("date,exercise,set,load", 'no column "reps"'), ("date,exercise,set,reps,reps", "stands twice"),
])  # fmt: skip
def test_a_wrong_header(tmp_path, header, says):
    assert any(says in fault and "line 1" in fault for fault in told(tmp_path, GOOD[0], header=header))


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
