"""Near-equal weeks: within half a set a head and a tenth of the rest, sound, and of other exercises."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from every_plan import every_plan
from planner.change.choices.near import exercises, near_equal_weeks, near_rows, point_of
from planner.change.choices.report import Choices, choices_text, compared, near_equal, taken
from planner.solve.one_piece import solve_one_piece
from shipped import shipped_library
from small_athlete import BRIEF, TODAY, WEEK, make_folder
from tiny_week import goal, tiny

from library.errors import FaultyInput
from planner.document import MissedGoal, WeekDocument
from planner.model.aims import build, dose_value, rest_value
from planner.model.problem import Problem
from planner.verify.recheck import assert_sound
from planner.week.plan import Asked, gather, plan_week


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    return gather(make_folder(tmp_path_factory.mktemp("choices") / "kim"), WEEK, TODAY)


@pytest.fixture(scope="module")
def found(asked: Asked) -> Choices:
    return near_equal(asked, 3)


def test_the_first_is_the_week_that_planning_alone_gives(asked: Asked, found: Choices) -> None:
    alone = plan_week(asked)
    assert found.name == "A"
    assert found.week.sessions == alone.sessions
    assert [choice.name for choice in found.choices] == ["B", "C"]


def test_every_week_is_near_enough(asked: Asked, found: Choices) -> None:
    best = found.week.proof[0].bound
    for choice in found.choices:
        dose, rest = choice.week.proof
        assert dose.value <= best + 0.05 + 0.5 * len(choice.heads) + 1e-6
        assert rest.value <= 1.15 * found.week.proof[1].value + 1e-3


def test_every_week_passes_its_recheck(asked: Asked, found: Choices) -> None:
    inputs = asked.inputs
    for week in (found.week, *(choice.week for choice in found.choices)):
        assert_sound(week, inputs.library, inputs.brief, inputs.gyms, asked.before)


def test_the_weeks_differ_in_exercises(found: Choices) -> None:
    sets = [
        frozenset(line.exercise for one in week.sessions for line in one.exercises) for week in weeks(found)
    ]
    assert len(set(sets)) == len(sets)
    assert all(choice.joined and choice.left for choice in found.choices)


LIBRARY = shipped_library()


def weeks(found: Choices) -> list:  # type: ignore[type-arg]
    return [found.week, *(choice.week for choice in found.choices)]


def test_what_is_traded_is_the_difference(found: Choices) -> None:
    for choice in found.choices:
        for old, new in zip(found.week.dose, choice.week.dose, strict=True):
            assert choice.heads[new.head] == pytest.approx(new.planned - old.planned, abs=1e-3)
        used = [sum(one.minutes.used for one in week.sessions) for week in (found.week, choice.week)]
        assert choice.minutes == pytest.approx(used[1] - used[0], abs=0.06)
        assert choice.priced_minutes == pytest.approx(
            choice.week.proof[1].value - found.week.proof[1].value, abs=0.06
        )


def told(week: WeekDocument) -> tuple[str, ...]:
    return tuple(sorted(goal.goal for goal in week.missed if goal.by >= 0.05))


def test_goals_that_only_one_of_the_two_misses_are_named(found: Choices) -> None:
    week = found.week.model_copy(update={"missed": ()})
    worse = compared("B", week, found.week.model_copy(update={"missed": found.choices[0].week.missed}))
    assert worse.misses == told(found.choices[0].week)
    assert compared("B", found.week, week).reaches == told(found.week)


def test_a_goal_missed_by_less_than_is_printed_is_not_named(found: Choices) -> None:
    misses = [
        MissedGoal(goal=f"direct:{head}", by=by, unit="direct sets")
        for head, by in (("rear", 0.049), ("side", 0.05))
    ]
    week = found.week.model_copy(update={"missed": ()})
    assert compared("B", week, week.model_copy(update={"missed": tuple(misses)})).misses == ("direct:side",)


def test_the_text_compares_and_claims_no_proof(found: Choices) -> None:
    text = choices_text(found, LIBRARY)
    assert "against A" in text and "\nB: " in text and "\nC: " in text
    assert text.endswith("No proof is claimed that these differ as much as they could.")
    assert "instead of" in text


def test_regions_and_goals_go_by_their_names(found: Choices) -> None:
    traded = {"joints": {"long_head_biceps": 2.0}, "misses": ("spread:rear", "heavy_days:side:Mon-Tue")}
    one = found.choices[0].model_copy(update=traded)
    text = choices_text(found.model_copy(update={"choices": (one,)}), LIBRARY)
    assert "joint stress in grade-sets: biceps tendon at the shoulder +2" in text
    assert "misses: spread rear delt; heavy days side delt Monday and Tuesday" in text


def test_where_nothing_comes_near_that_is_said(found: Choices) -> None:
    assert choices_text(found.model_copy(update={"choices": ()}), LIBRARY) == (
        "The search found no other week that comes near this one in dose and effort; there may be one."
    )


def test_one_of_them_may_be_taken(found: Choices) -> None:
    assert taken(found, "A") == found.week
    assert taken(found, "c") == found.choices[1].week
    with pytest.raises(FaultyInput, match="The weeks found are A, B and C"):
        taken(found, "D")


def tiny_choices() -> Problem:
    problem = tiny(heads=(goal("front", target=3.0), goal("side", target=3.0)), implements_wanted=1)
    return replace(problem, settings=replace(problem.settings, choices_rest_share=0.5, choices_nodes=10_000))


def test_a_small_week_shares_as_little_as_counting_finds() -> None:
    problem = tiny_choices()
    first = solve_one_piece(problem)
    assert first is not None
    [second, *_] = near_equal_weeks(problem, first, 2) or [None]
    most = {
        "dose": first.dose_best + 0.5 * 2 + 1e-9,
        "rest": 1.5 * rest_value(problem, first.plan) + 1e-9,
    }
    near = [
        plan
        for plan in every_plan(problem)
        if dose_value(problem, plan) <= most["dose"] and rest_value(problem, plan) <= most["rest"]
    ]
    least = min(len(exercises(plan) & exercises(first.plan)) for plan in near)
    if second is None:
        assert least == len(exercises(first.plan))
    else:
        assert second in near
        assert len(exercises(second) & exercises(first.plan)) == least


def test_the_start_is_the_plan_itself() -> None:
    problem = tiny_choices()
    first = solve_one_piece(problem)
    assert first is not None
    program = build(problem)
    point = point_of(program, first.plan)
    total = sum(price * point.get(column, 0.0) for column, price in program.rest_price.items())
    assert total == pytest.approx(rest_value(problem, first.plan))
    assert [row.name for row in near_rows(program, first)] == ["near:dose", "near:rest"]


def test_one_week_alone_has_no_others(asked: Asked) -> None:
    assert near_equal(asked, 1).choices == ()


def test_a_week_of_its_only_exercises_has_no_near_equal(tmp_path: Path) -> None:
    only = (
        BRIEF.replace("front = 6", "front = 0")
        .replace("side = 8", "side = 0")
        .replace("rear = 6", "rear = 2")
    )
    gym = "[club]\nequipment = []\n[home]\nequipment = []\n"
    folder = make_folder(tmp_path / "kim", only, gym)
    found = near_equal(gather(folder, WEEK, TODAY), 9)
    assert len(found.choices) < 8
