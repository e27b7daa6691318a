"""What a week's document says: recomputed from its plan, with a reason for each empty day and each wish in vain."""

from dataclasses import replace

import pytest
from small_athlete import BRIEF, GYM, WEEK, make_folder, planned, sets
from training import make_exercise, make_gym

from planner.document import plan_of
from planner.log.record import COLUMNS
from planner.model.aims import dose_value, rest_value
from planner.model.build import build_problem
from planner.publish import check_sound
from planner.solve.solve import Solved
from planner.train.loads import NextLoad
from planner.week.compose import is_proven, only_load, proofs
from planner.week.notes import notes
from planner.week.plan import plan_week

RAISED = "standing_dumbbell_lateral_raise"


@pytest.fixture(scope="module")
def week(tmp_path_factory):
    return planned(make_folder(tmp_path_factory.mktemp("notes") / "kim"))


def notes_of(folder, brief, gym=GYM):
    _, document = planned(make_folder(folder / "kim", brief, gym))
    return document, "\n".join((*document.warnings, *document.notes))


def test_a_week_is_sound_and_its_numbers_are_those_of_its_plan(week):
    asked, document = week
    check_sound(document, asked)
    problem, plan = build_problem(asked.inputs), plan_of(document)
    values = {proof.aim: proof.value for proof in document.proof}
    assert values == {
        "dose": pytest.approx(dose_value(problem, plan), abs=1e-3),
        "rest": pytest.approx(rest_value(problem, plan), abs=1e-3),
    }
    for dose in document.dose:
        lines = [line for session in document.sessions for line in session.exercises]
        own = sum(line.credits.get(dose.head, 0) * line.sets for line in lines if line.trains == dose.head)
        helps = sum(line.credits.get(dose.head, 0) * line.sets for line in lines if line.trains != dose.head)
        assert dose.own == pytest.approx(own, abs=2e-3)
        assert dose.helping + dose.beyond == pytest.approx(helps, abs=2e-3)
        assert dose.helping <= 0.4 * dose.target + 1e-9
        assert dose.planned + dose.elsewhere == pytest.approx(dose.own + dose.helping, abs=2e-3)


def test_proven_means_both_gaps_are_small_and_nothing_was_stopped(week):
    asked, document = week
    problem, plan = build_problem(asked.inputs), plan_of(document)
    dose, rest = dose_value(problem, plan), rest_value(problem, plan)
    settings = problem.settings
    good = Solved(plan, dose, dose, rest - settings.rest_gap_minutes)
    assert is_proven(problem, good)
    assert not is_proven(problem, replace(good, stopped=True))
    assert not is_proven(problem, replace(good, rest_bound=good.rest_bound - 0.01))
    assert not is_proven(problem, replace(good, dose_bound=dose - settings.dose_gap_sets - 0.01))
    above = replace(good, rest_bound=rest + 5)  # a bound is never printed above its value
    assert proofs(problem, above)[1].gap == 0
    kept = replace(good, among="plans that change no more")
    assert [proof.among for proof in proofs(problem, kept)] == ["", kept.among]


@pytest.mark.parametrize(("old", "new", "gym", "words"), [
    ("[target]", "[method]\ngeneral_warmup_minutes = 24\n[target]", GYM, "fits into its minutes"),
    ("front = 6\nside = 8\nrear = 6", "front = 0\nside = 0\nrear = 0", GYM, "nothing is left to train"),
], ids=["too short", "nothing wanted"])  # fmt: skip
def test_each_kind_of_empty_day_says_why(old, new, gym, words, tmp_path):
    brief = BRIEF.replace(old, new).replace("[target]", '[preferences]\nexclude = ["bodyweight"]\n[target]')
    document, told = notes_of(tmp_path, brief, gym)
    empty = [session.day for session in document.sessions if not session.exercises]
    assert empty and words in told
    assert told.count("No work on ") == len(empty)


