"""`planner swap`, `why`, `instead` and `week --choices` from end to end: output, exit codes, what is written."""

import datetime
import json
import shutil
from importlib.resources import files
from pathlib import Path
from types import SimpleNamespace

import jsonschema
import pytest
from folders import BRIEFS, copy_of
from in_process import run
from small_athlete import keep, make_folder
from small_athlete import planned as planned_week

from planner.athlete.writing import write_week
from planner.change.choices import Choices, InsteadList
from planner.change.swap_report import SwapReport
from planner.change.why import Why
from planner.document import ExerciseWarning, WeekDocument
from planner.log.file import append_to_log
from planner.log.record import LoggedSet
from planner.week.gather import gather
from planner.week.plan import plan_week

WEEK = "2026-W49"


@pytest.fixture(autouse=True)
def on_the_sunday_of_the_week(monkeypatch, quick_paper):
    today = SimpleNamespace(today=lambda: datetime.date(2026, 12, 6))
    monkeypatch.setattr("planner.commands.plan.datetime", SimpleNamespace(date=today))


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    """An athlete whose week is planned once for all tests."""
    folder = copy_of(BRIEFS / "machines_only", tmp_path_factory.mktemp("first") / "kim")
    document = plan_week(gather(folder, WEEK, datetime.date(2026, 11, 25)))
    write_week(folder, WEEK, {"week.json": document.model_dump_json(indent=2) + "\n"})
    return folder


@pytest.fixture
def athlete(first, tmp_path):
    return Path(shutil.copytree(first, tmp_path / "kim"))


def in_force(folder):
    return WeekDocument.model_validate_json((folder / "weeks" / WEEK / "week.json").read_text())


def planned(folder):
    """A planned exercise."""
    return next(line.exercise for one in in_force(folder).sessions for line in one.exercises)


def test_a_swap_writes_the_week_and_keeps_the_old_one(athlete):
    old, key, week = in_force(athlete), planned(athlete), athlete / "weeks" / WEEK
    told = run("swap", athlete, "--drop", key)
    assert told.code == 0
    assert "New pages in sheets.pdf:" in told.out and "this week: without" in told.out
    assert f"Written to {week}" in told.err.splitlines()
    written = {"v1", "week.json", "week.csv", "phone", "sessions.ics", "sheets.pdf", "coach.pdf"}
    assert {entry.name for entry in week.iterdir()} == written
    assert WeekDocument.model_validate_json((week / "v1" / "week.json").read_text()) == old
    assert key not in {line.exercise for one in in_force(athlete).sessions for line in one.exercises}


def test_a_swap_without_news_writes_nothing_nor_one_in_json_without_save(athlete):
    def seen():
        return {path for path in athlete.rglob("*") if path.is_file() and not path.name.startswith(".")}

    before = seen()
    told = run("swap", athlete, "--without", "landmine")
    assert told.code == 0 and "Nothing changes" in told.out and "Written" not in told.err
    assert "this is so already" in told.err and seen() == before
    old, key = in_force(athlete), planned(athlete)
    told = run("swap", athlete, "--drop", key, "--json")
    report = SwapReport.model_validate_json(told.out)
    assert key in report.left and told.code == 0 and told.err == ""
    assert in_force(athlete) == old
    run("swap", athlete, "--drop", key, "--json", "--save")
    assert in_force(athlete).sessions == report.week.sessions


def test_swap_gives_an_exercise_other_sets_on_a_day(athlete):
    session = in_force(athlete).sessions[0]
    key, day = session.exercises[0].exercise, session.day
    run("swap", athlete, "--sets", f"{key}={day}:2")
    assert {one.exercise: one.sets for one in in_force(athlete).sessions[0].exercises}[key] == 2
    run("swap", athlete, "--sets", f"{key}={day}:0")
    assert key not in {one.exercise for one in in_force(athlete).sessions[0].exercises}
    refused = run("swap", athlete, "--sets", f"{key}={day}:9")
    assert refused.code == 3 and f"--sets {key}" in refused.err


@pytest.mark.parametrize(("arguments", "code", "words"), [
    (("--without", "cabel_station"), 2, 'did you mean "cable_station"?'),
    (("--week", "2020-W01"), 2, "week 2020-W01 was not planned"), (("--week", "some day"), 2, "some day"),
])  # fmt: skip
def test_wrong_words_end_with_two(arguments, code, words, athlete):
    told = run("swap", athlete, *arguments)
    assert (told.code, told.out) == (code, "") and words in told.err


@pytest.mark.parametrize("command", ["swap", "instead"])
def test_no_plan_in_force_says_how_to_make_one(command, tmp_path):
    folder = Path(copy_of(BRIEFS / "machines_only", tmp_path / "new"))
    told = run(command, folder, *(["anything"] if command == "instead" else []))
    assert told.code == 2 and "planner week" in told.err and told.out == ""


