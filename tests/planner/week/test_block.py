"""A planned block: exercises stay on their days, lighter weeks are halved, rises capped, each week with its proof."""

from dataclasses import replace
from itertools import pairwise

import pytest
from small_athlete import BRIEF, TODAY, WEEK, make_folder, planned, sets

from library.errors import FaultyInput
from planner.document import exercises_of, plan_of
from planner.model.build import build_problem
from planner.publish import check_sound
from planner.week.block import BlockAsked, block_table, plan_block
from planner.week.keeping import Keeping, targets_changed

LIGHTER = BRIEF + '\n[block]\nlighter = ["2026-W52"]\n'
LIGHT, HARD = 4, (1, 2, 3, 5, 6)


def block(folder, weeks=6, ramp=None):
    return plan_block(folder, BlockAsked(weeks, WEEK, ramp), TODAY)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return make_folder(tmp_path_factory.mktemp("block") / "kim", LIGHTER)


@pytest.fixture(scope="module")
def steady(folder):
    return block(folder)


@pytest.fixture(scope="module")
def rising(folder):
    return block(folder, ramp="0.2")


@pytest.fixture(params=["steady", "rising"])
def either(request):
    return request.getfixturevalue(request.param)


def week(made, number):
    return made.document.weeks[number - 1]


def targets(document):
    return {dose.head: dose.target for dose in document.dose}


def reserves(document):
    return {line.rir for session in document.sessions for line in session.exercises}


def sound(made):
    for document, asked in zip(made.document.weeks, made.asked, strict=True):
        check_sound(document, asked)
    return made


