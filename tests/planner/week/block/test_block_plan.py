"""A planned block: the same sessions every hard week, lighter weeks halved, rises capped, each week with its proof."""

from __future__ import annotations

import datetime
from itertools import pairwise
from pathlib import Path

import pytest
from planner.solve.solved import Solved
from planner.week.block.plan import PlannedBlock, plan_block
from planner.week.block.text import block_table
from planner.week.block.told import BlockAsked
from small_athlete import BRIEF, TODAY, WEEK, keep, make_folder, planned, sets

from planner.document import WeekDocument, exercises_of
from planner.model.inputs import Inputs
from planner.model.problem import Problem
from planner.publish import check_sound
from planner.week.plan import solve_asked

LIGHT = (6,)
HARD = (1, 2, 3, 4, 5, 7, 8)


def block(folder: Path, weeks: int = 8, ramp: str | None = None) -> PlannedBlock:
    return plan_block(folder, BlockAsked(weeks, WEEK, ramp), TODAY)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_folder(tmp_path_factory.mktemp("block") / "kim")


@pytest.fixture(scope="module")
def steady(folder: Path) -> PlannedBlock:
    return block(folder)


@pytest.fixture(scope="module")
def rising(folder: Path) -> PlannedBlock:
    return block(folder, ramp="0.2")


def week(planned_block: PlannedBlock, number: int) -> WeekDocument:
    return planned_block.document.weeks[number - 1]


def targets(document: WeekDocument) -> dict[str, float]:
    return {dose.head: dose.target for dose in document.dose}


def reserves(document: WeekDocument) -> set[int]:
    return {line.rir for session in document.sessions for line in session.exercises}


@pytest.mark.parametrize("kind", ["steady", "rising"])
def test_every_week_passes_the_recheck_and_is_proven(kind: str, request: pytest.FixtureRequest) -> None:
    made: PlannedBlock = request.getfixturevalue(kind)
    for document, asked in zip(made.document.weeks, made.asked, strict=True):
        check_sound(document, asked)
    assert {one.status for one in made.document.weeks} == {"proven"}
    for one in made.document.weeks:
        assert [proof.aim for proof in one.proof] == ["dose", "rest"]
        assert all(proof.bound <= proof.value + 1e-6 for proof in one.proof)


def test_weeks_follow_each_other_and_know_their_place(steady: PlannedBlock) -> None:
    start = datetime.date.fromisoformat(week(steady, 1).week_start)
    for number, one in enumerate(steady.document.weeks, 1):
        assert one.week_start == (start + datetime.timedelta(weeks=number - 1)).isoformat()
        assert one.block is not None
        assert (one.block.first, one.block.number, one.block.of) == (WEEK, number, 8)
        assert one.block.lighter == (number in LIGHT)
        assert one.block.ramp_share == 0


def test_hard_weeks_of_a_steady_block_are_the_same_sessions(steady: PlannedBlock) -> None:
    first = week(steady, 1)
    for number in HARD[1:]:
        assert sets(week(steady, number)) == sets(first)
        assert targets(week(steady, number)) == targets(first)
        assert any("The same sets on the same days" in note for note in week(steady, number).notes)


