"""`planner log` and `planner progress` as a whole: a planned demo week, sets taken in, the table, the data and the page."""

import csv
import datetime
import json
import re
import shutil

import pytest
from folders import DEMO, copy_of
from in_process import pages_of, planner
from pypdf import PdfReader

from planner.athlete.folder import read_week
from planner.athlete.writing import write_week
from planner.log.blank import session_date
from planner.log.file import append_to_log
from planner.log.record import LoggedSet
from planner.train.delivered import Track
from planner.train.progress import read_progress

WEEK = "2026-W30"  # lies in the past of any day on which this runs


@pytest.fixture(scope="module")
def athlete(demo_planned, tmp_path_factory):
    """The demo athlete with one planned week, done but for its last session, and a set two weeks earlier."""
    folder = shutil.copytree(demo_planned, tmp_path_factory.mktemp("progress") / "athlete")
    document = read_week(folder, WEEK)
    rows = [
        LoggedSet(session_date(document, session), session.id, item.exercise, number, 10.0, "kg", 8, 2.0, 1.0, gym=session.gym)
        for session in document.sessions[:-1]
        for item in session.exercises
        for number in range(1, item.sets + 1)
    ]  # fmt: skip
    early = rows[0].date - datetime.timedelta(days=14)
    press = LoggedSet(early, "Mon", "seated_dumbbell_overhead_press", 1, 20.0, "kg", 8, 2.0, 4.0, gym="club")
    append_to_log(folder, [press, *rows])
    return folder


def test_the_data(athlete):
    done = planner("progress", str(athlete), "--json")
    assert done.returncode == 0 and not (athlete / "progress.pdf").exists(), done.stderr
    data, document = json.loads(done.stdout), read_week(athlete, WEEK)
    last = data["weeks"][-1]
    missed = sum(item.sets for item in document.sessions[-1].exercises)
    planned = sum(item.sets for session in document.sessions for item in session.exercises)
    weeks = [(week["week"], week["planned_sets"], week["pain"]) for week in data["weeks"]]
    assert weeks == [("2026-W28", None, 4), ("2026-W29", None, None), (WEEK, planned, 1)]
    assert last["done_as_planned"] == planned - missed
    assert data["block"]["adherence"] == pytest.approx((planned - missed) / planned, abs=1e-4)
    for head, dose in zip(last["heads"], document.dose, strict=True):
        assert head["planned"] == pytest.approx(dose.planned, abs=0.01)
        left = sum(item.sets * item.credits.get(dose.head, 0) for item in document.sessions[-1].exercises)
        # what helps beyond its share fills the gap that is left of it
        assert dose.planned - left - 0.01 <= head["delivered"] <= dose.planned + 0.01
    (press,) = [track for track in data["maxima"] if track["exercise"] == "seated_dumbbell_overhead_press"]
    assert press["maxima"][0] == pytest.approx(20 * (1 + 10 / 30), abs=0.001)
    assert (press["formula"], press["error_share"]) == ("epley", 0.1)