def test_what_is_preferred_in_vain_is_told_with_the_reason(tmp_path):
    wishes = '[preferences]\nprefer = ["barbell_bench_press", "machine_shoulder_press", "cable_face_pull"]\n[target]'
    _, told = notes_of(tmp_path, BRIEF.replace("[target]", wishes))
    lines = [line for line in told.splitlines() if line.startswith("Preferred, but not possible")]
    assert len(lines) == 2
    assert "takes skill 2" in told and "no session's gym has what it needs" in told


@pytest.mark.parametrize(("old", "new", "words"), [
    ("[history]", "[joints]\narm_at_most_degrees = 90\n[history]", "No overhead press for front delt: the arm ends at"),
    ("[target]", "[elsewhere]\nbarbell_bench_press = 30\n[target]", "What is done elsewhere gives front delt"),
    ("minutes = 30", "minutes = 90", "The targets are met in"),
    ("[target]", '[joints]\nsubacromial = "careful"\n[target]', "No outward rotation is in the week"),
    ("[target]", '[variety]\nfamilies = ["shrug", "upright_pull"]\n[target]',
        "Asked for, but not possible this week: any upright pull"),
    ("[target]", '[preferences]\nexclude = ["rear_fly", "face_pull"]\n[target]',
        "No movement that is chosen for rear delt is possible"),
], ids=["no press", "elsewhere", "minutes left", "careful", "family", "no own"])  # fmt: skip
def test_a_note_says_what_a_coach_would_ask(old, new, words, tmp_path):
    _, plain = planned(make_folder(tmp_path / "kim", BRIEF.replace("minutes = 30", "minutes = 25")))
    _, told = planned(make_folder(tmp_path / "lee", BRIEF.replace(old, new)))
    assert not any(note.startswith(words) for note in plain.notes)
    assert any(note.startswith(words) for note in told.notes), told.notes


@pytest.mark.parametrize(("status", "more", "asked"), [
    ("novice", "", (3, 8)), ("intermediate", "", (2, 6)), ("intermediate", '[joints]\nwrist = "careful"\n', (3, 8)),
    ("novice", "[method]\nreps_in_reserve = 2\n", (2, 8)),
])  # fmt: skip
def test_who_is_new_or_sore_presses_in_longer_sets_and_keeps_more_in_reserve(status, more, asked, tmp_path):
    """Common practice, no source. What the brief names is obeyed."""
    brief = BRIEF.replace('"novice"', f'"{status}"').replace("[target]", f"{more}[target]")
    asked_for, document = planned(make_folder(tmp_path / "kim", brief))
    check_sound(document, asked_for)
    press = next(line for one in document.sessions for line in one.exercises if line.trains == "front")
    assert (press.rir, press.reps[0]) == asked


def test_what_is_new_in_a_room_is_said_once_with_what_needs_it(week, tmp_path):
    asked, document = week
    problem = build_problem(asked.inputs)
    rooms = {"club": ("dumbbells",), "home": ("bands", "dumbbells"), "gone": ()}
    assert document.made_with.rooms["home"] == ("dumbbells", "bands")

    def said(rooms, plan):
        made = document.made_with.model_copy(update={"rooms": rooms})
        before = document.model_copy(update={"made_with": made})
        return [line for line in notes(asked.inputs, problem, plan, before) if line.startswith("New in ")]

    (line,) = said(rooms, {("cable_face_pull", "Mon"): 2, (RAISED, "Wed"): 2})
    assert (
        "club" in line
        and "Cable face pull" in line
        and line.count("not used") == 2
        and "machine_reverse_fly" in line
    )
    assert said({**rooms, "club": document.made_with.rooms["club"]}, {}) == said({}, {}) == []


def test_minutes_left_are_said_once_and_again_where_they_change(tmp_path):
    roomy = BRIEF.replace("minutes = 30", "minutes = 90")
    asked, first = planned(make_folder(tmp_path / "kim", roomy))
    problem, plan = build_problem(asked.inputs), plan_of(first)

    def said(before):
        lines = notes(asked.inputs, problem, plan, before)
        return any(line.startswith("The targets are met") for line in lines)

    quiet = first.model_copy(update={"notes": ()})  # said the week before that
    less = [one.minutes.model_copy(update={"allowed": one.minutes.allowed / 2}) for one in first.sessions]
    sessions = [of.model_copy(update={"minutes": to}) for of, to in zip(first.sessions, less, strict=True)]
    other = first.model_copy(update={"sessions": tuple(sessions)})
    assert (said(None), said(quiet), said(other)) == (True, False, True)