def test_a_lighter_week_halves_targets_and_sets_and_keeps_every_block_in_place(
    steady: PlannedBlock, rising: PlannedBlock
) -> None:
    for made in (steady, rising):
        hard, light = week(made, 5), week(made, 6)
        assert targets(light) == {head: target / 2 for head, target in targets(hard).items()}
        assert [dose.floor * 2 for dose in light.dose] == [dose.floor for dose in hard.dose]
        assert [dose.ceiling for dose in light.dose] == [dose.ceiling for dose in hard.dose]
        before, now = sets(hard), sets(light)
        assert set(now) == set(before)
        assert all(1 <= now[place] <= -(-before[place] // 2) for place in now)
        assert sum(now.values()) <= 0.6 * sum(before.values())
        assert reserves(light) == {4}
        assert any("Lighter week" in note and "decides no load" in note for note in light.notes)


def test_reserve_by_week(steady: PlannedBlock) -> None:
    found = [reserves(one) for one in steady.document.weeks]
    assert found == [{3}, {2}, {2}, {2}, {1}, {4}, {3}, {1}]


def test_a_rise_keeps_every_exercise_and_shrinks_no_block(rising: PlannedBlock) -> None:
    exercises = exercises_of(week(rising, 1))
    for before, after in pairwise(HARD):
        old, new = sets(week(rising, before)), sets(week(rising, after))
        assert exercises_of(week(rising, after)) == exercises
        assert all(new[place] >= count for place, count in old.items())
        for head, target in targets(week(rising, before)).items():
            assert targets(week(rising, after))[head] <= max(target + 1, 1.2 * target) + 1e-9
    assert targets(week(rising, 3)) == {"front": 7, "side": 9, "rear": 7}
    assert targets(week(rising, 8)) == {"front": 9, "side": 12, "rear": 9}  # the side's ceiling


def test_a_rise_is_said(rising: PlannedBlock) -> None:
    notes = week(rising, 3).notes
    assert "Target of side delt: 9 direct sets (8 before)." in notes
    assert any(" sets (2 in 2026-W50)" in note for note in notes)
    assert not any("The same sets" in note for note in notes)


def test_every_target_is_reached_where_it_can_be(steady: PlannedBlock, rising: PlannedBlock) -> None:
    for one in (*steady.document.weeks, *rising.document.weeks):
        for dose in one.dose:
            assert dose.planned + dose.elsewhere >= dose.target - 0.25 * len(one.dose)


def test_the_same_question_is_solved_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Inputs] = []

    def counted(inputs: Inputs) -> tuple[Problem, Solved]:
        asked.append(inputs)
        return solve_asked(inputs)

    monkeypatch.setattr("planner.week.block.plan.solve_asked", counted)
    block(folder, weeks=14)
    assert len(asked) == 3  # the first week, every other hard week, every lighter week


def test_loads_of_later_weeks_follow_from_the_week_before(steady: PlannedBlock) -> None:
    lines = [line for session in week(steady, 3).sessions for line in session.exercises]
    assert {line.load for line in lines} == {None}
    assert {line.load_from for line in lines} == {"last_hard_week"}
    first = [line for session in week(steady, 1).sessions for line in session.exercises]
    assert {line.load_from for line in first} == {""}


def test_a_plan_is_the_same_every_time(folder: Path, rising: PlannedBlock) -> None:
    again = block(folder, ramp="20%")
    assert [sets(one) for one in again.document.weeks] == [sets(one) for one in rising.document.weeks]
    assert [one.made_with for one in again.document.weeks] == [one.made_with for one in rising.document.weeks]


def test_the_first_week_changes_at_most_one_exercise_a_head(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim")
    _, before = planned(folder, "2026-W48")
    first = week(block(folder, weeks=1), 1)
    new = exercises_of(first) - exercises_of(before)
    for dose in first.dose:
        direct = {
            line.exercise
            for session in first.sessions
            for line in session.exercises
            if line.credits.get(dose.head, 0) >= 0.7
        }
        assert len(new & direct) <= 1


def test_lighter_weeks_as_often_as_the_coach_says(tmp_path: Path) -> None:
    method = "\n[method]\nlighter_every_weeks = 3\nlighter_rir_more = 1\nreps_less_each_week = 1\n"
    made = block(make_folder(tmp_path / "kim", BRIEF + method), weeks=4)
    for document, asked in zip(made.document.weeks, made.asked, strict=True):
        check_sound(document, asked)
    assert [one.block.lighter for one in made.document.weeks if one.block] == [False, False, True, False]
    assert reserves(week(made, 3)) == {3}
    low = [week(made, number).sessions[0].exercises[0].reps[0] for number in (1, 2, 3, 4)]
    assert low[1] == low[0] - 1 and low[2:] == [low[0], low[0]]


def test_a_pin_is_halved_in_a_lighter_week(tmp_path: Path) -> None:
    method = '\n[preferences.pin]\nmachine_reverse_fly = { day = "Mon", sets = 3 }\n[method]\nlighter_every_weeks = 2\n'
    made = block(make_folder(tmp_path / "kim", BRIEF + method), weeks=2)
    for document, asked in zip(made.document.weeks, made.asked, strict=True):
        check_sound(document, asked)
    assert [sets(one)["machine_reverse_fly", "Mon"] for one in made.document.weeks] == [3, 2]


def test_nothing_left_to_train_is_a_block_that_says_so(tmp_path: Path) -> None:
    brief = BRIEF.replace("front = 6\nside = 8\nrear = 6", "front = 0\nside = 0\nrear = 0")
    made = block(make_folder(tmp_path / "kim", brief), weeks=6)
    for document, asked in zip(made.document.weeks, made.asked, strict=True):
        check_sound(document, asked)
    assert all(not sets(one) for one in made.document.weeks)
    assert all("Nothing is left to train" in one.warnings[0] for one in made.document.weeks)


def test_weeks_of_an_earlier_block_behind_the_end_are_named(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim")
    for document in block(folder, weeks=3).document.weeks:
        keep(folder, document)
    assert block(folder, weeks=3).longer == ()
    assert block(folder, weeks=1).longer == ("2026-W50", "2026-W51")


def test_as_a_table(rising: PlannedBlock) -> None:
    rows = [line.split() for line in block_table(rising.document).splitlines()]
    assert rows[0] == ["Kim,", "block", "of", "8", "weeks", "from", "2026-W49"]
    assert rows[8][:5] == ["6", "2027-W01", "lighter", "4", str(sum(sets(week(rising, 6)).values()))]
    for number, one in enumerate(rising.document.weeks):
        for (key, _), count in sets(one).items():
            name = next(
                line.name.split()
                for session in one.sessions
                for line in session.exercises
                if line.exercise == key
            )
            assert any(row[: len(name)] == name and row[len(name) + number] == str(count) for row in rows)


def test_the_table_says_how_near_the_best_each_week_is_as_a_week_does(steady: PlannedBlock) -> None:
    first = week(steady, 1)
    proof = tuple(
        one.model_copy(update={"gap": gap}) for one, gap in zip(first.proof, (0.034, 1.26), strict=True)
    )
    lines = block_table(
        steady.document.model_copy(update={"weeks": (first.model_copy(update={"proof": proof}),)})
    )
    heading, row, below = lines.splitlines()[2:5]
    assert heading.endswith("dose within  the rest within") and "gap" not in lines
    assert row.split()[-2:] == ["0.03", "1.3"]
    assert (
        below
        == "proof: dose within so many missed sets of the best, the rest within so many minute-equivalents of it"
    )


def test_a_shortfall_stands_below_the_table(tmp_path: Path) -> None:
    brief = BRIEF.replace("side = 8", "side = 40")
    text = block_table(block(make_folder(tmp_path / "kim", brief), weeks=2).document)
    assert "SHORT of target in 2026-W50: " in text


def test_more_than_the_ceiling_stands_below_the_table(steady: PlannedBlock) -> None:
    over = week(steady, 2)
    doses = tuple(dose.model_copy(update={"ceiling": dose.planned - 1.5}) for dose in over.dose[:1])
    weeks = (week(steady, 1), over.model_copy(update={"dose": (*doses, *over.dose[1:])}))
    text = block_table(steady.document.model_copy(update={"weeks": weeks}))
    assert f"ABOVE the ceiling in 2026-W50: {over.dose[0].head} by 1.5 sets" in text
    assert "ABOVE" not in block_table(steady.document)
