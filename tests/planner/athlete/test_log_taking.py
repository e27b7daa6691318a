"""Taking in what a coach hands in: what is added, what is known, what is refused and where it stands."""

from __future__ import annotations

import csv
import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from library.errors import FaultyInput
from library.read import read_library
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.athlete.log import append_to_log, read_log
from planner.athlete.log_context import LogContext, log_context
from planner.athlete.log_record import clearance
from planner.athlete.log_taking import Manner, Taken, take_file_in

LIBRARY = read_library()
PRESS = "seated_dumbbell_overhead_press"
RAISE = "standing_dumbbell_lateral_raise"
TODAY = datetime.date(2026, 12, 20)
HEADER = "date,session,exercise,set,load,reps,RIR,pain,where,kind,next_morning,note"
GOOD = (
    f"2026-11-30,Mon,{PRESS},1,22,10,2,0,,,,",
    f"2026-11-30,Mon,{PRESS},2,22,9,2,1,,joint,,felt heavy",
    f"2026-11-30,Mon,{RAISE},1,8,15,2,,,,,",
)


def context(gyms: dict[str, str] | None = None, name: str = "Robin Vale") -> LogContext:
    """Monday in the club (kg); `gyms` names other gyms with their units."""
    rooms = gyms or {"club": "kg"}
    brief = Brief.model_validate(
        {"athlete": {"name": name}, "session": [{"day": "Mon", "minutes": 40, "gym": next(iter(rooms))}]}
    )
    return log_context(
        brief, {key: Gym.model_validate({"unit": unit}) for key, unit in rooms.items()}, LIBRARY, TODAY
    )


def written(
    folder: Path, *lines: str, header: str = HEADER, name: str = "done.csv", encoding: str = "utf-8"
) -> Path:
    file = folder / name
    file.write_text("\n".join([header, *lines]) + "\n", encoding=encoding)
    return file


def take(
    folder: Path,
    *lines: str,
    header: str = HEADER,
    manner: Manner | None = None,
    where: LogContext | None = None,
    encoding: str = "utf-8",
) -> Taken:
    file = written(folder, *lines, header=header, encoding=encoding)
    return take_file_in(folder, file, where or context(), manner or Manner())


LOG = "log.csv"


def told(folder: Path, *lines: str, **changes: object) -> list[str]:
    """The faults of a file, which must add nothing."""
    before = (folder / LOG).read_bytes() if (folder / LOG).exists() else None
    with pytest.raises(FaultyInput) as error:
        take(folder, *lines, **changes)  # type: ignore[arg-type]
    after = (folder / LOG).read_bytes() if (folder / LOG).exists() else None
    assert before == after
    return [str(fault) for fault in error.value.faults]


def test_a_file_is_taken_in(tmp_path: Path) -> None:
    taken = take(tmp_path, *GOOD)
    assert (len(taken.added), taken.known, taken.empty) == (3, 0, 0)
    log = read_log(tmp_path)
    assert [(row.exercise, row.set_number, row.load, row.load_unit, row.reps) for row in log] == [
        (PRESS, 1, 22, "kg", 10),
        (PRESS, 2, 22, "kg", 9),
        (RAISE, 1, 8, "kg", 15),
    ]
    assert (log[1].pain, log[1].kind, log[1].note, log[1].gym) == (1, "joint", "felt heavy", "club")
    assert log[2].pain is None


def test_the_same_file_twice_adds_nothing(tmp_path: Path) -> None:
    take(tmp_path, *GOOD)
    before = (tmp_path / LOG).read_bytes()
    taken = take(tmp_path, *GOOD)
    assert (len(taken.added), taken.known) == (0, 3)
    assert (tmp_path / LOG).read_bytes() == before


def test_a_file_that_grew_adds_what_is_new(tmp_path: Path) -> None:
    take(tmp_path, *GOOD[:2])
    taken = take(tmp_path, *GOOD)
    assert (len(taken.added), taken.known) == (1, 2)


def test_the_log_is_only_added_to(tmp_path: Path) -> None:
    take(tmp_path, *GOOD[:2])
    before = (tmp_path / LOG).read_bytes()
    take(tmp_path, GOOD[2])
    assert (tmp_path / LOG).read_bytes().startswith(before)


def test_planned_sets_left_empty_are_no_faults(tmp_path: Path) -> None:
    taken = take(tmp_path, GOOD[0], f"2026-11-30,Mon,{PRESS},2,,,,,,,,")
    assert (len(taken.added), taken.empty) == (1, 1)


