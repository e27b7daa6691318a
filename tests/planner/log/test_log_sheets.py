"""Blank sheets and workbooks."""

import csv
import datetime

import pytest
from log_files import PRESS, context, take_file_in
from openpyxl import Workbook, load_workbook
from small_document import line, small_document

from library.errors import FaultyInput
from planner.log.blank import write_blank
from planner.log.intake import Manner

DAY = datetime.date(2026, 11, 30)


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

    def make(change=lambda sheet: None):

        file = tmp_path / "filled.xlsx"
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


def test_a_filled_workbook_is_taken_in(tmp_path, workbook):
    taken = take_file_in(tmp_path, workbook(), context(), Manner())
    rows = [row[:1] + row[2:9] for row in taken.added]
    assert rows == [(DAY, PRESS, 1, 22, "kg", 10, 2, 0), (DAY, PRESS, 2, 22.5, "kg", 9, 2, 0)]
    assert taken.empty == 4


def test_merged_cells_are_refused_by_name(tmp_path, workbook):
    blocks = ("F2:F4", "A2:A4")
    faults = told(tmp_path, workbook(lambda sheet: [*map(sheet.merge_cells, blocks)]))
    assert len(faults) == 2 and all("merged" in fault and "Unmerge" in fault for fault in faults)
    assert all(any(f"cells {block}" in fault for fault in faults) for block in blocks)


@pytest.mark.parametrize(("cell", "value", "says"), [
    ("H2", 400, "cell H2"), ("C3", "seated press of dumbells", "cell C3"), ("A2", None, "cell A2: empty"),
    ("H2", datetime.datetime(2026, 12, 8), 'cell H2: read "2026-12-08"'),  # 8-12 turned into a date
    ("H3", 9.5, "cell H3"), ("P3", "x", "row 3"),
])  # fmt: skip
def test_a_wrong_cell_is_named(tmp_path, workbook, cell, value, says):
    (fault,) = told(tmp_path, workbook(lambda sheet: sheet.__setitem__(cell, value)))
    assert says in fault


def test_an_empty_workbook(tmp_path):
    Workbook().save(tmp_path / "empty.xlsx")
    assert "nothing stands in it" in told(tmp_path, tmp_path / "empty.xlsx")[0]
