"""What a swap says: what came and went, what it cost, which pages are new."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from planner.change.swap.report import SwapReport, report, says_more
from planner.change.swap.text import swap_text
from shipped import shipped_library
from small_athlete import make_folder, planned

from planner.document import MadeChange, WeekDocument

LIBRARY = shipped_library()


@pytest.fixture(scope="module")
def week(tmp_path_factory: pytest.TempPathFactory) -> WeekDocument:
    _, document = planned(make_folder(tmp_path_factory.mktemp("text") / "kim"))
    return document


def with_first_session(week: WeekDocument, **changes: Any) -> WeekDocument:
    session = week.sessions[0].model_copy(update=changes)
    return week.model_copy(update={"sessions": (session, *week.sessions[1:])})


def with_sets(week: WeekDocument, sets: int) -> WeekDocument:
    line = week.sessions[0].exercises[0].model_copy(update={"sets": sets})
    return with_first_session(week, exercises=(line, *week.sessions[0].exercises[1:]))


def other(week: WeekDocument) -> WeekDocument:
    line = (
        week.sessions[0].exercises[0].model_copy(update={"exercise": "new_one", "name": "New one", "sets": 2})
    )
    return with_first_session(week, exercises=(line, *week.sessions[0].exercises[1:]))


def text(made: SwapReport) -> str:
    return swap_text(made, LIBRARY)


def test_the_same_week_twice_has_no_news(week: WeekDocument) -> None:
    made = report(week, week, "", {})
    assert "Nothing changes" in text(made) and "New pages" not in text(made)
    assert text(made).count("as before") == len(week.sessions)
    assert not says_more(week, week)


def test_proof_and_seconds_are_no_news(week: WeekDocument) -> None:
    later = week.model_copy(update={"proof": (), "status": "stopped"})
    assert not says_more(week, later)
    assert says_more(week, with_sets(week, 4))
    assert says_more(week, week.model_copy(update={"changes": (MadeChange(kind="without", name="bands"),)}))


def test_sets_that_moved(week: WeekDocument) -> None:
    old = week.sessions[0].exercises[0]
    made = report(week, with_sets(week, old.sets + 1), "", {})
    assert (made.sets_out, made.sets_in, made.left, made.joined) == (0, 1, (), ())
    assert f"{old.name}  {old.sets} to {old.sets + 1} sets" in text(made)
    assert "0 sets out, 1 set in." in text(made)
    assert "New pages in sheets.pdf: 1 (Monday)." in text(made)


def test_exercises_that_were_exchanged(week: WeekDocument) -> None:
    old = week.sessions[0].exercises[0]
    made = report(week, other(week), "", {})
    said = text(made)
    assert made.joined == ("new_one",) and old.exercise in made.left
    assert "in   New one" in said and f"out  {old.name}" in said
    assert f"new in the week: New one; no longer in it: {old.name}." in said


def test_cost_a_head_and_in_minutes(week: WeekDocument) -> None:
    less = week.model_copy(
        update={
            "dose": tuple(one.model_copy(update={"planned": one.planned - 1.5}) for one in week.dose),
            "sessions": with_first_session(
                week, minutes=week.sessions[0].minutes.model_copy(update={"used": 99.0})
            ).sessions,
        }
    )
    made = report(week, less, "", {})
    for head, dose in zip(made.heads, week.dose, strict=True):
        assert head.after == pytest.approx(head.before - 1.5, abs=1e-3) and head.target == dose.target
    assert "-1.5" in text(made)
    short = [head for head in made.heads if head.target - head.after >= 0.05]
    assert text(made).count("SHORT of target:") == len(short) > 0
    assert made.minutes_after - made.minutes_before == pytest.approx(
        99 - week.sessions[0].minutes.used, abs=0.05
    )


def test_sessions_that_are_over(week: WeekDocument) -> None:
    missed = report(week, with_first_session(week, state="missed", exercises=()), "", {})
    assert "Monday: missed" in text(missed) and not missed.new_pages
    done = report(week, with_first_session(week, state="done"), "", {})
    assert "Monday: trained" in text(done)


def test_a_session_that_the_brief_has_no_longer_is_told_with_what_was_in_it(week: WeekDocument) -> None:
    made = report(week, week.model_copy(update={"sessions": week.sessions[1:]}), "", {})
    gone = week.sessions[0]
    assert made.sets_out == sum(line.sets for line in gone.exercises) > 0
    assert "Monday: no longer in brief.toml\n  out  " in text(made)
    assert all(line.name in text(made) for line in gone.exercises)
    assert not made.new_pages


def test_a_session_in_another_gym_and_one_with_other_loads_are_printed_again(week: WeekDocument) -> None:
    moved = report(week, with_first_session(week, gym="elsewhere"), "", {})
    assert "Monday: now in elsewhere, the same sets, other loads or notes" in text(moved)
    assert "No set changes: the plan" in text(moved) and "1 (Monday)" in text(moved)
    line = week.sessions[0].exercises[0].model_copy(update={"load": 99.0})
    heavier = with_first_session(week, exercises=(line, *week.sessions[0].exercises[1:]))
    assert "Monday: the same sets, other loads or notes" in text(report(week, heavier, "", {}))


def test_goals_beside_the_dose_are_told_first(week: WeekDocument) -> None:
    said = swap_text(report(week, week, "", {}), LIBRARY, ["missed: too few implements"])
    assert said.index("missed: too few implements") < said.index("Monday")


def test_an_emptied_session_says_why(week: WeekDocument) -> None:
    made = report(
        week, with_first_session(week, exercises=()), "", {week.sessions[0].id: "Nothing can be trained"}
    )
    assert "  Nothing can be trained" in text(made)


def test_a_plan_that_came_back_and_a_search_that_stopped(week: WeekDocument) -> None:
    assert "the plan of v3 again" in text(report(with_sets(week, 4), week, "v3", {}))
    stopped = week.model_copy(update={"status": "stopped"})
    assert "The search was stopped" in text(report(week, stopped, "", {}))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (MadeChange(kind="without", name="bands"), f"this week: without {LIBRARY.equipment['bands'].name}"),
        (MadeChange(kind="with", name="barbell", gym="home"), " in home"),
        (MadeChange(kind="without", name="dumbbell_shrug"), "without Dumbbell shrug"),
        (MadeChange(kind="minutes", name="Wed", minutes=15), "this week: 15 min on Wednesday"),
        (MadeChange(kind="without", name="gone_by_now"), "without gone_by_now"),
    ],
)
def test_what_holds_this_week_is_said(change: MadeChange, words: str, week: WeekDocument) -> None:
    assert words in text(report(week, week.model_copy(update={"changes": (change,)}), "", {}))


def test_a_session_and_a_head_that_are_new(week: WeekDocument, tmp_path: Path) -> None:
    bare = week.model_copy(update={"sessions": week.sessions[1:], "dose": week.dose[1:]})
    made = report(bare, week, "", {})
    assert made.heads[0].before == 0.0 and made.sessions[0].minutes_before == 0.0
    assert all(line.before == 0 for line in made.sessions[0].lines)