def test_the_next_morning_completes_a_line(tmp_path: Path) -> None:
    take(tmp_path, GOOD[1])
    completed = f"2026-11-30,Mon,{PRESS},2,22,9,2,1,,joint,no,felt heavy"
    assert len(take(tmp_path, completed).added) == 1
    assert [row.next_morning for row in read_log(tmp_path)] == ["not settled"]
    assert take(tmp_path, GOOD[1]).known == 1  # the older sheet has nothing to add


def test_a_contradiction_is_refused_unless_it_corrects(tmp_path: Path) -> None:
    take(tmp_path, GOOD[0])
    other = GOOD[0].replace(",22,10,", ",22,11,")
    (fault,) = told(tmp_path, other)
    assert "line 2, column reps" in fault
    assert "with reps 10, here 11" in fault
    take(tmp_path, other, manner=Manner(correct=True))
    assert [row.reps for row in read_log(tmp_path)] == [11]


def test_printed_names_and_spaces_will_do(tmp_path: Path) -> None:
    line = "2026-11-30,Mon, Seated  Dumbbell overhead press ,1,22 kg,10,2,,,,,"
    assert take(tmp_path, line).added[0].exercise == PRESS


def test_semicolons_decimal_commas_and_a_byte_order_mark(tmp_path: Path) -> None:
    header = HEADER.replace(",", ";")
    line = f"2026-11-30;Mon;{PRESS};1;12,5;10;1,5;0;;;;well; so so".replace("well; so so", '"well; so so"')
    row = take(tmp_path, line, header=header, encoding="utf-8-sig").added[0]
    assert (row.load, row.rir, row.note) == (12.5, 1.5, "well; so so")


def test_a_separator_line_and_line_ends_of_spreadsheets(tmp_path: Path) -> None:
    file = tmp_path / "done.csv"
    text = "\r\n".join(["sep=;", HEADER.replace(",", ";"), GOOD[0].replace(",", ";"), ";;;;;;;;;;;", ""])
    file.write_bytes(text.encode())
    assert len(take_file_in(tmp_path, file, context(), Manner()).added) == 1


def test_notes_keep_commas_and_quotes(tmp_path: Path) -> None:
    take(tmp_path, GOOD[0] + '"slow, then ""fast"", é"')
    assert read_log(tmp_path)[0].note == 'slow, then "fast", é'


def test_a_half_written_line_is_named(tmp_path: Path) -> None:
    (fault,) = told(tmp_path, *GOOD[:2], f"2026-11-30,Mon,{RAISE},1,8")
    assert "line 4" in fault
    assert "half-written: 5 cells of 12" in fault


def test_an_open_quote_swallows_no_line(tmp_path: Path) -> None:
    (fault,) = told(tmp_path, GOOD[0] + '"begun', GOOD[1])
    assert "line 2" in fault
    assert "quote is not closed" in fault


def test_too_many_cells_point_at_decimal_commas(tmp_path: Path) -> None:
    (fault,) = told(tmp_path, f"2026-11-30,Mon,{PRESS},1,12,5,10,2,0,,,,x")
    assert "13 cells of 12" in fault
    assert "semicolons" in fault


def test_an_unknown_exercise_offers_the_nearest(tmp_path: Path) -> None:
    (fault,) = told(tmp_path, GOOD[0].replace(PRESS, "seated_dumbell_overhead_pres"))
    assert "line 2, column exercise" in fault
    assert f'did you mean "{PRESS}"?' in fault


def test_reps_of_400(tmp_path: Path) -> None:
    (fault,) = told(tmp_path, GOOD[0].replace(",22,10,", ",22,400,"))
    assert "line 2, column reps" in fault
    assert '"400"' in fault
    assert "0 to 100" in fault


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("set", "0"), ("set", ""), ("set", "1.5"), ("load", "heavy"), ("load", "-5"), ("load", "1,234"),
        ("load", "2000"), ("reps", "8-10"), ("reps", "nan"), ("RIR", "11"), ("pain", "12"), ("pain", "a lot"),
        ("kind", "dull"), ("next_morning", "maybe"), ("date", "2026-02-30"), ("date", ""),
        ("date", "2027-06-01"), ("date", "30/11/26"), ("reps", ""),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_named_by_line_and_column(tmp_path: Path, column: str, cell: str) -> None:
    cells = dict(zip(HEADER.split(","), GOOD[0].split(","), strict=True)) | {column: f'"{cell}"'}
    (fault,) = told(tmp_path, ",".join(cells.values()))
    assert f"line 2, column {column.lower()}" in fault


def test_every_fault_of_a_file_is_told_at_once(tmp_path: Path) -> None:
    faults = told(
        tmp_path, GOOD[0].replace(",10,", ",x,"), GOOD[1].replace(PRESS, "juggling"), GOOD[2] + "a,b"
    )
    assert [fault.split(": ")[1] for fault in faults] == [
        "line 2, column reps",
        "line 3, column exercise",
        "line 4",
    ]


