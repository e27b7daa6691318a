"""The log on disk: read as it was written, only added to, and whole after a kill at any moment."""

import csv
import datetime
import os
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from killed import KILLED, ended, kill_after, needs_fork, started
from log_files import PRESS, context, take_file_in
from openpyxl import Workbook, load_workbook
from small_document import line, small_document

from library.errors import FaultyInput
from planner.log.blank import write_blank
from planner.log.file import append_to_log, read_lines, read_log
from planner.log.intake import Manner
from planner.log.record import CLEARED, KINDS, LoggedSet, clearance

DAY = datetime.date(2026, 11, 30)
LOG = "log.csv"


def a_set(number=1, **fields):
    return LoggedSet(DAY, "Mon", "press", number, 22.5, "kg", 10, 1.5, 2.0, **fields)


letters = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp"))
texts = st.text(letters, max_size=20).map(str.strip)
rows = st.builds(
    LoggedSet, date=st.dates(datetime.date(2000, 1, 1), datetime.date(2099, 12, 31)),
    session=st.sampled_from(["Mon", "Sat-2", ""]), exercise=st.sampled_from(["press", "raise"]),
    set_number=st.integers(0, 50), load=st.one_of(st.none(), st.integers(0, 4000).map(lambda n: n / 4)),
    load_unit=st.sampled_from([None, "kg", "lb"]), reps=st.one_of(st.none(), st.integers(0, 100)),
    rir=st.one_of(st.none(), st.integers(0, 20).map(lambda n: n / 2)),
    pain=st.one_of(st.none(), st.integers(0, 10).map(float)), where=texts,
    kind=st.sampled_from(["", CLEARED, *KINDS]),
    next_morning=st.sampled_from(["", "settled", "not settled"]), gym=st.sampled_from(["club", ""]),
    note=texts,
)  # fmt: skip


@given(st.lists(st.lists(rows, max_size=6), max_size=4))
def test_what_is_written_is_read(tmp_path_factory, batches):
    folder = tmp_path_factory.mktemp("log")
    for batch in batches:
        append_to_log(folder, batch)
    assert read_lines(folder) == [row for batch in batches for row in batch]


def test_line_ends_are_no_loss_no_log_is_an_empty_log_and_a_folder_may_refuse_it(tmp_path):
    append_to_log(tmp_path, [a_set(1)])
    (tmp_path / LOG).write_text((tmp_path / LOG).read_text().rstrip("\n"))
    append_to_log(tmp_path, [a_set(2, note="x")])
    (tmp_path / LOG).write_bytes((tmp_path / LOG).read_bytes().replace(b"\n", b"\r\n"))
    assert read_log(tmp_path) == (a_set(1), a_set(2, note="x"))
    (tmp_path / LOG).unlink()
    append_to_log(tmp_path, [])
    assert not (tmp_path / LOG).exists() and read_log(tmp_path) == ()
    earlier = clearance("press", DAY - datetime.timedelta(days=3))
    append_to_log(tmp_path, [a_set(), earlier])
    assert read_log(tmp_path) == (earlier, a_set())
    (tmp_path / "no folder").write_text("")
    with pytest.raises(FaultyInput):
        append_to_log(tmp_path / "no folder", [a_set()])


@pytest.mark.parametrize(("old", "new", "places"), [
    ("press,2", "press", {"line 3"}), ("press,2", '"press,2', {"line 3"}),
    ("press,3,22.5,kg,10", "press", {"line 4"}), (",22.5,", ",heavy,", {"line 2, column load"}),
    ("2026-11-30", "30.11.2026", {"line 2, column date"}), ("date,session", "date;session", {"line 1"}),
    (",Mon,", ",Mon,Mon,", {"line 2"}), ("press", "pr\xe9ss", {"line 2"}),
    # one line a cell short, the next a cell long: the file has the right number of cells in all
    (',"a, b"\n2026-11-30', '\n2026-11-30,Mon', {"line 2", "line 3"}),
])  # fmt: skip
def test_damage_by_hand_is_named(tmp_path, old, new, places):
    append_to_log(tmp_path, [a_set(number, note="a, b") for number in (1, 2, 3)])
    file = tmp_path / LOG
    assert old in file.read_text()
    file.write_text(file.read_text().replace(old, new, 1), encoding="latin-1")
    with pytest.raises(FaultyInput) as error:
        read_log(tmp_path)
    assert places <= {fault.where for fault in error.value.faults}
    assert all(", or: " not in fault.remedy for fault in error.value.faults)


