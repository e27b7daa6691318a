"""`planner instead` on a small athlete's folder: what is listed, in which words, and what is refused."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from planner.change.swap.standing import Standing, open_week
from planner.change.swap.swap import swap_week
from planner.change.swap.told import Options
from small_athlete import TODAY, WEEK, keep, make_folder, planned, sets

from library.errors import FaultyInput
from planner.change.instead_list import InsteadList, instead_list, instead_text


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Standing:
    folder = make_folder(tmp_path_factory.mktemp("instead") / "kim")
    planned(folder)
    return open_week(folder, TODAY)


@pytest.fixture(scope="module")
def found(standing: Standing) -> InsteadList:
    return instead_list(standing, some(standing))


def some(standing: Standing) -> str:
    """A planned exercise that something else can stand in for."""
    for key, _ in sets(standing.in_force):
        if any(one.choices for one in instead_list(standing, key).sessions):
            return key
    raise AssertionError("no exercise of the small week can be replaced")


def test_sessions_and_sets_are_those_in_force(standing: Standing, found: InsteadList) -> None:
    plan = sets(standing.in_force)
    assert {(found.exercise, one.id): one.sets for one in found.sessions} == {
        pair: n for pair, n in plan.items() if pair[0] == found.exercise
    }
    assert found.week == WEEK


def test_the_sheets_first_choice_heads_the_list(standing: Standing) -> None:
    for session in standing.in_force.sessions:
        for line in session.exercises:
            listed = instead_list(standing, line.exercise)
            there = next(one for one in listed.sessions if one.id == session.id)
            if line.instead:
                assert there.choices[0].exercise == line.instead[0].exercise
                assert {one.exercise for one in line.instead} <= {one.exercise for one in there.choices}


def test_every_trained_head_is_told_even_where_nothing_changes(found: InsteadList) -> None:
    for session in found.sessions:
        for choice in session.choices:
            assert set(choice.differs) == set(found.heads)
            assert set(choice.said) <= {head for head, change in choice.differs.items() if change}


def test_a_printed_name_will_do(standing: Standing, found: InsteadList) -> None:
    assert instead_list(standing, found.name.upper()) == found


def test_the_text_has_a_line_a_choice_and_explains_its_stars(standing: Standing, found: InsteadList) -> None:
    text = instead_text(found, standing.asked.inputs.library)
    assert text.startswith(found.name)
    names = [choice.name for session in found.sessions for choice in session.choices]
    assert all(name in text for name in names)
    starred = any(choice.said for session in found.sessions for choice in session.choices)
    assert ("* more than a tenth" in text) == starred
    assert text.count("Changes of the week") == 1 and "minute-equivalents" in text


def test_nothing_fitting_is_said_in_words(standing: Standing, found: InsteadList) -> None:
    bare = found.model_copy(
        update={"sessions": tuple(one.model_copy(update={"choices": ()}) for one in found.sessions)}
    )
    text = instead_text(bare, standing.asked.inputs.library)
    assert "nothing else gives the same" in text and "Changes of the week" not in text


@pytest.mark.parametrize(
    ("word", "words"),
    [
        ("machine_revers_fly", 'No exercise has this name; did you mean "machine_reverse_fly"?'),
        ("qqqq", "No exercise has this name. Planned:"),
        ("dumbbell_shrug", f"not in the week in force \\({WEEK}\\)"),
    ],
)
def test_what_is_not_planned_is_refused_with_what_is(standing: Standing, word: str, words: str) -> None:
    with pytest.raises(FaultyInput, match=words) as error:
        instead_list(standing, word)
    assert next(iter(sets(standing.in_force)))[0] in str(error.value)


def test_changes_of_this_week_hold_and_sessions_that_are_over_ask_nothing(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim")
    _, document = planned(folder)
    sunday = datetime.date(2026, 12, 6)
    done = swap_week(folder, Options(done=("Mon", "Wed", "Fri"), without=("club:cable_station",)), sunday)
    keep(folder, done.report.week)
    with pytest.raises(FaultyInput, match="Its sessions are over"):
        instead_list(open_week(folder, TODAY), next(iter(sets(document)))[0])


def test_equipment_that_is_out_this_week_is_not_offered(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim")
    planned(folder)
    keep(folder, swap_week(folder, Options(without=("cable_station",)), TODAY).report.week)
    standing = open_week(folder, TODAY)
    exercises = standing.asked.inputs.library.exercises
    for key, _ in sets(standing.in_force):
        for session in instead_list(standing, key).sessions:
            assert not any("cable_station" in exercises[one.exercise].needs for one in session.choices)