def test_a_long_list_of_faults_is_cut(tmp_path: Path) -> None:
    faults = told(tmp_path, *(GOOD[0].replace(",1,22,10,", f",{n},22,x,") for n in range(1, 31)))
    assert len(faults) == 21
    assert "10 faults more" in faults[-1]


def test_good_lines_are_kept_only_if_the_coach_says_so(tmp_path: Path) -> None:
    lines = [GOOD[0], GOOD[1].replace(",9,", ",x,"), GOOD[2]]
    told(tmp_path, *lines)
    taken = take(tmp_path, *lines, manner=Manner(keep_good=True))
    assert [row.exercise for row in taken.added] == [PRESS, RAISE]
    assert "line 3" in str(taken.left_out[0])


def test_a_log_can_be_taken_in_again_clearances_confirmed(tmp_path: Path) -> None:
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


def test_a_rehearsal_writes_nothing(tmp_path: Path) -> None:
    assert len(take(tmp_path, *GOOD, manner=Manner(save=False)).added) == 3
    assert not (tmp_path / LOG).exists()


# --- loads in the wrong unit -------------------------------------------------------------------------------


def later(load: float, number: int = 1) -> str:
    return f"2026-12-07,Mon,{PRESS},{number},{load},10,2,,,,,"


@pytest.mark.parametrize("load", [48.5, 44, 11, 5])
def test_a_jump_to_half_or_double_is_not_swallowed(tmp_path: Path, load: float) -> None:
    take(tmp_path, *GOOD)
    (fault,) = told(tmp_path, later(load))
    assert "line 2, column load" in fault
    assert f"{load:g} kg after 22 kg last time" in fault
    assert "--yes" in fault


@pytest.mark.parametrize("load", [43, 11.5, 22])
def test_a_smaller_change_is_believed(tmp_path: Path, load: float) -> None:
    take(tmp_path, *GOOD)
    assert len(take(tmp_path, later(load)).added) == 1


def test_a_jump_that_is_confirmed_is_asked_once_for_each_load(tmp_path: Path) -> None:
    take(tmp_path, *GOOD)
    asked: list[str] = []

    def confirm(question: str) -> bool:
        asked.append(question)
        return True

    taken = take(tmp_path, later(48, 1), later(48, 2), later(24, 3), manner=Manner(confirm=confirm))
    assert [row.set_number for row in taken.added] == [3, 1, 2]
    assert len(asked) == 1


def test_a_jump_inside_one_file_is_seen_too(tmp_path: Path) -> None:
    (fault,) = told(tmp_path, GOOD[0], f"2026-11-30,Mon,{PRESS},2,48.5,9,2,,,,,")
    assert "line 3" in fault


def test_another_gym_is_another_load(tmp_path: Path) -> None:
    rooms = context({"club": "kg", "home": "kg"})
    header = HEADER + ",gym"
    take(tmp_path, f"{GOOD[0]},club", header=header, where=rooms)
    assert len(take(tmp_path, f"{later(60)},home", header=header, where=rooms).added) == 1


@pytest.mark.parametrize("cells", [("50 lb", ""), ("50", "lb")])
def test_pounds_in_a_gym_of_kilograms_are_refused(tmp_path: Path, cells: tuple[str, str]) -> None:
    line = f"2026-11-30,Mon,{PRESS},1,{cells[0]},10,2,,,,,,{cells[1]}"
    (fault,) = told(tmp_path, line, header=f"{HEADER},load_unit")
    assert "read lb" in fault
    assert "works in kg" in fault


def test_a_gym_of_pounds_logs_pounds(tmp_path: Path) -> None:
    assert take(tmp_path, GOOD[0], where=context({"club": "lb"})).added[0].load_unit == "lb"


def test_where_it_was_done_must_be_known(tmp_path: Path) -> None:
    rooms = context({"club": "kg", "home": "kg"})
    tuesday = f"2026-12-01,Tue,{PRESS},1,22,10,2,,,,,"
    (fault,) = told(tmp_path, tuesday, where=rooms)
    assert '"club", "home"' in fault
    (fault,) = told(tmp_path, f"{tuesday},clubb", header=f"{HEADER},gym", where=rooms)
    assert 'did you mean "club"?' in fault


# --- dates ---------------------------------------------------------------------------------------------------


def on(date: str, number: int = 1) -> str:
    return f"{date},Mon,{PRESS},{number},22,10,2,,,,,"