# --- kills ---------------------------------------------------------------------------------------------------
def _append_for_ever(folder, start, told):
    """Add one line after the other; tell each line only when it is said to be on the disk."""
    for step in range(start, start + 10_000):
        append_to_log(folder, [_line(step)])
        with told.open("a") as file:
            file.write(f"{step}\n")


def _line(step):
    date = DAY + datetime.timedelta(days=step // 50)
    return LoggedSet(date, "Mon", "press", 1 + step % 50, reps=step % 100, note=f"line {step}, told")


@needs_fork
def test_25_kills_lose_no_line(tmp_path):
    moments, told, start = random.Random(7), tmp_path / "told.txt", 0
    folder = tmp_path / "athlete"
    folder.mkdir()
    told.touch()
    for _ in range(25):  # somewhere inside the writing of the next lines
        child = started(lambda start=start: _append_for_ever(folder, start, told))
        kill_after(moments.uniform(0.0, 0.05), child)
        found = {int(row.note.split()[1].rstrip(",")) for row in read_log(folder)}
        assert set(map(int, told.read_text().split())) <= found, "a line that was told to be written is gone"
        start = max(found, default=-1) + 1
        assert found == set(range(start)), "a line in the middle is gone"
    assert told.read_text()


STEPS = {
    "os.open": "planner.athlete.writing.write_through", "os.fsync": "os.fsync", "replace": "pathlib.Path.replace",
    "after replace": "planner.athlete.writing.flush_folder",
}  # fmt: skip


@needs_fork
@pytest.mark.parametrize("step", STEPS)
def test_a_kill_at_each_step_of_writing(tmp_path, step, monkeypatch):
    append_to_log(tmp_path, [_line(0)])

    def work():
        monkeypatch.setattr(STEPS[step], lambda *_, **__: os._exit(KILLED))
        append_to_log(tmp_path, [_line(1)])

    assert ended(started(work)) == KILLED
    assert [row.reps for row in read_log(tmp_path)] == ([0, 1] if step == "after replace" else [0])
    append_to_log(tmp_path, [_line(2)])  # what the killed run left beside is in nobody's way
    assert [row.reps for row in read_log(tmp_path)][-1] == 2
    assert sorted(entry.name for entry in tmp_path.iterdir()) == [".lock", LOG]


@needs_fork
def test_two_at_once_lose_no_line(tmp_path):
    def work(first):
        return lambda: [append_to_log(tmp_path, [_line(step)]) for step in range(first, first + 25)]

    children = [started(work(first)) for first in (0, 100)]
    assert [ended(child) for child in children] == [0, 0]
    assert len(read_log(tmp_path)) == 50


# --- Blank sheets and workbooks
@pytest.fixture(scope="module")
def body_exercise(library):
    return next(key for key, item in library.exercises.items() if item.load_is == "body")


@pytest.fixture(scope="module")
def document(library, body_exercise):
    """Monday: press 3 × at 22 kg, a bodyweight exercise 2 ×. Thursday: press 1 ×."""

    def planned(key, sets, load=None):
        unit = None if key == body_exercise else "kg"
        return line(key, sets, load=load, load_unit=unit, load_is=library.exercises[key].load_is)

    monday = [planned(PRESS, 3, 22.0), planned(body_exercise, 2)]
    return small_document({"Mon": monday, "Thu": [planned(PRESS, 1)]})


# --- blank sheets
def test_a_blank_csv_has_a_line_for_each_planned_set(tmp_path, document):
    file = tmp_path / "blank.csv"
    assert write_blank(document, file) == 6
    assert file.read_bytes().startswith(b"\xef\xbb\xbf")
    rows = list(csv.DictReader(file.read_text(encoding="utf-8-sig").splitlines()))
    assert [(row["date"], row["session"], row["set"]) for row in rows] == [
        *(("2026-11-30", "Mon", number) for number in "12312"),
        ("2026-12-03", "Thu", "1"),
    ]
    assert rows[0]["asked"] == "8–12 reps, 2 in reserve, 22 kg each hand"
    assert [row["load_unit"] for row in rows] == ["kg", "kg", "kg", "", "", "kg"]
    assert {row["load"] + row["reps"] + row["rir"] for row in rows} == {""}


def test_a_filled_sheet_or_one_of_another_kind_is_never_written(tmp_path, document):
    (tmp_path / "blank.csv").write_text("mine")
    for name, says in (
        ("blank.csv", "may be filled in"), ("no folder/blank.csv", "where it can be written"),
        ("blank.doc", '".doc". Name a file that ends in .csv or .xlsx'), ("blank", "a name without an ending"),
    ):  # fmt: skip
        with pytest.raises(FaultyInput, match=says):
            write_blank(document, tmp_path / name)
    assert [file.name for file in tmp_path.iterdir()] == ["blank.csv"]
    assert (tmp_path / "blank.csv").read_text() == "mine"


@pytest.mark.parametrize("name", ["blank.csv", "blank.xlsx"])
def test_a_blank_sheet_is_taken_in_empty_and_a_workbook_offers_the_words(tmp_path, document, name):
    file = tmp_path / name
    write_blank(document, file)
    taken = take_file_in(tmp_path, file, context(), Manner())
    assert (len(taken.added), taken.empty) == (0, 6)
    if name == "blank.xlsx":
        sheet = load_workbook(file).active
        assert (sheet.freeze_panes, sheet["A2"].value) == ("F2", datetime.datetime(2026, 11, 30))
        offered = {str(rule.formula1) for rule in sheet.data_validations.dataValidation}
        assert '"muscle,joint,sharp,numb,slips"' in offered


# --- workbooks ------------------------------------------------------------------------------------------
@pytest.fixture
def workbook(tmp_path, document):
    """A filled workbook, changed by a function of its sheet."""

    def make(change=lambda sheet: None, file=tmp_path / "filled.xlsx"):
        file.unlink(missing_ok=True)
        write_blank(document, file)
        book = load_workbook(file)
        sheet = book.active
        for row, load, reps in ((2, 22, 10), (3, 22.5, 9)):
            sheet[f"F{row}"], sheet[f"H{row}"], sheet[f"I{row}"], sheet[f"J{row}"] = load, reps, 2, 0
        change(sheet)
        book.save(file)
        return file

    return make


def told(folder, file):
    with pytest.raises(FaultyInput) as error:
        take_file_in(folder, file, context(), Manner())
    assert not (folder / "log.csv").exists()
    return [str(fault) for fault in error.value.faults]


def test_a_filled_workbook_is_taken_in_an_empty_one_and_merged_cells_are_refused(tmp_path, workbook):
    blocks = ("F2:F4", "A2:A4")
    faults = told(tmp_path, workbook(lambda sheet: [*map(sheet.merge_cells, blocks)]))
    assert len(faults) == 2 and all("merged" in fault and "Unmerge" in fault for fault in faults)
    assert all(any(f"cells {block}" in fault for fault in faults) for block in blocks)
    Workbook().save(tmp_path / "empty.xlsx")
    assert "nothing stands in it" in told(tmp_path, tmp_path / "empty.xlsx")[0]
    taken = take_file_in(tmp_path, workbook(), context(), Manner())
    rows = [row[:1] + row[2:9] for row in taken.added]
    assert rows == [(DAY, PRESS, 1, 22, "kg", 10, 2, 0), (DAY, PRESS, 2, 22.5, "kg", 9, 2, 0)]
    assert taken.empty == 4


@pytest.mark.parametrize(("cell", "value", "says"), [
    ("H2", 400, "cell H2"), ("C3", "seated press of dumbells", "cell C3"), ("A2", None, "cell A2: empty"),
    ("H2", datetime.datetime(2026, 12, 8), 'cell H2: read "2026-12-08"'),  # 8-12 turned into a date
    ("H3", 9.5, "cell H3"), ("P3", "x", "row 3"),
])  # fmt: skip
def test_a_wrong_cell_is_named(tmp_path, workbook, cell, value, says):
    (fault,) = told(tmp_path, workbook(lambda sheet: sheet.__setitem__(cell, value)))
    assert says in fault
