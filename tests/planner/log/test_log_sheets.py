"""Blank sheets, workbooks and the dialogue at the terminal."""

import csv
import datetime
from collections.abc import Iterator

import pytest
from log_files import take_file_in
from openpyxl import Workbook, load_workbook
from small_document import line, small_document

from library.errors import FaultyInput
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.log.blank import Dialogue, write_blank
from planner.log.intake import Manner
from planner.log.lines import LogContext
from planner.log.record import LoggedSet

PRESS = "seated_dumbbell_overhead_press"
UNITS = {"club": "kg"}
DAY = datetime.date(2026, 11, 30)


@pytest.fixture(scope="module")
def context(library):
    sessions = [{"day": day, "minutes": 40, "gym": "club"} for day in ("Mon", "Thu")]
    brief = Brief.model_validate({"athlete": {"name": "Robin Vale"}, "session": sessions})
    return LogContext(brief, {"club": Gym()}, library, datetime.date(2026, 12, 20))


@pytest.fixture(scope="module")
def body_exercise(library):
    return next(key for key, item in library.exercises.items() if item.load_is == "body")


@pytest.fixture(scope="module")
def document(library, body_exercise):
    """Monday: press 3 × at 22 kg, a bodyweight exercise 2 ×. Thursday: press 1 ×."""

    def planned(key, sets, load=None):
        return line(key, sets, load=load, load_unit=load and "kg", load_is=library.exercises[key].load_is)

    return small_document(
        {"Mon": [planned(PRESS, 3, 22.0), planned(body_exercise, 2)], "Thu": [planned(PRESS, 1)]}
    )


# --- blank sheets


def test_a_blank_csv_has_a_line_for_each_planned_set(tmp_path, document):
    file = tmp_path / "blank.csv"
    assert write_blank(document, UNITS, file) == 6
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
            write_blank(document, UNITS, tmp_path / name)
    assert [file.name for file in tmp_path.iterdir()] == ["blank.csv"]
    assert (tmp_path / "blank.csv").read_text() == "mine"


@pytest.mark.parametrize("name", ["blank.csv", "blank.xlsx"])
def test_a_blank_sheet_is_taken_in_empty_and_a_workbook_offers_the_words(tmp_path, document, context, name):
    file = tmp_path / name
    write_blank(document, UNITS, file)
    taken = take_file_in(tmp_path, file, context, Manner())
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
        write_blank(document, UNITS, file)
        book = load_workbook(file)
        sheet = book.active
        for row, load, reps in ((2, 22, 10), (3, 22.5, 9)):
            sheet[f"F{row}"], sheet[f"H{row}"], sheet[f"I{row}"], sheet[f"J{row}"] = load, reps, 2, 0
        change(sheet)
        book.save(file)
        return file

    return make


def told(folder, file, context):
    with pytest.raises(FaultyInput) as error:
        take_file_in(folder, file, context, Manner())
    assert not (folder / "log.csv").exists()
    return [str(fault) for fault in error.value.faults]


def test_a_filled_workbook_is_taken_in(tmp_path, workbook, context):
    taken = take_file_in(tmp_path, workbook(), context, Manner())
    rows = [row[:1] + row[2:9] for row in taken.added]
    assert rows == [(DAY, PRESS, 1, 22, "kg", 10, 2, 0), (DAY, PRESS, 2, 22.5, "kg", 9, 2, 0)]
    assert taken.empty == 4


def test_merged_cells_are_refused_by_name(tmp_path, workbook, context):
    blocks = ("F2:F4", "A2:A4")
    faults = told(tmp_path, workbook(lambda sheet: [*map(sheet.merge_cells, blocks)]), context)
    assert len(faults) == 2 and all("merged" in fault and "Unmerge" in fault for fault in faults)
    assert all(any(f"cells {block}" in fault for fault in faults) for block in blocks)


@pytest.mark.parametrize(
    ("cell", "value", "says"),
    [
        ("H2", 400, "cell H2"), ("C3", "seated press of dumbells", "cell C3"), ("A2", None, "cell A2: empty"),
        ("H2", datetime.datetime(2026, 12, 8), 'cell H2: read "2026-12-08"'),  # 8-12 turned into a date
        ("H3", 9.5, "cell H3"), ("P3", "x", "row 3"),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_named(tmp_path, workbook, context, cell, value, says):
    (fault,) = told(tmp_path, workbook(lambda sheet: sheet.__setitem__(cell, value)), context)
    assert says in fault


def test_an_empty_workbook(tmp_path, context):
    Workbook().save(tmp_path / "empty.xlsx")
    assert "nothing stands in it" in told(tmp_path, tmp_path / "empty.xlsx", context)[0]


# --- the dialogue -----------------------------------------------------------------------------------------


class Script:
    """Answers in order; an exhausted script is a test that asks too much."""

    def __init__(self, *answers):
        self.answers: Iterator[str] = iter(answers)
        self.heard: list[str] = []

    def ask(self, question, default):
        self.heard.append(question)
        return next(self.answers) or default

    def tell(self, line):
        self.heard.append(line)

    def session(self, document, *log):
        return list(Dialogue(self.ask, self.tell, DAY, log, {"club": "kg"}).sets(document.sessions[0]))


def before(number, load, reps, gym="club"):
    return LoggedSet(DAY - datetime.timedelta(7), "Mon", PRESS, number, load, "kg", reps, 2, gym=gym)


def test_set_by_set(document, body_exercise):
    script = Script(
        "", "10", "", "",  # the planned load, the asked reserve, no pain
        "24", "8", "1", "4", "front of it", "joint",
        "", "",  # third set not done
        "15", "", "",  # body: no load is asked for
        "",
    )  # fmt: skip
    rows = script.session(document, before(1, 20, 12), before(2, 20, 11))
    assert [row[2:9] for row in rows] == [
        (PRESS, 1, 22, "kg", 10, 2, 0), (PRESS, 2, 24, "kg", 8, 1, 4), (body_exercise, 1, None, None, 15, 2, 0),
    ]  # fmt: skip
    assert (rows[1].where, rows[1].kind, rows[1].gym) == ("front of it", "joint", "club")
    assert any("2026-11-23: 20 kg × 12, 20 kg × 11, with 2, 2 in reserve" in line for line in script.heard)


def test_an_answer_that_cannot_be_read_is_asked_again_and_other_gyms_figures_are_not_shown(document):
    script = Script("22", "400", "10", "2", "0", "q")
    (row,) = script.session(document, before(1, 20, 12, gym="home"))
    assert row.reps == 10
    assert any("0 to 100" in line for line in script.heard)
    assert "  first time at this gym" in script.heard


def test_sets_that_are_in_the_log_are_not_asked_again(document):
    logged = LoggedSet(DAY, "Mon", PRESS, 1, 22, "kg", 10, 2, gym="club")
    (row,) = Script("", "9", "", "", "q").session(document, logged)
    assert row.set_number == 2


def test_last_times_pain_is_asked_about_once_an_exercise(document):
    sore = [before(number, 20, 10)._replace(pain=pain, kind="joint") for number, pain in ((1, 3.0), (2, 4.0))]
    muscle = before(1, 20, 10)._replace(exercise="row", pain=6.0, kind="muscle")
    script = Script("no", "q")
    assert script.session(document, *sore, muscle) == [sore[1]._replace(next_morning="not settled")]
    answered = sore[1]._replace(next_morning="settled")
    assert Script("q").session(document, sore[0], answered) == []
