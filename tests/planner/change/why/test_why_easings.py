"""What could be eased: a step each, linked to file and key, and nothing that would change nothing."""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from planner.change.why.easing import Easing
from planner.change.why.goals import goal_easings
from planner.change.why.limits import emptiest_day, limit_easings
from small_athlete import BRIEF, GYM, TODAY, WEEK, make_folder

from planner.athlete.brief import Brief
from planner.document import MadeChange
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.week.plan import gather

RICH = (
    BRIEF.replace("rear = 6", "rear = { target = 6, must = true }")
    .replace("[history]\n", '[history]\nflags = ["subacromial"]\n')
    .replace(
        "[target]",
        '[joints]\nwrist = "avoid"\n[variety]\nfamilies = ["row"]\nmust = true\n'
        '[preferences]\nexclude = ["cable_face_pull", "barbell_bench_press"]\n'
        'prefer = ["band_row", "behind_neck_barbell_press"]\n'
        "trapezius = true\n[target]",
    )
)
FLAGGED = RICH.replace('["subacromial"]', '["subacromial", "biceps_slap", "dislocation"]').replace(
    '[joints]\nwrist = "avoid"', '[joints]\nsubacromial = "careful"'
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
    assert wrist.where == 'joints.wrist = "careful"' and flagged.where == 'joints.subacromial = "clear"'
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
    assert found["goal:prefer"].problem().preferred == ()
    assert found["goal:implements"].loosens_dose  # variety is a must here
    assert not found["goal:share"].loosens_dose
    assert found["goal:dose:front"].forgotten("spread:front") and not found["goal:dose:front"].forgotten(
        "spread:rear"
    )
    assert found["goal:share"].forgotten("share:band_row:rear")


def test_last_weeks_exercises_may_change_and_new_ones_are_another_goal(inputs: Inputs) -> None:
    found = by_name(replace(inputs, last_week=frozenset({"band_row"})))
    rotation, new = found["goal:rotation"], found["goal:new"]
    assert rotation.problem().keep == 0 and rotation.problem().last_week == {"band_row"}
    assert rotation.forgotten("rotation") and not rotation.forgotten("new:side")
    assert new.problem().settings.price_new_exercise == 0 and new.forgotten("new:side")
    assert not {"goal:rotation", "goal:new"} & set(by_name(inputs))  # no week went before


def test_an_exercise_that_may_be_planned_only_as_a_preferred_one_goes_with_its_wish(inputs: Inputs) -> None:
    plannable = {one.key for one in build_problem(inputs).candidates}
    left = {one.key for one in by_name(inputs)["goal:prefer"].problem().candidates}
    assert "behind_neck_barbell_press" in plannable - left


def test_a_flag_that_would_overrule_the_word_goes_and_what_else_it_asks_is_written_down(
    tmp_path: Path,
) -> None:
    inputs = gather(make_folder(tmp_path / "kim", FLAGGED), WEEK, TODAY).inputs
    assert by_name(inputs)["joints:long_head_biceps"].where == (
        'history.flags = ["subacromial", "dislocation"]; joints.long_head_biceps = "careful"; '
        'joints.anterior_capsule = "avoid"'
    )


@pytest.mark.parametrize("name", ["rich", "flagged"])
@pytest.mark.parametrize("last_week", [(), ("band_row", "dumbbell_lateral_raise")])
def test_what_is_computed_is_what_writing_the_named_edit_gives(
    name: str, last_week: tuple[str, ...], tmp_path: Path
) -> None:
    brief = {"rich": RICH, "flagged": FLAGGED}[name]
    before = gather(make_folder(tmp_path / "kim", brief), WEEK, TODAY).inputs
    before = replace(before, last_week=frozenset(last_week))
    for number, easing in enumerate(by_name(before, full=("exercises:Mon", "exercises:week")).values()):
        files = {"brief.toml": tomllib.loads(brief), "gym.toml": tomllib.loads(GYM)}
        edit(files[easing.file], easing.where)
        folder = make_folder(tmp_path / f"{number}", *(as_toml(data) for data in files.values()))
        after = replace(gather(folder, WEEK, TODAY).inputs, last_week=before.last_week)
        assert build_problem(after) == easing.problem(), (easing.name, easing.where)


def edit(data: dict[str, Any], where: str) -> None:
    """Do to a file what the place says: values by their key, a session by its day, one word in or out of a list."""
    if found := re.fullmatch(r"session (\w+): minutes = (\d+)", where):
        session = next(one for one in data["session"] if one["day"] == found[1])
        session["minutes"] = int(found[2])
    elif where.startswith("[[session]] "):
        data["session"].append(tomllib.loads(f"new = {{ {where.removeprefix('[[session]] ')} }}")["new"])
    elif found := re.fullmatch(r'preferences\.exclude: "(\w+)"', where):
        data["preferences"]["exclude"].remove(found[1])
    elif found := re.fullmatch(r'(\w+)\.equipment: "(\w+)"', where):
        data[found[1]]["equipment"].append(found[2])
    else:
        for line in where.split("; "):
            merge(data, tomllib.loads(line))


def merge(data: dict[str, Any], more: dict[str, Any]) -> None:
    """Write values into tables, those that are not there made."""
    for key, value in more.items():
        if isinstance(value, dict):
            data[key] = data.get(key, {})
            merge(data[key], value)
        else:
            data[key] = value


def as_toml(data: dict[str, Any]) -> str:
    """Write a file anew, each table in one line."""
    return "\n".join(f"{key} = {inline(value)}" for key, value in data.items())


def inline(value: Any) -> str:
    """Write a value in one line."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {inline(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(inline, value)) + "]"
    return json.dumps(value) if isinstance(value, str | bool | int | float) else str(value)


def test_the_only_head_stays(tmp_path: Path) -> None:
    only = BRIEF.replace("front = 6", "front = 0").replace("side = 8", "side = 0")
    found = by_name(gather(make_folder(tmp_path / "kim", only, GYM), WEEK, TODAY).inputs)
    assert not any(name.startswith("goal:dose:") for name in found)


def test_nothing_is_changed_in_the_inputs_themselves(inputs: Inputs) -> None:
    before = inputs.digest()
    for easing in by_name(inputs).values():
        easing.problem()
    assert inputs.digest() == before