def test_dates_in_two_orders_are_refused(tmp_path: Path) -> None:
    faults = told(tmp_path, on("30/11/2026"), on("11/30/2026", 2), on("2026-11-30", 3))
    assert len(faults) == 2
    assert all("line 2 puts the day first, line 3 the month" in fault for fault in faults)


def test_a_date_that_could_be_both_is_refused(tmp_path: Path) -> None:
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
def test_an_order_that_the_file_proves_is_read(
    tmp_path: Path, first: str, second: str, dates: tuple[int, int]
) -> None:
    taken = take(tmp_path, on(first), on(second, 2))
    assert [row.date for row in taken.added] == [datetime.date(2026, 11, day) for day in dates]


# --- the file as a whole ----------------------------------------------------------------------------------


def test_two_athletes_in_one_file(tmp_path: Path) -> None:
    lines = [f"{GOOD[0]},Robin Vale", f"{GOOD[1]},Sam Field"]
    (fault,) = told(tmp_path, *lines, header=f"{HEADER},athlete", manner=Manner(keep_good=True))
    assert "line 3, column athlete" in fault
    assert '"Robin Vale", "Sam Field"' in fault


def test_another_athletes_file(tmp_path: Path) -> None:
    (fault,) = told(tmp_path, f"{GOOD[0]},Sam Field", header=f"{HEADER},athlete")
    assert "Name the right folder" in fault
    assert len(take(tmp_path, f"{GOOD[0]},robin vale", header=f"{HEADER},athlete").added) == 1


def test_mixed_decimal_marks(tmp_path: Path) -> None:
    lines = [GOOD[0].replace(",22,", ',"22,5",'), GOOD[1].replace(",22,", ",22.5,")]
    (fault,) = told(tmp_path, *lines)
    assert "line 2, column load" in fault
    assert "line 3, column load" in fault


def test_the_same_set_twice_with_other_figures(tmp_path: Path) -> None:
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
def test_a_wrong_header(tmp_path: Path, header: str, says: str) -> None:
    faults = told(tmp_path, GOOD[0], header=header)
    assert any(says in fault and "line 1" in fault for fault in faults)


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\xff\xfe\x00broken", b"PK\x03\x04" + b"\x00\x9f" * 500])
def test_noise_is_refused_in_words(tmp_path: Path, content: bytes) -> None:
    for name in ("noise.csv", "noise.xlsx"):
        file = tmp_path / name
        file.write_bytes(content)
        with pytest.raises(FaultyInput):
            take_file_in(tmp_path, file, context(), Manner())
    assert not (tmp_path / LOG).exists()


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    for file in (tmp_path / "gone.csv", tmp_path / "gone.xlsx", tmp_path):
        with pytest.raises(FaultyInput):
            take_file_in(tmp_path, file, context(), Manner())


def test_a_damaged_log_is_told_before_anything_is_added(tmp_path: Path) -> None:
    take(tmp_path, *GOOD)
    log = tmp_path / LOG
    log.write_text(log.read_text().replace(",22,", ",heavy,", 1))
    (fault,) = told(tmp_path, later(22))
    assert "log.csv: line 2, column load" in fault


def test_control_characters_in_a_note_do_not_reach_the_log(tmp_path: Path) -> None:
    take(tmp_path, GOOD[0] + "a\x1b[31mred")
    assert "\x1b" not in (tmp_path / LOG).read_text()
    assert read_log(tmp_path)[0].note == "a\\u001b[31mred"


def test_a_wrong_line_says_its_file(tmp_path: Path) -> None:
    file = written(tmp_path, GOOD[0].replace(",10,", ",x,"), name="monday.csv")
    with pytest.raises(FaultyInput, match=r"monday\.csv: line 2"):
        take_file_in(tmp_path, file, context(), Manner())


cells = st.one_of(
    st.sampled_from(
        ["", "0", "1", "10", "-1", "1e9", "nan", "inf", "9" * 400, "22 kg", "1,5", "cleared", "2026-11-30"]
    ),
    st.text(st.characters(exclude_categories=("Cs",)), max_size=12),
)


@given(
    st.lists(st.lists(cells, min_size=len(HEADER.split(",")), max_size=len(HEADER.split(","))), max_size=4)
)
def test_whatever_stands_in_a_file_is_taken_or_refused_in_words(
    tmp_path_factory: pytest.TempPathFactory, table: list[list[str]]
) -> None:
    folder = tmp_path_factory.mktemp("any")
    file = folder / "any.csv"
    with file.open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream).writerows([HEADER.split(","), GOOD[0].split(","), *table])
    try:
        taken = take_file_in(folder, file, context(), Manner())
    except FaultyInput as error:
        assert all(fault.where for fault in error.faults[:20])
        assert not (folder / LOG).exists()
    else:
        assert len(read_log(folder)) == len(taken.added)
