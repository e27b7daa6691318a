"""What a received folder, a link, a pipe or a second run must not do."""

import json
import os
import stat
import threading
import zipfile
from collections.abc import Callable
from pathlib import Path
from unittest.mock import Mock

import pytest
from log_files import GOOD, HEADER, PRESS, context, take, take_file_in, written
from openpyxl import Workbook, load_workbook
from small_document import line, small_document

from library.errors import FaultyInput
from library.files import read_bytes
from library.tables import read_sheet
from planner.athlete.folder import name_in_force, read_all_rows, weeks
from planner.athlete.reading import read_brief
from planner.athlete.writing import athlete_lock, write_safely, write_week
from planner.log.blank import write_blank
from planner.log.file import append_to_log, read_log
from planner.log.intake import Manner
from planner.log.lines import SHEET
from planner.log.record import LoggedSet

WEEK = "2026-W49"
A_SET = LoggedSet(context().today, "Mon", PRESS, 1, reps=8, gym="club")


def files(sheet=b"sheet", athlete="Ada"):
    return {"week.json": json.dumps({"athlete": athlete}), "sheets.pdf": sheet}


def refused(work):
    with pytest.raises(FaultyInput) as error:
        work()
    message = str(error.value)
    assert len(message.encode()) <= 2048
    return message


# --- a received folder


@pytest.mark.parametrize("name", ["../../Documents", "/Documents", "..", "", f"{WEEK}/../..", 7, None, []])
def test_a_list_of_weeks_moves_and_deletes_nothing_outside(tmp_path, name):
    athlete, letter = tmp_path / "athlete", tmp_path / "Documents" / "letter.txt"
    write_week(made(athlete), WEEK, files())
    made(letter.parent)
    letter.write_text("kept")
    (athlete / "weeks" / ".weeks").write_text(json.dumps([name]))
    for place in (tmp_path, athlete / "weeks"):
        made(place / ".Documents.new")
    assert "set aside" in refused(lambda: weeks(athlete))
    assert weeks(athlete) == [WEEK]  # told once; nobody is locked out
    assert letter.read_text() == "kept"
    write_week(athlete, WEEK, files(b"new"))


def made(folder):
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def test_what_others_left_in_a_folder_is_left_alone(tmp_path, monkeypatch):
    notes, others = made(tmp_path / "weeks" / ".notes.old"), made(tmp_path / "desk" / ".holiday.new")
    assert weeks(tmp_path) == []
    monkeypatch.setattr(Path, "rename", Mock(side_effect=OSError(28, "No space left")))
    assert "No space left" in refused(lambda: write_week(tmp_path, WEEK, files(), tmp_path / "desk"))
    assert notes.is_dir() and others.is_dir()


@pytest.mark.parametrize("place", ["weeks", f"weeks/{WEEK}"])
def test_a_week_is_not_written_through_a_link(tmp_path, place):
    outside, link = made(tmp_path / "outside"), made(tmp_path / "a") / place
    (outside / "mine.txt").write_text("kept")
    made(link.parent)
    link.symlink_to(outside)
    assert "link" in refused(lambda: write_week(tmp_path / "a", WEEK, files()))
    assert [path.name for path in outside.iterdir() if path.name != ".lock"] == ["mine.txt"]


def test_two_athletes_with_one_out_folder(tmp_path):
    desk = tmp_path / "desk"
    write_week(tmp_path, WEEK, files(b"of Ada"), desk)
    write_week(tmp_path, WEEK, files(b"of Ada, later"), desk)
    assert '"Ada"' in refused(lambda: write_week(tmp_path, WEEK, files(b"of Bea", "Bea"), desk))
    assert (desk / WEEK / "sheets.pdf").read_bytes() == b"of Ada, later"


# --- links and pipes


def test_the_log_is_not_written_through_a_link_beside_it(tmp_path):
    (tmp_path / "letter.txt").write_text("kept")
    (tmp_path / ".log.csv.new").symlink_to(tmp_path / "letter.txt")
    append_to_log(tmp_path, [A_SET])
    assert (tmp_path / "letter.txt").read_text() == "kept" and read_log(tmp_path) == (A_SET,)
    assert not (tmp_path / ".log.csv.new").exists()


@pytest.mark.parametrize("alive", [True, False])
def test_a_log_that_is_a_link_is_no_empty_log(tmp_path, alive):
    target, folder = tmp_path / "elsewhere.csv", made(tmp_path / "a")
    if alive:
        append_to_log(folder, [A_SET])
        (folder / "log.csv").rename(target)
    (folder / "log.csv").symlink_to(target)
    for work in (lambda: read_log(folder), lambda: append_to_log(folder, [A_SET])):
        assert "link" in refused(work)
    assert (folder / "log.csv").is_symlink() and target.exists() == alive


@pytest.mark.parametrize("name", ["log.csv", "evidence.csv", "brief.toml", "done.csv", "done.xlsx"])
def test_a_pipe_is_refused_and_not_waited_for(tmp_path, name, library):
    os.mkfifo(tmp_path / name)
    work: dict[str, Callable[[], object]] = {
        "log.csv": lambda: read_log(tmp_path),
        "evidence.csv": lambda: read_all_rows(tmp_path, library),
        "brief.toml": lambda: read_brief(tmp_path, library),
    }
    assert "no ordinary file" in refused(work.get(name, lambda: read_sheet(tmp_path / name, SHEET)))


# --- who may read


def mode(file):
    return stat.S_IMODE(file.stat().st_mode)