def test_instead_lists_and_names_what_is_planned_and_gyms_there_are(athlete):
    key = planned(athlete)
    told = run("instead", athlete, key)
    assert told.code == 0 and told.err == "" and f"week {WEEK}" in told.out
    listed = InsteadList.model_validate_json(run("instead", athlete, key, "--json").out)
    assert listed.exercise == key
    wrong = run("instead", athlete, "no_such_thing")
    assert wrong.code == 2 and key in wrong.err
    assert "Known: " in run("swap", athlete, "--without", "attic:dumbbells").err
    week = in_force(athlete)
    empty = tuple(of.model_copy(update={"exercises": ()}) for of in week.sessions)
    week = week.model_copy(update={"sessions": empty})
    (athlete / "weeks" / WEEK / "week.json").write_text(week.model_dump_json())
    assert "Nothing is planned" in run("instead", athlete, "cable_face_pull").err


def test_instead_says_each_load_and_how_one_is_taken(tmp_path):
    athlete, raised = make_folder(tmp_path / "kim"), "standing_dumbbell_lateral_raise"
    document = planned_week(athlete)[1]
    keep(athlete, document)
    log = [LoggedSet(datetime.date(2026, 11, 23), "Mon", raised, 1, 8, "kg", 12, 2, gym="club")]
    append_to_log(athlete, log)
    lines = (line for one in document.sessions if one.gym == "club" for line in one.exercises)
    sides = [line for line in lines if line.trains == "side"]
    key = sides[0].exercise
    listed = InsteadList.model_validate_json(run("instead", athlete, key, "--json").out)
    session, said = next(of for of in listed.sessions if of.choices), run("instead", athlete, key).out
    loads = {one.exercise: one.load for one in session.choices}
    best = next(one for one in session.choices if one.exercise == raised)  # the one whose load is known
    words = ["--sets", f"{key}={session.id}:0", "--sets", f"{best.exercise}={session.id}:{best.sets}"]
    assert " ".join(words) in said and "  to find  " in said and loads[raised] == "8 kg"
    report = SwapReport.model_validate_json(run("swap", athlete, *words, "--json").out)
    assert best.exercise in report.joined


def test_why_is_text_or_one_document_and_says_pain_first(athlete, monkeypatch):
    told = run("why", athlete, "--json")
    found = Why.model_validate_json(told.out)
    assert told.code == 0 and told.err == "" and found.week == WEEK and found.eased
    hurt = ExerciseWarning(exercise=planned(athlete), text="It hurt.", kind="out")
    week = in_force(athlete).model_copy(update={"pain": (hurt.text,), "exercise_warnings": (hurt,)})
    (athlete / "weeks" / WEEK / "week.json").write_text(week.model_dump_json())
    said = run("why", athlete).out
    assert f"--cleared {hurt.exercise}" in said and "higher targets" not in said
    nothing = Why(athlete="Kim", week=WEEK, aim="rest", value=1.0, within=3.0)
    monkeypatch.setattr("planner.change.why.why", lambda *_: nothing)
    told = run("why", athlete)
    assert told.out.startswith(f"Kim, week {WEEK}\n") and "Nothing that could be eased" in told.out


@pytest.fixture
def with_choice(tmp_path):
    """An athlete in whose rooms two weeks are nearly as good."""
    return make_folder(tmp_path / "kim")


def test_choices_are_compared_the_first_is_written_and_another_may_be_taken(with_choice):
    athlete = with_choice
    assert run("week", athlete, "--week", WEEK).code == 0
    told = run("week", athlete, "--week", WEEK, "--choices", 2)
    assert told.code == 0 and "against A" in told.out
    assert (athlete / "weeks" / WEEK / "v1").exists()
    athlete = with_choice
    words = ("--week", WEEK, "--choices", 2, "--take", "B", "--json", "--save")
    found = Choices.model_validate_json(run("week", athlete, *words).out)
    assert found.week.sessions != found.choices[0].week.sessions == in_force(athlete).sessions


def test_a_choice_that_was_not_found_and_one_of_one_are_refused(athlete):
    for words, says in ((("B",), "--choices 3 --take B"), (("F", "--choices", 2), "--take")):
        told = run("week", athlete, "--week", WEEK, "--take", *words)
        assert (told.code, told.out) == (2, "") and says in told.err


def test_documents_with_states_and_changes_fit_the_schema(athlete):
    day = in_force(athlete).sessions[0].day
    run("swap", athlete, "--done", day, "--without", planned(athlete))
    document = json.loads((athlete / "weeks" / WEEK / "week.json").read_text())
    jsonschema.validate(document, json.loads((files("planner") / "week.schema.json").read_text()))
    assert document["sessions"][0]["state"] == "done" and document["changes"][0]["kind"] == "without"
    assert run("swap", athlete, "--back", day).code == 0 and in_force(athlete).sessions[0].state == "planned"
