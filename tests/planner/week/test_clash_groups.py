"""Clashing groups: infeasible together, feasible without any one member, each with its file and key."""

from __future__ import annotations

from dataclasses import replace
from functools import reduce
from pathlib import Path

import pytest
from small_athlete import BRIEF, GYM, TODAY, WEEK, make_folder

from planner.errors import NoWeekPossible
from planner.week import clash as clash_module
from planner.week.build import build_problem
from planner.week.clash import Clash, Nearest, clash_of, clash_text, is_impossible, smallest_group
from planner.week.clash_members import Member, all_members
from planner.week.inputs import Inputs
from planner.week.plan import gather, plan_week, solve_problem

PIN = "[preferences]\npin = {{ {pins} }}\n\n[target]"
ROOMY = BRIEF.replace("minutes = 30", "minutes = 60").replace("minutes = 25", "minutes = 60")

ONLY_REAR = ROOMY.replace("front = 6", "front = 0").replace("side = 8", "side = 0")
NO_CAPSULE = '[joints]\nanterior_capsule = "avoid"\nposterior_capsule = "avoid"\n\n[target]'


def must(target: float, head: str = "rear", brief: str = BRIEF) -> str:
    old = next(line for line in brief.splitlines() if line.startswith(f"{head} = "))
    return brief.replace(old, f"{head} = {{ target = {target}, ceiling = {target + 5}, must = true }}")


def pinned(pins: str, brief: str = BRIEF) -> str:
    return brief.replace("[target]", PIN.format(pins=pins))


# name: brief, gym, words that must be in the group, words that must not
CASES: dict[str, tuple[str, str, list[str], list[str]]] = {
    "a target that the minutes cannot hold": (
        must(40), GYM, ["target.rear.must", "session Fri: minutes"], ["target.side", "pin"],
    ),
    "two targets, one of them alone too high": (
        must(40, brief=must(6, "side")), GYM, ["target.rear.must"], ["target.side"],
    ),
    "equipment and no time at all to blame": (
        must(30, brief=ROOMY), '[club]\nequipment = []\n[home]\nequipment = []\n',
        ["target.rear.must", "gym.toml: "], ["session Mon"],
    ),
    "a joint to avoid": (
        must(36, brief=ROOMY.replace("[target]", NO_CAPSULE)),
        GYM, ["target.rear.must", "joints.anterior_capsule"], ["target.front", "session"],
    ),
    "families that must be there, all excluded": (
        ROOMY.replace(
            "[target]",
            "[variety]\nimplements = 3\nmust = true\n\n[method]\nexercises_per_week = 2\n\n[target]",
        ),
        GYM, ["variety.must", "method.exercises_per_week"], ["target."],
    ),
    "pins that the week has no exercises left for": (
        pinned(
            'machine_reverse_fly = { day = "Mon", sets = 2 }, band_row = { day = "Wed", sets = 2 }',
            ONLY_REAR.replace("[history]", "[method]\nexercises_per_week = 1\n\n[history]"),
        ),
        GYM, ["preferences.pin.machine_reverse_fly", "preferences.pin.band_row", "exercises_per_week"], ["target"],
    ),
    "a ceiling that a pin of another head breaks": (
        pinned(
            'machine_reverse_fly = { day = "Mon", sets = 10 }',
            ROOMY.replace("rear = 6", "rear = { target = 6, ceiling = 7, must = true }"),
        ),
        GYM, ["target.rear.must", "preferences.pin.machine_reverse_fly"], ["session", "gym.toml"],
    ),
}  # fmt: skip


def inputs_of(folder: Path, brief: str, gym: str) -> Inputs:
    return gather(make_folder(folder, brief, gym), WEEK, TODAY).inputs