def test_the_table_and_the_page(athlete, tmp_path):
    done = planner("progress", str(athlete), "--out", str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert "2026-W28" in done.stdout and re.search(r"26\.7 (kg|→ [\d.]+ kg) ± 10 %", done.stdout)
    reader = PdfReader(tmp_path / "progress.pdf")
    assert len(reader.pages) == 1 and reader.metadata is not None
    text = pages_of(tmp_path / "progress.pdf")[0]
    for word in ("Robin Vale", "Delivered dose", "Best sets", "Coaching, not medical advice"):
        assert word in text
    assert reader.metadata.title == "Looking back: Robin Vale"


def test_an_athlete_without_log_or_plan(tmp_path):
    copy_of(DEMO, tmp_path)
    done = planner("progress", str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Nothing is logged")
    assert len(PdfReader(tmp_path / "progress.pdf").pages) == 1


def test_a_folder_that_cannot_be_written_and_a_damaged_log_are_named(athlete, tmp_path):
    (tmp_path / "file").write_text("")
    done = planner("progress", str(athlete), "--out", str(tmp_path / "file"))
    assert done.returncode == 2 and "progress.csv" in done.stderr
    folder = shutil.copytree(athlete, tmp_path / "athlete")
    (folder / "log.csv").write_text((folder / "log.csv").read_text()[:-20])
    done = planner("progress", str(folder))
    assert done.returncode == 2 and "log.csv: line" in done.stderr


def test_a_planned_week_that_nobody_has_logged_yet_is_not_counted(athlete, tmp_path):
    folder = shutil.copytree(athlete, tmp_path / "athlete")
    week = read_week(folder, WEEK).model_copy(update={"week": "2026-W31", "week_start": "2026-07-27"})
    write_week(folder, week.week, {"week.json": week.model_dump_json()})
    said = planner("progress", str(folder)).stdout
    assert "not logged" in said and "Over 1 planned week " in said


def test_estimates_are_of_the_sets_beside_them_and_a_sick_day_is_in_no_best_or_sum(athlete, tmp_path):
    folder = shutil.copytree(athlete, tmp_path / "athlete")
    week = read_week(folder, WEEK).model_copy(update={"week": "2026-W31", "week_start": "2026-07-27"})
    write_week(folder, week.week, {"week.json": week.model_dump_json()})
    press, monday = "seated_dumbbell_overhead_press", datetime.date(2026, 7, 27)
    sick = LoggedSet(monday, "Mon", press, 1, 30.0, "kg", 8, 2.0, gym="club", note="ill, stopped early")
    append_to_log(folder, [sick])
    progress = read_progress(folder, datetime.date(2026, 8, 9))
    assert (progress.weeks[-1].why, progress.weeks[-1].sets, progress.block.weeks) == ("ill", 1, (WEEK,))
    assert all(30.0 not in track.loads for track in progress.tracks)
    both = (None, 17.7), (21.3, None), (None, None)
    for maxima, said in zip(both, ("– → 17.7 kg ± 10 %", "21.3 → – kg ± 10 %", ""), strict=True):
        track = Track(press, "club", "kg", ("2026-W20", "2026-W21"), (14.0, 14.0), (10, 8), maxima)
        assert progress.row(track)[2:] == ["14 kg × 10", "14 kg × 8", said]


@pytest.fixture(scope="module")
def looked_back(athlete, tmp_path_factory):
    """The same athlete, one week away and two notes; the data, the table for a spreadsheet and the page's text."""
    folder = shutil.copytree(athlete, tmp_path_factory.mktemp("year") / "athlete")
    brief = folder / "brief.toml"
    called = re.sub(r'name = "[^"]*"', 'name = "=cmd|x"', brief.read_text(), count=1)
    brief.write_text(f'{called}\n[block]\naway = ["2026-W29"]\n')
    day, raise_ = datetime.date(2026, 7, 21), "standing_dumbbell_lateral_raise"
    notes = ("=1+1", 'chair "too" low, twice')
    done = (day, "Tue", raise_)
    rows = [LoggedSet(*done, n, 6.0, "kg", 10, 2.0, gym="home", note=note) for n, note in enumerate(notes, 1)]
    append_to_log(folder, rows)
    done = planner("progress", str(folder), "--json", "--save")
    assert done.returncode == 0, done.stderr
    with (folder / "progress.csv").open(newline="") as stream:
        table = list(csv.DictReader(stream))
    return json.loads(done.stdout), table, pages_of(folder / "progress.pdf")[0]


def test_the_spreadsheet_has_every_figure_of_the_data(looked_back):
    data, table, _ = looked_back
    figures = {}
    for row in table:
        place = (row["week"], row["what"], row["of"], row["gym"])
        figures.setdefault(place, []).append((row["planned"], row["value"]))
    for week in data["weeks"]:
        ((planned, done),) = figures[week["week"], "sets", "", ""]
        assert (planned or None) == (week["planned_sets"] and str(week["planned_sets"]))
        assert int(done) == week["sets"]
        for head in week["heads"]:
            ((_, dose),) = figures[week["week"], "dose", head["head"], ""]
            assert float(dose) == pytest.approx(head["delivered"], abs=0.001)
        pain = figures.get((week["week"], "highest pain", "", ""))
        assert pain is None if week["pain"] is None else float(pain[0][1]) == week["pain"]
    best = sum(len(track["weeks"]) for track in data["maxima"])
    known = sum(value is not None for track in data["maxima"] for value in track["maxima"])
    assert [row["what"] for row in table].count("best set") == best
    assert [row["what"] for row in table].count("estimated maximum") == known
    assert [row["week"] for row in table] == sorted(row["week"] for row in table)


def test_weeks_away_and_notes_are_said_and_no_cell_is_a_formula(looked_back):
    data, table, page = looked_back
    assert [week["week"] for week in data["weeks"] if week["away"]] == ["2026-W29"]
    assert [row["week"] for row in table if row["note"] == "away"] == ["2026-W29"]
    assert [note["note"] for note in data["notes"]] == ["=1+1", 'chair "too" low, twice']
    told = [row["note"] for row in table if row["what"] == "note"]
    assert all("2026-07-21" in note for note in told) and told[1].endswith('chair "too" low, twice')
    assert {row["athlete"] for row in table} == {"'=cmd|x"}
    assert not any(cell.startswith(("=", "+", "-", "@", "\t")) for row in table for cell in row.values())
    assert "What was written" in page and 'chair "too" low, twice' in page and "away" in page


# --- `planner log` as a whole: a planned demo week, its blank sheet filled, taken in and reported
@pytest.fixture
def demo(demo_planned, tmp_path):
    return shutil.copytree(demo_planned, tmp_path / "athlete")


@pytest.fixture
def filled(demo, tmp_path):
    """The blank sheet of the week, every set filled with 10 kg × 10."""
    blank = tmp_path / "blank.csv"
    assert planner("log", str(demo), "--blank", str(blank)).returncode == 0
    rows = list(csv.DictReader(blank.read_text(encoding="utf-8-sig").splitlines()))
    for row in rows:
        row |= {"load": "10" if row["load_unit"] else "", "reps": "10", "rir": "2", "pain": "0"}
    write(tmp_path / "filled.csv", rows)
    return tmp_path / "filled.csv"


def write(file, rows):
    with file.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, rows[0])
        writer.writeheader()
        writer.writerows(rows)


def test_a_filled_week_gives_next_loads_and_json_is_a_rehearsal_unless_saved(demo, filled):
    report = json.loads(planner("log", str(demo), str(filled), "--json").stdout)
    assert report["added"] > 0 and report["next_loads"]
    assert not (demo / "log.csv").exists()
    done = planner("log", str(demo), str(filled))
    assert done.returncode == 0, done.stderr
    assert "added, 0 known already." in done.stdout and "Next loads" in done.stdout
    assert (demo / "log.csv").read_text().startswith("date,session,exercise,set,")
    again = json.loads(planner("log", str(demo), str(filled), "--json", "--save").stdout)
    assert (again["added"], again["known"]) == (0, report["added"])


def test_lines_come_in_though_the_week_is_damaged_and_without_one_it_is_asked_for(demo, filled, tmp_path):
    (demo / "weeks" / WEEK / "week.json").write_text("{")
    done = planner("log", str(demo), str(filled))
    assert done.returncode == 0 and "damaged" in done.stderr, done.stderr
    assert len((demo / "log.csv").read_text().splitlines()) == len(filled.read_text().splitlines())
    shutil.rmtree(demo / "weeks")
    done = planner("log", str(demo), "--blank", str(tmp_path / "b.csv"))
    assert done.returncode == 2 and "planner week" in done.stderr


def test_a_wrong_line_and_a_jump_are_asked_about_or_end_with_2(demo, filled):
    filled.write_text(filled.read_text().replace(",10,2,0,", ",400,2,0,", 1))
    done = planner("log", str(demo), str(filled))
    assert (done.returncode, done.stdout) == (2, "")
    assert "line 2, column reps" in done.stderr and not (demo / "log.csv").exists()
    kept = planner("log", str(demo), str(filled), "--keep-good")
    assert kept.returncode == 0 and "left out:" in kept.stderr
    (demo / "log.csv").unlink()
    filled.write_text(filled.read_text().replace(",400,2,0,", ",10,2,0,", 1))
    rows = list(csv.DictReader(filled.read_text().splitlines()))
    next(row for row in rows if row["load"] and row["set"] == "2")["load"] = "22"  # of 10
    write(filled, rows)
    assert planner("log", str(demo), str(filled)).returncode == 2
    assert planner("log", str(demo), str(filled), "--yes").returncode == 0
    filled.write_text(filled.read_text().replace(",10,2,0,", ",11,2,0,", 1))  # which contradicts it
    refused = planner("log", str(demo), str(filled), "--yes")
    assert refused.returncode == 2 and "--correct" in refused.stderr
    assert planner("log", str(demo), str(filled), "--yes", "--correct").returncode == 0


def test_sharp_pain_until_cleared(demo, filled):
    rows = list(csv.DictReader(filled.read_text().splitlines()))
    rows[0]["kind"] = "sharp"
    write(filled, rows)
    done = planner("log", str(demo), str(filled))
    assert ": sharp pain" in done.stdout and "See a doctor or physiotherapist" in done.stdout
    name, before = rows[0]["exercise"], (demo / "log.csv").read_bytes()
    other = next(row["exercise"] for row in rows if row["exercise"] != name)
    wrong = planner("log", str(demo), "--cleared", other)
    assert wrong.returncode == 2 and f"(since {rows[0]['date']})" in wrong.stderr
    assert (demo / "log.csv").read_bytes() == before
    assert "is cleared as of" in planner("log", str(demo), "--cleared", name).stdout
    again = planner("log", str(demo), "--cleared", name)
    assert (again.returncode, again.stdout) == (2, "") and f"{name} was not out on" in again.stderr
    assert "Nothing was recorded. Out on that day: nothing is" in again.stderr
    report = json.loads(planner("log", str(demo), str(filled), "--json").stdout)
    assert report["pain"]["out"] == []


@pytest.mark.parametrize(("words", "says"), [
    ((), "no file, and nothing else to do"), ((), "--blank monday.csv` writes a sheet to fill in"),
    (("x.csv", "--blank", "y.csv"), "2 things to do at once"), (("--cleared", "face_pul"), "did you mean"),
    (("--cleared", "face_pull", "--date", "30.11.2026"), "--date"),
    (("--cleared", "face_pull", "--date", "2999-11-30"), "future"), (("gone.csv",), "missing"),
])  # fmt: skip
def test_wrong_options(demo, words, says):
    done = planner("log", str(demo), *words)
    assert done.returncode == 2 and says in done.stderr