def test_a_steady_block_repeats_its_sessions_and_every_week_knows_its_place(either):
    sound(either)
    for number, document in enumerate(either.document.weeks, 1):
        mark, rest = document.block, document.proof[1]
        assert (mark.first, mark.number, mark.of) == (WEEK, number, 6)
        assert mark.lighter == (number == LIGHT)
        assert document.status == "proven" and rest.bound <= rest.value + 1e-6
        assert bool(rest.among) == (number > 1)  # a later week is the best of those that keep the block
    hard, light = week(either, 3), week(either, LIGHT)
    before, now = sets(hard), sets(light)
    assert set(now) == set(before)
    assert all(1 <= now[place] <= -(-before[place] // 2) for place in now)
    assert targets(light) == {head: target / 2 for head, target in targets(hard).items()}
    assert min(reserves(light)) > max(reserves(hard))
    assert any("Lighter week" in note and "decides no load" in note for note in light.notes)


def test_hard_weeks_of_a_steady_block_are_the_same_sessions_with_loads_of_the_week_before(steady):
    for number in HARD[1:]:
        assert sets(week(steady, number)) == sets(week(steady, 1))
        assert any("The same sets on the same days" in note for note in week(steady, number).notes)
        assert reserves(week(steady, number)) == reserves(week(steady, 1))
    for number in (1, 3):
        lines = [line for session in week(steady, number).sessions for line in session.exercises]
        assert {line.load_from for line in lines} == {"" if number == 1 else "last_hard_week"}


def test_a_rise_keeps_every_block_shrinks_none_stops_at_the_ceiling_and_is_said(rising):
    ceilings = {dose.head: dose.ceiling for dose in week(rising, 1).dose}
    for before, after in pairwise(HARD):
        old, new = sets(week(rising, before)), sets(week(rising, after))
        assert exercises_of(week(rising, after)) == exercises_of(week(rising, 1))
        assert all(new.get(place, 0) >= count for place, count in old.items())
        for head, target in targets(week(rising, before)).items():
            now = targets(week(rising, after))[head]
            assert target <= now <= min(ceilings[head], max(target + 1, 1.2 * target)) + 1e-9
    assert targets(week(rising, 6)) != targets(week(rising, 1))
    for document in rising.document.weeks:
        for dose in document.dose:
            assert dose.planned + dose.elsewhere >= dose.target - 0.25 * len(document.dose) - 1e-6
    for before, after in pairwise(HARD):
        old, new, told = sets(week(rising, before)), sets(week(rising, after)), week(rising, after).notes
        changed = [place for place in new if new[place] != old.get(place, 0)]
        assert sum(f"in {week(rising, before).week})" in note for note in told) >= len(changed)
        rose = targets(week(rising, after)) != targets(week(rising, before))
        assert any(note.startswith("Target of ") for note in told) == rose


def test_the_table_says_every_exercise_week_by_week(rising, steady):
    text = block_table(rising.document)
    rows = [line.split() for line in text.splitlines()]
    for number, one in enumerate(rising.document.weeks):
        names = {line.exercise: line.name.split() for day in one.sessions for line in day.exercises}
        for (key, _), count in sets(one).items():
            name = names[key]
            assert any(row[: len(name)] == name and row[len(name) + number] == str(count) for row in rows)
    first = week(rising, 1)
    over, short = (
        first.model_copy(update={"dose": tuple(one.model_copy(update={of: one.planned + by}) for one in first.dose)})
        for of, by in (("ceiling", -1.5), ("target", 3))
    )  # fmt: skip
    told = block_table(rising.document.model_copy(update={"weeks": (over, short)}))
    assert "ABOVE" in told and "SHORT" in told and "ABOVE" not in block_table(steady.document)


def test_the_first_week_changes_at_most_one_own_exercise_a_head(tmp_path):
    folder = make_folder(tmp_path / "kim")
    _, before = planned(folder, "2026-W48")
    first = week(block(folder, weeks=1), 1)
    new = exercises_of(first) - exercises_of(before)
    trains = {line.exercise: line.trains for session in first.sessions for line in session.exercises}
    assert all(sum(trains[key] == dose.head for key in new) <= 1 for dose in first.dose)


def test_reserve_by_week_weeks_away_and_pins_are_those_of_the_brief(tmp_path):
    more = '\n[block]\nreserve = [3, 2, 2]\naway = ["2026-W50"]\nlighter = ["2026-W52"]\n'
    pin = '[preferences.pin]\nmachine_reverse_fly = { day = "Mon", sets = 3 }\n'
    made = sound(block(make_folder(tmp_path / "kim", BRIEF + more + pin), weeks=3))
    assert [one.week for one in made.document.weeks] == ["2026-W49", "2026-W51", "2026-W52"]
    assert [min(reserves(one)) for one in made.document.weeks] == [3, 2, 5]
    away = [line.split()[:2] for line in block_table(made.document).splitlines() if "away" in line]
    assert away == [["2026-W50", "away"]]
    assert [sets(one)["machine_reverse_fly", "Mon"] for one in made.document.weeks] == [3, 3, 2]


def test_a_rise_under_a_ceiling_that_must_hold_is_planned(tmp_path):
    """A rise towards a ceiling that must hold, while exercises are held: a week there is, and it is planned."""
    brief = BRIEF.replace("front = 6", "front = { target = 6, ceiling = 8, must = true }")
    made = sound(block(make_folder(tmp_path / "kim", brief), weeks=6, ramp="0.2"))
    front = [dose for one in made.document.weeks for dose in one.dose if dose.head == "front"]
    assert front[0].target < front[-1].target < front[-1].ceiling == 8  # whole sets can meet both
    assert all(dose.target - 1e-6 <= dose.planned + dose.elsewhere <= dose.ceiling + 1e-6 for dose in front)


def test_a_limit_that_tightened_moves_no_more_than_it_must(steady):
    """Inside a block what can stay stays: an exercise that is out now goes, all others keep their days."""
    from planner.week.plan import solve_asked

    asked = steady.asked[1].inputs
    gone = sorted(exercises_of(week(steady, 1)))[0]
    inputs = replace(asked, barred={gone: "after pain"})
    _, solved = solve_asked(inputs)
    before = {pair: n for pair, n in plan_of(week(steady, 1)).items() if pair[0] != gone}
    assert gone not in {key for key, _ in solved.plan}
    stays = [pair for pair in before if pair in solved.plan]
    assert len(stays) >= len(before) - 1 and solved.among
    assert not Keeping(build_problem(inputs)).broken(solved.plan)
    assert targets_changed(inputs) == "none"


def test_nothing_left_is_a_block_that_says_so(tmp_path):
    brief = BRIEF.replace("front = 6\nside = 8\nrear = 6", "front = 0\nside = 0\nrear = 0")
    made = sound(block(make_folder(tmp_path / "kim", brief), weeks=2))
    assert all(not sets(one) and "Nothing is left" in one.warnings[0] for one in made.document.weeks)


@pytest.mark.parametrize(("weeks", "ramp", "options"), [
    (0, None, {"--weeks"}), (99, "x", {"--weeks", "--ramp"}), (4, "0.5", {"--ramp"}), (4, "nan", {"--ramp"}),
])  # fmt: skip
def test_what_does_not_fit_is_told_at_once(weeks, ramp, options, folder):
    with pytest.raises(FaultyInput) as told:
        block(folder, weeks, ramp)
    assert {fault.file for fault in told.value.faults} == options