def test_what_is_an_athletes_is_for_its_owner_and_a_file_keeps_its_mode(tmp_path):
    log, evidence, week = tmp_path / "log.csv", tmp_path / "evidence.csv", tmp_path / "weeks" / WEEK
    append_to_log(tmp_path, [A_SET])
    write_safely(evidence, "x")
    write_week(tmp_path, WEEK, files())
    assert {mode(log), mode(evidence), mode(week / "week.json")} == {0o600}
    assert {mode(folder) for folder in (tmp_path / "weeks", week)} == {0o700}
    for number, wanted in enumerate((0o600, 0o640, 0o644), start=2):
        log.chmod(wanted)
        append_to_log(tmp_path, [A_SET._replace(set_number=number)])
        assert mode(log) == wanted


# --- workbooks


def book(tmp_path, change):
    sheet_book = Workbook()
    sheet = sheet_book.active
    sheet.append(HEADER.split(","))
    sheet.append(GOOD[0].split(","))
    change(sheet)
    sheet_book.save(tmp_path / "done.xlsx")
    return tmp_path / "done.xlsx"


@pytest.mark.parametrize("place", ["A1048576", "XFD1048576", "XFD2"])
def test_a_formatted_empty_cell_far_away_is_nothing_and_a_value_there_is_told(tmp_path, place):
    file = book(tmp_path, lambda sheet: setattr(sheet[place], "number_format", "0.00"))
    assert len(take_file_in(tmp_path, file, context(), Manner()).added) == 1
    file = book(tmp_path, lambda sheet: sheet.__setitem__("XFD2", "lost"))
    assert "row 2" in refused(lambda: take_file_in(tmp_path, file, context(), Manner()))


def test_a_workbook_that_unpacks_to_a_mountain_is_not_unpacked(tmp_path):
    file = book(tmp_path, lambda _: None)
    with zipfile.ZipFile(file, "a", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("xl/mountain.xml", b" " * 70_000_000)
    assert file.stat().st_size < 200_000
    assert "unpacked" in refused(lambda: read_sheet(file, SHEET))


@pytest.mark.parametrize("name", ["=1+1", "+a", "@SUM(A1)", "-2"])
@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_a_gym_that_looks_like_a_formula_is_none_and_comes_back(tmp_path, name, ending):
    week = small_document({"Mon": [line(PRESS, 1)]}, gyms={"Mon": name})
    file = tmp_path / f"blank.{ending}"
    write_blank(week, file)
    if ending == "xlsx":
        cells = [cell for row in load_workbook(file).active.iter_rows() for cell in row]
        assert not [cell for cell in cells if cell.data_type == "f"]
    else:
        assert f",{name}" not in file.read_text(encoding="utf-8-sig")
    (row,) = read_sheet(file, SHEET).lines
    assert row.text("gym") == name


# --- messages, sizes, dates


def test_a_message_is_never_longer_than_a_screen(tmp_path):
    many = [f"\x1b[2J{number}" + "x" * 300 + ",Mon,1,8" for number in range(3000)]
    message = refused(lambda: take(tmp_path, *many, header="date,exercise,set,reps"))
    assert "\x1b" not in message and " more)" in message  # lines of one fault
    for name in ("a\x1b[2Jb.toml", "x" * 200):  # an odd name of a file is told safely
        assert "\x1b" not in refused(lambda name=name: read_bytes(tmp_path / name, "a file"))


def test_no_date_of_another_age_or_of_tomorrow_is_taken_in(tmp_path):
    for date in ("0026-11-25", "1926-11-25", "2026-12-21", "2100-01-01", "9999-12-31"):
        refused(lambda date=date: take(tmp_path, GOOD[0].replace("2026-11-30", date)))
    assert not (tmp_path / "log.csv").exists()
    # nor is a week that a wrong clock planned in force for good
    assert name_in_force([WEEK, "2100-W01"], {}, context().today) == WEEK


@pytest.mark.parametrize("text", [
    "".join(f"key{number} = 1\n" for number in range(40_000)), ".".join(["a"] * 3000) + " = 1",
    "x = " + "9" * 400, "[target]\nside = { floor = " + "9" * 400 + ", target = 3 }", "day = 0000-01-01",
    "day = 2026-02-30",
], ids=["40,000 keys", "3,000 parts", "400 digits", "400 digits in a target", "year 0", "30 February"])  # fmt: skip
def test_a_brief_beyond_all_measure(tmp_path, library, text):
    (tmp_path / "brief.toml").write_text(text)
    refused(lambda: read_brief(tmp_path, library))


# --- two at once


def at_once(work, runs):
    """Do the same work in several threads; fail where one does not end."""
    threads = [threading.Thread(target=work, daemon=True) for _ in range(runs)]
    for run in threads:
        run.start()
    for run in threads:
        run.join(120)
    assert not any(run.is_alive() for run in threads), "a thread waits without end"


def test_a_change_is_decided_on_what_it_replaces(tmp_path):
    """Runs read the log, decide the next set number and add it, five at once: none is lost."""

    def work():
        for _ in range(4):
            with athlete_lock(tmp_path):
                number = len(read_log(tmp_path)) + 1
                append_to_log(tmp_path, [A_SET._replace(set_number=number)])

    at_once(work, 5)
    assert [row.set_number for row in read_log(tmp_path)] == list(range(1, 21))


def test_taking_in_the_same_file_twice_at_once_adds_it_once(tmp_path):
    file = written(tmp_path, *GOOD)
    at_once(lambda: take_file_in(tmp_path, file, context(), Manner()), 4)
    assert len((tmp_path / "log.csv").read_text().splitlines()) == 1 + len(GOOD)
