"""What could be eased: a step each, linked to file and key, and nothing that would change nothing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from small_athlete import BRIEF, GYM, TODAY, WEEK, make_folder

from planner.athlete.brief import Brief
from planner.week.build import Inputs, build_problem
from planner.week.document import MadeChange
from planner.week.plan import gather
from planner.week.why.easing import Easing
from planner.week.why.goals import goal_easings
from planner.week.why.limits import emptiest_day, limit_easings

RICH = (
    BRIEF.replace("rear = 6", "rear = { target = 6, must = true }")
    .replace("[history]\n", '[history]\nflags = ["subacromial"]\n')
    .replace(
        "[target]",
        '[joints]\nwrist = "avoid"\n[variety]\nfamilies = ["row"]\nmust = true\n'
        '[preferences]\nexclude = ["cable_face_pull", "barbell_bench_press"]\nprefer = ["band_row"]\n'
        "trapezius = true\n[target]",
    )
)


@pytest.fixture(scope="module")
def inputs(tmp_path_factory: pytest.TempPathFactory) -> Inputs:
    return gather(make_folder(tmp_path_factory.mktemp("why") / "kim", RICH), WEEK, TODAY).inputs


def by_name(
    inputs: Inputs, changes: tuple[MadeChange, ...] = (), full: tuple[str, ...] = ()
) -> dict[str, Easing]:
    easings = [*limit_easings(inputs, changes, full), *goal_easings(inputs)]
    assert len({one.name for one in easings}) == len(easings)
    return {one.name: one for one in easings}


def test_minutes_five_and_ten_in_each_session(inputs: Inputs) -> None:
    found = by_name(inputs)
    assert {name for name in found if name.startswith("minutes:")} == {
        f"minutes:{day}:{more}" for day in ("Mon", "Wed", "Fri") for more in (5, 10)
    }
    ten, five = found["minutes:Wed:10"], found["minutes:Wed:5"]
    assert (ten.file, ten.where) == ("brief.toml", "session Wed: minutes = 35")
    assert five.less_than == ten.name and ten.less_than == ""
    problem, base = ten.problem(), build_problem(inputs)
    assert [
        after.seconds - before.seconds for before, after in zip(base.sessions, problem.sessions, strict=True)
    ] == [0, 600, 0]


def test_no_session_is_tried_longer_than_a_brief_may_ask(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim", BRIEF.replace("minutes = 25", "minutes = 233"))
    found = by_name(gather(folder, WEEK, TODAY).inputs)
    assert "minutes:Wed:5" in found and "minutes:Wed:10" not in found


def test_minutes_told_to_a_swap_are_linked_to_it(inputs: Inputs) -> None:
    found = by_name(inputs, (MadeChange(kind="minutes", name="Wed", minutes=25),))
    assert (found["minutes:Wed:5"].file, found["minutes:Wed:5"].where) == ("planner swap", "--minutes Wed=30")
    assert found["minutes:Mon:5"].file == "brief.toml"


def test_sessions_that_are_over_get_no_more_minutes(inputs: Inputs) -> None:
    found = by_name(replace(inputs, states={"Mon": "missed"}))
    assert not any(name.startswith("minutes:Mon") for name in found)


@pytest.mark.parametrize(
    ("days", "over", "empty"),
    [
        (("Mon", "Wed", "Fri"), (), "Sat"),
        (("Mon",), (), "Thu"),
        (("Mon", "Tue"), (), "Fri"),
        (("Sat", "Sun"), (), "Wed"),
        (("Mon", "Wed", "Fri"), ("Mon", "Wed"), "Sat"),
        (("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), (), None),
        (("Mon", "Sun"), ("Sun",), None),
    ],
)
def test_the_emptiest_day(days: tuple[str, ...], over: tuple[str, ...], empty: str | None) -> None:
    brief = Brief.model_validate(
        {"athlete": {"name": "K"}, "session": [{"day": day, "minutes": 30, "gym": "g"} for day in days]}
    )
    assert emptiest_day(brief, set(over)) == empty


def test_one_more_session_is_like_the_longest(inputs: Inputs) -> None:
    extra = by_name(inputs)["session:Sat"]
    assert extra.words == "one more session on Saturday, 30 minutes in club"
    assert [session.id for session in extra.problem().sessions] == ["Mon", "Wed", "Fri", "Sat"]


def test_equipment_that_some_exercise_needs_and_nothing_else(inputs: Inputs) -> None:
    found = by_name(inputs)
    offered = {name.split(":")[2] for name in found if name.startswith("equipment:club:")}
    has = set(inputs.gyms["club"].equipment)
    assert offered and not offered & has
    base = build_problem(inputs)
    for name, easing in found.items():
        if name.startswith("equipment:"):
            _, gym, key = name.split(":")
            assert (easing.file, easing.where) == ("gym.toml", f'{gym}.equipment: "{key}"')
            more, before = easing.problem(), base
            grown = [
                after.allowed > now.allowed
                for now, after in zip(before.sessions, more.sessions, strict=True)
                if now.gym == gym
            ]
            assert all(grown), name


def test_equipment_a_swap_took_away_is_linked_to_it(inputs: Inputs) -> None:
    found = by_name(inputs, (MadeChange(kind="without", name="barbell", gym="club"),))
    easing = found["equipment:club:barbell"]
    assert (easing.file, easing.where) == ("planner swap", "--with club:barbell")


def test_joints_one_step_freer_whatever_made_them_careful(inputs: Inputs) -> None:
    found = by_name(inputs)
    wrist, flagged = found["joints:wrist"], found["joints:subacromial"]
    assert wrist.where == 'joints.wrist = "careful"' and flagged.where == "history.flags"
    assert wrist.medical and flagged.medical and "*" not in wrist.words
    base = {budget.region: budget.allowed for budget in build_problem(inputs).joints}
    freer = {budget.region: budget.allowed for budget in wrist.problem().joints}
    assert {region for region in base if base[region] != freer[region]} == {"wrist"}
    clear = {budget.region: budget.allowed for budget in flagged.problem().joints}
    assert {region for region in base if base[region] != clear[region]} == {"subacromial"}


def test_excluded_exercises_that_a_room_could_hold(inputs: Inputs) -> None:
    found = by_name(inputs)
    assert "exclude:cable_face_pull" in found
    assert "exclude:barbell_bench_press" not in found  # no barbell anywhere
    allowed = found["exclude:cable_face_pull"].problem()
    assert "cable_face_pull" in {one.key for one in allowed.candidates}
    told = by_name(inputs, (MadeChange(kind="without", name="cable_face_pull"),))["exclude:cable_face_pull"]
    assert (told.file, told.where) == ("planner swap", "--with cable_face_pull")


def test_wishes_and_counts(inputs: Inputs) -> None:
    found = by_name(inputs, full=("exercises:Mon", "exercises:week"))
    assert not found["trapezius"].problem().quiet_trapezius
    assert found["exercises_per_session"].problem().settings.exercises_per_session == 7
    assert found["exercises_per_week"].problem().settings.exercises_per_week == 10
    assert "exercises_per_week" not in by_name(inputs, full=("exercises:Mon",))
    assert "exercises_per_session" not in by_name(inputs)


def test_every_goal_can_be_dropped(inputs: Inputs) -> None:
    found = by_name(inputs)
    assert {name for name in found if name.startswith(("goal:", "must:"))} == {
        *(f"goal:dose:{head}" for head in ("front", "side", "rear")),
        *(
            f"goal:{goal}"
            for goal in ("implements", "families", "prefer", "ceiling", "direct", "session_cap")
        ),
        *(f"goal:{goal}" for goal in ("spread", "heavy_days", "share")),
        "must:rear",
    }
    assert [goal.head for goal in found["goal:dose:front"].problem().heads] == ["side", "rear"]
    assert not found["must:rear"].problem().heads[2].must
    assert found["goal:families"].problem().families_wanted == ()
    assert found["goal:share"].problem().settings.price_share == 0
    assert found["goal:prefer"].problem().settings.price_prefer == 0
    assert found["goal:implements"].loosens_dose  # variety is a must here
    assert not found["goal:share"].loosens_dose
    assert found["goal:dose:front"].forgotten("spread:front") and not found["goal:dose:front"].forgotten(
        "spread:rear"
    )
    assert found["goal:share"].forgotten("share:band_row:rear")


def test_last_weeks_exercises_may_change(inputs: Inputs) -> None:
    found = by_name(replace(inputs, last_week=frozenset({"band_row"})))
    assert found["goal:rotation"].problem().last_week == frozenset()
    assert found["goal:rotation"].forgotten("new:side")


def test_the_only_head_stays(tmp_path: Path) -> None:
    only = BRIEF.replace("front = 6", "front = 0").replace("side = 8", "side = 0")
    found = by_name(gather(make_folder(tmp_path / "kim", only, GYM), WEEK, TODAY).inputs)
    assert not any(name.startswith("goal:dose:") for name in found)


def test_nothing_is_changed_in_the_inputs_themselves(inputs: Inputs) -> None:
    before = inputs.digest()
    for easing in by_name(inputs).values():
        easing.problem()
    assert inputs.digest() == before