@pytest.fixture(params=CASES, scope="module")
def case(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[str, Inputs, Clash]:
    brief, gym, _, _ = CASES[request.param]
    inputs = inputs_of(tmp_path_factory.mktemp("clash") / "kim", brief, gym)
    return request.param, inputs, clash_of(inputs, solve_problem)


def only(inputs: Inputs, kept: list[Member]) -> Inputs:
    """Let everything go but these."""
    names = {str(member) for member in kept}
    others = [member for member in all_members(inputs) if str(member) not in names]
    return reduce(lambda old, member: member.let_go(old), others, inputs)


def test_the_group_clashes_and_would_not_without_any_one_member(case: tuple[str, Inputs, Clash]) -> None:
    _, inputs, clash = case
    members = list(clash.members)
    assert members and not clash.stopped
    assert is_impossible(build_problem(only(inputs, members))) is True
    for member in members:
        rest = [other for other in members if other is not member]
        assert is_impossible(build_problem(only(inputs, rest))) is False, str(member)


def test_the_group_names_what_clashes_and_nothing_else(case: tuple[str, Inputs, Clash]) -> None:
    name, _, clash = case
    _, _, there, absent = CASES[name]
    told = clash_text(clash)
    assert all(word in told for word in there), told
    assert not any(word in "\n".join(map(str, clash.members)) for word in absent), told
    assert all(str(member).startswith(("brief.toml: ", "gym.toml: ")) for member in clash.members)


def test_the_nearest_week_is_one_and_misses_something(case: tuple[str, Inputs, Clash]) -> None:
    _, inputs, clash = case
    assert clash.nearest is not None
    assert [head for head, _, _ in clash.nearest.heads] == list(inputs.targets)
    assert (
        clash.nearest.unpinned or any(of.must for of in inputs.targets.values()) or inputs.brief.variety.must
    )
    assert "nearest week" in clash_text(clash)


def test_the_nearest_week_misses_the_must_least(tmp_path: Path) -> None:
    """Nothing that is only wanted takes time from what must hold."""
    inputs = inputs_of(tmp_path / "kim", must(40), GYM)
    nearest = clash_of(inputs, solve_problem).nearest
    alone = replace(inputs, targets={"rear": replace(inputs.targets["rear"], must=False)})
    solved = solve_problem(build_problem(alone))
    assert nearest is not None and solved is not None
    best = clash_module.doses(build_problem(alone), solved.plan)[0][1]
    assert next(dose for head, dose, _ in nearest.heads if head == "rear") >= best - 1.0


def test_plan_week_raises_the_group(tmp_path: Path) -> None:
    asked = gather(make_folder(tmp_path / "kim", must(40)), WEEK, TODAY)
    with pytest.raises(NoWeekPossible, match=r"target\.rear\.must = true \(40 sets, ceiling 45\)") as error:
        plan_week(asked)
    assert error.value.exit_code == 3
    assert "easing any one of them would do" in str(error.value)


def test_a_search_that_stops_early_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    inputs = inputs_of(tmp_path / "kim", must(40), GYM)
    monkeypatch.setattr(clash_module, "is_impossible", lambda _: None)
    members = list(all_members(inputs))
    group, stopped = smallest_group(inputs, members)
    assert stopped and list(group) == members  # what is not known to be needless stays
    assert "stopped early" in clash_text(Clash(group, None, stopped))


def test_a_feasible_week_is_no_clash(tmp_path: Path) -> None:
    assert is_impossible(build_problem(inputs_of(tmp_path / "kim", BRIEF, GYM))) is False


def test_pins_that_are_given_up_are_named() -> None:
    told = clash_text(
        Clash(
            (),
            Nearest(
                (("side", 3.26, 8.0), ("rear", 9.0, 8.0)),
                (("implements", 1.0, "implements"), ("ceiling:rear", 0.049, "direct sets")),
                ("brief.toml: preferences.pin.x",),
            ),
            False,
        )
    )
    assert (
        "side gets 3.3 of 8 sets; implements is missed by 1 implements; without brief.toml: preferences.pin.x."
        in told
    )
    assert "rear" not in told
    assert "every target is met" in clash_text(Clash((), Nearest((("rear", 9.0, 8.0),)), False))


def test_everything_that_must_hold_is_a_member(tmp_path: Path) -> None:
    brief = (
        pinned('machine_reverse_fly = { day = "Mon", sets = 2 }', must(6))
        .replace(
            "[preferences]\n",
            '[joints]\nwrist = "careful"\n[variety]\nmust = true\n'
            '[preferences]\nexclude = ["pike_push_up"]\ntrapezius = true\n',
        )
        .replace("[history]\n", '[history]\nflags = ["subacromial"]\n')
    )
    told = [str(member) for member in all_members(inputs_of(tmp_path / "kim", brief, GYM))]
    assert "brief.toml: target.rear.must = true (6 sets, ceiling 11)" in told
    assert "brief.toml: preferences.pin.machine_reverse_fly: 2 sets on Mon" in told
    assert 'brief.toml: joints.wrist = "careful"' in told
    assert any("subacromial" in text and "(history.flags)" in text for text in told)
    assert "gym.toml: club.equipment" in told and "gym.toml: home.equipment" in told
    assert "brief.toml: session Wed: minutes = 25" in told
    assert any("pike_push_up" in text for text in told) and "brief.toml: preferences.trapezius = true" in told
    assert told.index("brief.toml: target.rear.must = true (6 sets, ceiling 11)") == 0
