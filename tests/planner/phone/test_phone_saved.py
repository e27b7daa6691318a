"""`planner log` and what a phone saved: the same lines as from a table, differences said, wrong files refused."""

import csv
import json

import pytest
from in_process import planner
from openpyxl import Workbook

from library.read import read_library
from planner.athlete.folder import read_week
from planner.phone.saved import differences, read_saved


def logged(athlete):
    return (athlete / "log.csv").read_text(encoding="utf-8")


def as_table(saved, file):
    """The same session as a coach types it."""
    lines = [{"date": saved["date"], "session": saved["session"], **line} for line in saved["sets"]]
    with file.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, list(dict.fromkeys(key for line in lines for key in line)))
        writer.writeheader()
        writer.writerows(lines)
    return file


def test_a_table_and_a_phone_give_the_same_log(athlete, saved, write, tmp_path):
    hurt = {"pain": "4", "where": "subacromial", "kind": "joint", "note": "<b>sore</b>, a little"}
    saved["sets"][0] |= hurt
    assert planner("log", athlete, write(saved)).returncode == 0
    by_phone = logged(athlete)
    assert "<b>sore</b>, a little" in by_phone
    typed = as_table(saved, tmp_path / "typed.csv")
    book = Workbook()
    for row in csv.reader(typed.open(encoding="utf-8")):
        book.active.append(row)
    book.save(tmp_path / "typed.xlsx")
    for table in (typed, tmp_path / "typed.xlsx"):
        (athlete / "log.csv").unlink()
        assert planner("log", athlete, table).returncode == 0
        assert logged(athlete) == by_phone


def test_twice_and_several_at_once_do_no_harm(athlete, saved, write):
    first, rest = saved | {"sets": saved["sets"][:2]}, write(saved, "later.txt")
    told = json.loads(planner("log", athlete, write(first), rest, rest, "--json", "--save").stdout)
    assert told["added"] == len(saved["sets"])
    before = logged(athlete)
    assert planner("log", athlete, rest).stdout.startswith("0 sets added")
    assert logged(athlete) == before


def test_the_next_morning_completes_what_was_sent(athlete, saved, write):
    saved["sets"][0] |= {"pain": "4", "kind": "joint"}
    assert planner("log", athlete, write(saved)).returncode == 0
    saved["sets"][0] |= {"next_morning": "not settled"}
    assert planner("log", athlete, write(saved)).stdout.startswith("1 set added")


def test_one_wrong_file_of_several_keeps_all_out(athlete, saved, write):
    done = planner("log", athlete, write(saved), write("{", "cut.json"))
    assert done.returncode == 2
    assert "cut.json" in done.stderr
    assert not (athlete / "log.csv").exists()


def cut(saved):
    return json.dumps(saved)[: len(json.dumps(saved)) // 2]


def with_set(**cells):
    return lambda saved: saved | {"sets": [saved["sets"][0] | cells]}


REFUSED = {
    "another athlete": (lambda saved: saved | {"athlete": "Ada Ort"}, "Ada Ort"),
    "cut in half": (cut, "cut off"),
    "of the future": (lambda saved: saved | {"date": "2099-01-05"}, "future"),
    "of a newer planner": (lambda saved: saved | {"planner_phone": 2}, "format 2"),
    "too large": (lambda saved: saved | {"padding": "x" * 10_000_000}, "bytes"),
    "another key": (lambda saved: saved | {"plam": ""}, "plam"),
    "no set": (lambda saved: saved | {"sets": []}, "no set"),
    "no phone sheet": (lambda saved: {"sets": saved["sets"]}, "planner_phone"),
    "a list": (lambda saved: [saved], "planner_phone"),
    "nested without end": (lambda saved: "[" * 100_000, "JSON"),
    "half a letter": (with_set(note="\ud800"), "note"),
    "a number": (with_set(reps=10), "sets[1].reps"),
    "too many repetitions": (with_set(reps="400"), "sets[1].reps"),
    "unknown exercise": (with_set(exercise="raise_of_nothing"), "sets[1].exercise"),
    "way out of the folder": (lambda saved: saved | {"week": "../..", "date": "2099-01-05"}, "future"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_wrong_files_are_refused_with_their_place(athlete, saved, write, name):
    change, said = REFUSED[name]
    done = planner("log", athlete, write(change(saved)))
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert not (athlete / "log.csv").exists()


def told(athlete, file):
    return "\n".join(differences(athlete, read_saved(file), read_library()))


def test_what_differs_from_the_plan_is_said(athlete, saved, session, write):
    first, second = session.exercises[:2]
    mine, other = ([s for s in saved["sets"] if s["exercise"] == of.exercise] for of in (first, second))
    own = [line | {"reps": "1", "load": "3"} for line in mine]
    replaced = [line | {"exercise": second.instead[0].exercise} for line in other]
    said = told(athlete, write(saved | {"sets": own[:1] + replaced, "date": "2026-07-21"}))
    assert f"{first.name}: 1 set of {first.sets}" in said
    assert f"{first.name}: 1 repetitions, asked" in said
    assert f"instead of {second.name}" in said
    assert f"{second.name}: not done" in told(athlete, write(saved | {"sets": own}))
    assert "trained on 2026-07-21, planned for 2026-07-20" in said


def test_a_session_done_as_asked_differs_in_nothing(athlete, saved, session, write):
    loads = {item.exercise: item.load for item in session.exercises}
    sets = [line | {"load": str(loads[line["exercise"]] or line["load"])} for line in saved["sets"]]
    assert told(athlete, write(saved | {"sets": sets})) == ""


def test_an_older_plan_is_said(athlete, saved, session, write, quick_paper):
    out = session.exercises[0].exercise
    assert planner("swap", athlete, "--without", out).returncode in (0, 4)
    assert read_week(athlete, saved["week"]).sessions[0] != session
    done = planner("log", athlete, write(saved))
    assert done.returncode == 0
    assert "older plan (v1)" in done.stdout
    assert "not kept here" in told(athlete, write(saved | {"plan": "0" * 12}))
    assert "nothing was compared" in told(athlete, write(saved | {"week": "2026-W01"}))
    (athlete / "weeks" / saved["week"] / "week.json").write_text("{")
    assert "cannot be read" in told(athlete, write(saved))