def test_the_next_week_says_what_it_kept_dropped_and_moved(tmp_path):
    folder = make_folder(tmp_path / "kim")
    _, first = planned(folder, "2026-W48")
    dropped = first.sessions[0].exercises[0]
    brief = BRIEF.replace("[target]", f'[preferences]\nexclude = ["{dropped.exercise}"]\n[target]')
    _, second = planned(make_folder(folder, brief), WEEK)
    told = "\n".join(second.notes)
    assert "Against week 2026-W48: kept " in told
    assert f"Not planned again: {dropped.name} (excluded by the brief)" in told
    kept = {key for key, _ in sets(first)} & {key for key, _ in sets(second)}
    before, after = sets(first), sets(second)
    moved = {key for key, day in before if key in kept and after.get((key, day)) != before[key, day]}
    assert ("Other sets or days: " in told) == bool(moved)


def log(folder, *rows):
    usual = {"session": "Fri", "exercise": RAISED, "set": "1", "reps": "12", "load": "6", "load_unit": "kg"}
    usual |= {"date": "2026-11-20", "rir": "2", "kind": "joint", "gym": "club"}
    lines = [",".join((usual | row).get(name, "") for name in COLUMNS) for row in rows]
    (folder / "log.csv").write_text("\n".join((",".join(COLUMNS), *lines, "")), encoding="utf-8")


def test_a_head_whose_movements_wait_gets_half_and_what_was_cleared_comes_back(tmp_path):
    folder = make_folder(tmp_path / "kim")
    _, whole = planned(folder, "2026-W47")
    raised = next(key for key, _ in sets(whole) if key.endswith("lateral_raise"))
    log(folder, felt := {"pain": "7", "date": "2026-11-21", "exercise": raised})
    hurt, less = planned(folder, "2026-W48")
    check_sound(less, hurt)
    lines = {week.week: dose for week in (whole, less) for dose in week.dose if dose.head == "side"}
    side = {name: dose.target for name, dose in lines.items()}
    assert side["2026-W48"] == side["2026-W47"] / 2
    assert {line.rir for one in less.sessions for line in one.exercises} == {5}
    cleared = ("reps", "load", "load_unit", "rir", "gym")
    on = {"kind": "cleared", "date": "2026-11-27", "set": "0", "exercise": raised}
    on |= dict.fromkeys(cleared, "")
    log(folder, felt, on)
    back, again = planned(folder, "2026-W49")
    check_sound(again, back)
    assert back.before.week == "2026-W47"
    assert raised in {line.exercise for of in again.sessions for line in of.exercises}


def test_pain_comes_into_the_document_with_its_exercise(tmp_path):
    raised = RAISED
    folder = make_folder(tmp_path / "kim")
    log(folder, {"pain": "4"})
    _, document = planned(folder)
    (warning,) = document.exercise_warnings
    assert warning.exercise == raised and not warning.first_sheet
    assert "pain 4" in warning.text and document.pain.count(warning.text) == 1
    assert warning.text not in document.warnings


def test_what_is_known_or_the_only_load_of_a_room_is_named_at_once(week):
    asked, document = week
    exercises = asked.library.exercises
    key = next(key for key, day in sets(document) if day == "Wed" and exercises[key].implement == "dumbbell")
    loads = {(key, "club"): NextLoad(8.0, "kg", "", (10, 15))}
    again = plan_week(replace(asked, carried=replace(asked.carried, loads=loads)))
    (at_home,) = [line for line in again.sessions[1].exercises if line.exercise == key]
    assert at_home.load is None and "8 kg" in at_home.load_note
    only = only_load(make_exercise(), make_gym(start=8, to=8), 2)
    assert (only.load, only.first_time) == (8, True)
    assert "2 in reserve" in only.sheet_note
    assert only_load(make_exercise(), make_gym(), 2) is None
